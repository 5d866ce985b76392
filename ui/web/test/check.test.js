import assert from 'node:assert/strict';
import { test } from 'node:test';
import { checkPath, decimalsOf, dots, firstForm, formTrouble, limitText, parseGrams, readingText, startOf } from '../check.js';
import { makeCommands } from '../commands.js';
import { offers } from '../view/check.js';

const reading = (place, shown, expected = place === 'empty' ? 0 : 1000) => ({ place, shown_g: shown, expected_g: expected, after_ms: 0 });
const walk = (...readings) => ({ readings, of: 7, limit_g: 0.2, zero_limit_g: 0.1, corners_note: '', class: 'II', class_guessed: true, record: null, this_is_it: false });

test('a reading stands as far from the middle as it is off, in limits of its own kind', () => {
  const list = dots(walk(reading('empty', 0.1), reading('middle', 1000.1), reading('empty', -0.2), reading('middle', 1000.3), reading('middle', 990)));
  assert.deepEqual(list.map((d) => [Math.round(d.off * 100) / 100, d.kind, d.how, d.cut]), [
    [1, 'empty', 'in', false], [0.5, 'weight', 'in', false], [-2, 'empty', 'out', false], [1.5, 'weight', 'out', false], [-2, 'weight', 'out', true],
  ]);
  assert.ok(list.every((d, i) => i === 0 || d.at > list[i - 1].at));
  assert.ok(Math.abs(list[0].at - 0.5 / 7) < 1e-9);
});

test('corners that are not judged are only noted', () => {
  const w = { ...walk(reading('middle', 1000), reading('front', 1001)), corners_note: 'too light' };
  assert.deepEqual(dots(w).map((d) => d.how), ['in', 'noted']);
  assert.deepEqual(dots({ ...w, corners_note: '' }).map((d) => d.how), ['in', 'out']);
});

test('a scale that shows exactly the limit is within it, whatever binary fractions make of it', () => {
  assert.equal(dots(walk(reading('middle', 1000.2)))[0].how, 'in');
  assert.equal(dots({ ...walk(reading('middle', 2000.2, 2000)) })[0].how, 'in');
});

test('numbers are shown with the decimals of the scale', () => {
  assert.deepEqual([0.1, 1, 0.05, 0.01, 5, 0].map(decimalsOf), [1, 0, 2, 2, 0, 1]);
  assert.deepEqual(readingText(reading('middle', 999.9), 1), { place: 'middle', shown: '999.9\u202fg', off: '\u22120.1\u202fg' });
  assert.deepEqual(readingText(reading('empty', 0), 1), { place: 'empty', shown: '0.0\u202fg', off: '' });
  assert.match(limitText(walk(), { limit_source: 'a table' }, 1), /± 0\.2\u202fg\. Class II \(a guess[^)]*\); a table\./);
});

test('what is typed is grams or nothing', () => {
  for (const [text, want] of [['6000', 6000], [' 0,1 ', 0.1], ['', 0], ['6 kg', null], ['-1', null], ['1e3', null], ['0.1234567', null], ['9999999', null]]) {
    assert.equal(parseGrams(text), want, JSON.stringify(text));
  }
});

const state = (more) => ({
  not_now: '', missing: '', last: null, plate: { capacity_g: 6000, interval_e_g: 0, class: '', class_guess: 'II' },
  advice: [
    { weight_nominal_g: 100, name: '100 g', coarsest_class: '', fits: [] },
    { weight_nominal_g: 1000, name: '1 kg', coarsest_class: 'M1', fits: ['F2', 'M1'] },
  ], ...more,
});
const form = (more) => ({ ...firstForm(state()), ...more });

test('a start waits until plate and weight fit, and says what is missing', () => {
  assert.match(formTrouble(form(), state()), /Choose the weight/);
  assert.match(formTrouble(form({ nominal: 100 }), state()), /larger one/);
  assert.match(formTrouble(form({ nominal: 1000 }), state()), /Choose the class/);
  assert.match(formTrouble(form({ nominal: 1000, weightClass: 'M3' }), state()), /M1 or finer/);
  assert.equal(formTrouble(form({ nominal: 1000, weightClass: 'F2' }), state()), '');
  assert.equal(formTrouble(form({ nominal: 1000, weightClass: 'F2' }), state({ not_now: 'A batch is in the cup.' })), 'A batch is in the cup.');
  assert.equal(formTrouble(form(), state({ missing: 'Give Max.' })), 'Give Max.');
});

test('a start names only what is known, and the form remembers the last check', () => {
  assert.deepEqual(startOf(form({ nominal: 1000, weightClass: 'F2', id: ' K-7 ', corners: true })), {
    weight_nominal_g: 1000, weight_class: 'F2', capacity_g: 6000, weight_id: 'K-7', corners: true,
  });
  const last = { weight_nominal_g: 2000, weight_class: 'M1', weight_id: 'K-8' };
  const again = firstForm(state({ last }));
  assert.deepEqual([again.nominal, again.weightClass, again.id, again.corners], [2000, 'M1', 'K-8', false]);
  assert.equal(checkPath({ capacity: 6000, interval: 0.1, class: 'II' }), '/api/scale/check?capacity_g=6000&interval_e_g=0.1&class=II');
  assert.equal(checkPath(null), '/api/scale/check');
});

test('the buttons fit what is there', () => {
  const verbs = (w, confirm = '') => offers(w, confirm).map((b) => b[0]);
  assert.deepEqual(verbs(walk()), ['cancel']);
  assert.deepEqual(verbs(walk(reading('empty', 0))), ['again', 'cancel']);
  assert.deepEqual(verbs(walk(reading('empty', 0), reading('middle', 1000))), ['back', 'again', 'cancel']);
  assert.deepEqual(verbs({ ...walk(reading('empty', 0)), this_is_it: true }), ['this-is-it', 'again', 'cancel']);
  assert.deepEqual(verbs({ ...walk(reading('middle', 1000)), record: {} }), ['keep', 'back', 'again', 'cancel']);
  assert.deepEqual(verbs(walk(), 'cancel'), ['no', 'cancel'], 'the way back stands first');
});

test('a press of the check has a key and the version on screen, and is sent again with the same', async () => {
  const sent = [];
  const answers = [null, { ok: false, code: 'no-session', sentence: '' }, { ok: true, state: { version: 8 } }];
  const rim = {
    crypto: globalThis.crypto,
    sleep: async () => {},
    fetch: async (path, options) => {
      if (path === '/') return new Response('');
      sent.push([path, JSON.parse(options.body)]);
      const next = answers.shift();
      if (next === null) throw new TypeError('no network');
      return new Response(JSON.stringify(next));
    },
  };
  const answer = await makeCommands(rim).check('keep', 7);
  assert.equal(answer.ok, false, 'a session that is gone after a first try is told');
  assert.equal(sent.length, 2);
  const again = await makeCommands(rim).check('keep', 7);
  assert.equal(again.state.version, 8);
  assert.equal(sent[0][0], '/api/scale/check');
  assert.deepEqual(Object.keys(sent[0][1]).sort(), ['do', 'key', 'version']);
  assert.equal(sent[0][1].key, sent[1][1].key);
  assert.notEqual(sent[0][1].key, sent[2][1].key);
});
