import assert from 'node:assert/strict';
import { test } from 'node:test';
import { firstGrey, firstWanted, greyBody, greyHex, greyHint, greyPicture, greyTrouble, lackText, padRows, pairText, parseSteps, pictureText, shadePath, stepsText } from '../grey.js';

const kept = () => ({
  id: 'slate', revision: 'r1', light: { name: 'Slate light', density_g_ml: 1.45 }, dark: { name: 'Slate dark', density_g_ml: 0 }, like_name: 'Slate surfacer',
  system: {
    id: 'slate', name: 'Slate', like_id: 'slate-surfacer', light: { name: 'Slate light', density: { g_ml: 1.45, source: 'product sheet' } }, dark: { name: 'Slate dark', density: {} },
    cards: [{ dark_percent: 0, l: 91, at_ms: 5 }, { dark_percent: 10, l: 68 }, { dark_percent: 80, l: 34 }], steps: [{ name: 'light', l: 82 }, { name: 'middle', l: 60 }, { name: 'night', l: 10 }],
  },
  fit: { ok: true, why: '', low_percent: 0, high_percent: 80, lightest_lstar: 91, darkest_lstar: 34, line: [[0, 91, 1], [10, 68, 1.5], [80, 34, 1]] },
});
const shade = { dark_percent: 18.5, dark_u: 2, u_lstar: 1.5 };

// Grey 119 of sRGB is L* 50 and grey 128 is L* 53.6 (IEC 61966-2-1 and CIE 15,
// worked out by hand): 0.184187 and 0.215861 of the light.
test('a grey of L* on a screen', () => {
  for (const [l, hex] of [[0, '#000000'], [100, '#ffffff'], [50, '#777777'], [53.585, '#808080'], [-3, '#000000'], [130, '#ffffff'], [5, '#111111']]) assert.equal(greyHex(l), hex, l);
});

test('steps as a shop writes them', () => {
  assert.deepEqual(parseSteps('light 82, middle = 60; dark 40,5').steps, [{ name: 'light', l: 82 }, { name: 'middle', l: 60 }, { name: 'dark', l: 40.5 }]);
  assert.deepEqual(parseSteps(' ').steps, []);
  assert.deepEqual(parseSteps('step 3: 55').steps, [{ name: 'step 3', l: 55 }]);
  assert.match(parseSteps('light').problem, /“light” is no step/);
  assert.match(parseSteps('light 182').problem, /is no step/);
  assert.match(parseSteps('a 60, A 50').problem, /two steps of the name A/);
  assert.equal(stepsText(kept().system.steps), 'light 82, middle 60, night 10');
});

test('there is always a row to spare', () => {
  assert.equal(firstGrey(null).rows.length, 4);
  assert.equal(firstGrey(null).rows[0].dark, '0');
  assert.equal(padRows([1, 2, 3, 4].map((n) => ({ dark: String(n), l: '50' }))).length, 5);
  assert.equal(padRows(Array.from({ length: 40 }, () => ({ dark: '1', l: '50' }))).length, 40);
});

test('a form says what it lacks', () => {
  const form = firstGrey(null);
  assert.match(greyTrouble(form), /Give the two undercoats a name/);
  form.name = 'Slate';
  assert.match(greyTrouble(form), /Name both undercoats/);
  Object.assign(form, { light: 'Slate light', dark: 'Slate dark' });
  assert.equal(greyTrouble(form), '', 'drawdowns can come later');
  assert.match(greyHint(form), /^Three of your own drawdowns make a grey/);
  form.rows[1] = { dark: '120', l: '50' };
  assert.match(greyTrouble(form), /Drawdown 2: how much of the dark one/);
  form.rows[1] = { dark: '12,5', l: '' };
  assert.match(greyTrouble(form), /Drawdown 2: which L\*/);
  form.rows[1] = { dark: '12,5', l: '68' };
  form.rows[0].l = '91';
  assert.match(greyHint(form), /^One more of your own drawdowns makes/);
  form.rows[2] = { dark: '100', l: '30' };
  assert.equal(greyHint(form), '');
  form.steps = 'nonsense';
  assert.match(greyTrouble(form), /is no step/);
  form.steps = 'middle 60';
  form.darkDensity = ' 11.5 lb/gal ';
  assert.deepEqual(greyBody(form), {
    do: 'put', id: '', revision: '', dark_density: '11.5 lb/gal',
    system: {
      id: '', name: 'Slate', light: { name: 'Slate light', density: {} }, dark: { name: 'Slate dark', density: {} },
      cards: [{ dark_percent: 0, l: 91 }, { dark_percent: 12.5, l: 68 }, { dark_percent: 100, l: 30 }], steps: [{ name: 'middle', l: 60 }],
    },
  });
});

test('what a form does not touch stays as it was', () => {
  const body = greyBody({ ...firstGrey(kept()), confirm: true });
  assert.equal(body.id, 'slate');
  assert.equal(body.revision, 'r1');
  assert.equal(body.confirm, true);
  assert.deepEqual(body.system.light.density, { g_ml: 1.45, source: 'product sheet' });
  assert.equal(body.system.like_id, 'slate-surfacer');
  assert.deepEqual(body.system.cards.map((c) => c.l), [91, 68, 34]);
  assert.equal(greyBody({ ...firstGrey(kept()), like: '' }).system.like_id, undefined);
});

test('it begins with a grey that can be mixed', () => {
  assert.equal(firstWanted(kept()), 82, 'the steps within what was drawn down are 82 and 60');
  const none = kept();
  none.system.steps = [];
  assert.equal(firstWanted(none), 63);
  none.fit.ok = false;
  assert.equal(firstWanted(none), 60);
  assert.equal(shadePath('a b', 60.5, 300), '/api/grey/shade?id=a+b&l=60.5&ml=300');
});

test('a card says what is missing', () => {
  assert.equal(pairText(kept()), 'Slate light and Slate dark, mixed like Slate surfacer');
  assert.match(pairText({ ...kept(), like_name: '' }), /is off the shelf/);
  assert.equal(lackText(kept()), '1 density not known');
  const few = kept();
  few.fit.ok = false;
  assert.equal(lackText(few), 'the drawdowns do not fit');
  few.system.cards.pop();
  assert.equal(lackText(few), '2 of 3 drawdowns');
});

test('the picture lies in its box', () => {
  const box = { left: 50, right: 250, top: 10, bottom: 110 };
  const p = greyPicture(kept(), 60, shade, box);
  assert.equal(p.line, 'M50.0 19.0L70.0 42.0L210.0 76.0');
  assert.equal(p.band, 'M50.0 18.0L70.0 40.5L210.0 75.0L210.0 77.0L70.0 43.5L50.0 20.0Z');
  assert.deepEqual(p.cards[1], { x: 70, y: 42, l: 68 });
  assert.deepEqual(p.unmeasured, [{ x: 210, width: 40 }], 'beyond 80 % nothing was drawn down');
  assert.deepEqual(p.mark, { x: 87, y: 50, top: 48.5, tall: 3, from: 83, wide: 8 });
  const none = greyPicture({ ...kept(), fit: { ok: false, line: [] } }, 60, null, box);
  assert.equal(none.line, '');
  assert.equal(none.band, '');
  assert.equal(none.mark, null);
  assert.equal(none.cards.length, 3);
  assert.match(pictureText(kept(), 60, shade), /falls from L\* 91\.0 at 0 per cent of the dark one to L\* 34\.0 at 80 per cent\. L\* 60 is at 18\.5 per cent\./);
  assert.match(pictureText({ ...kept(), fit: { ok: false } }, 60, null), /3 drawdowns and no line/);
});
