import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bestWay, cupText, day, densityBody, densityOf, firstForm, fitRows, formTrouble, lacking, parseRatio, percentText, putBody, ratioText, stripPath, tabOf, usualName } from '../stock.js';

test('a ratio is read as the tin prints it', () => {
  for (const [text, want] of [
    ['4:1:1', [{ parts: 4 }, { parts: 1 }, { parts: 1 }]],
    [' 2 : 1 + 10 % ', [{ parts: 2 }, { parts: 1 }, { percent: 10 }]],
    ['1:1,5', [{ parts: 1 }, { parts: 1.5 }]],
    ['100/30+5%', [{ parts: 100 }, { parts: 30 }, { percent: 5 }]],
  ]) assert.deepEqual(parseRatio(text), { shares: want }, text);
  for (const text of ['', '4', '4:', '4:0', '4:x', '10 % : 1', '-1:2', '4::1', '1:1:1:1:1:1:1:1:1']) {
    assert.match(parseRatio(text).problem, /./, text);
  }
});

test('a ratio comes back as it was typed', () => {
  for (const text of ['4:1:1', '2:1 + 10 %', '100:30', '2:1 + 10 % + 5 %']) {
    assert.equal(ratioText(parseRatio(text).shares), text);
  }
});

const filled = (name, ratio, change = () => {}) => {
  const form = { ...firstForm(null), name, ratio };
  form.rows = fitRows([], parseRatio(ratio).shares);
  change(form);
  return form;
};

test('components get the roles and names of the usual order', () => {
  const form = filled('Quay surfacer', '4:1:1');
  assert.deepEqual(form.rows.map((r) => r.role), ['base', 'hardener', 'reducer']);
  assert.deepEqual(form.rows.map((_, i) => usualName(form, i)), ['Quay surfacer', 'Quay surfacer, hardener', 'Quay surfacer, reducer']);
  assert.deepEqual(filled('x', '2:1 + 10 %').rows.map((r) => r.role), ['base', 'hardener', 'reducer']);
  const odd = filled('', '1:1:1:1:1');
  assert.equal(usualName(odd, 4), 'Additive 2');
});

test('the tabs of the figures are told apart by their roles', () => {
  const form = filled('Night surfacer', '4:1:1', (f) => { f.rows[2].name = 'Drift reducer'; });
  assert.deepEqual(form.rows.map((_, i) => tabOf(form, i)), [{ role: 'Base', name: '' }, { role: 'Hardener', name: '' }, { role: 'Reducer', name: 'Drift reducer' }]);
  form.rows[2].role = 'hardener';
  assert.deepEqual(form.rows.map((_, i) => tabOf(form, i).role), ['Base', 'Hardener 1', 'Hardener 2']);
});

test('what was filled in stays when the ratio is typed on', () => {
  const form = filled('Quay', '4:1', (f) => { f.rows[1].density = '1.06'; });
  const rows = fitRows(form.rows, parseRatio('4:1:1').shares);
  assert.equal(rows[1].density, '1.06');
  assert.equal(rows.length, 3);
});

test('the form says what is missing, one thing at a time', () => {
  assert.match(formTrouble(firstForm(null)), /name/);
  assert.match(formTrouble({ ...firstForm(null), name: 'Quay' }), /ratio/);
  assert.match(formTrouble(filled('Quay', '2:1 + 10 %')), /Percent of what/);
  assert.equal(formTrouble(filled('Quay', '2:1 + 10 %', (f) => { f.rows[2].of = 'parts'; })), '');
  assert.match(formTrouble(filled('Quay', '4:1', (f) => { f.pot = 'soon'; })), /minutes/);
});

test('a new product is put with its densities as typed', () => {
  const body = putBody(filled('Quay', '4:1 + 10 %', (f) => {
    f.rows[0].density = '1.42';
    f.rows[0].kind = 'primer surfacer';
    f.rows[2].density = '100:8,5';
    f.rows[2].of = 'first';
    f.pot = '45';
  }));
  assert.deepEqual(body, {
    do: 'put', id: '', revision: '',
    recipe: {
      id: '', name: 'Quay', basis: 'volume', pot_life_min: 45,
      components: [
        { tolerance: 0.02, name: 'Quay', role: 'base', density: {}, content: { kind: 'primer surfacer' }, parts: 4 },
        { tolerance: 0.03, name: 'Quay, hardener', role: 'hardener', density: {}, parts: 1 },
        { tolerance: 0.05, name: 'Quay, reducer', role: 'reducer', density: {}, percent: 10, of: 'first' },
      ],
    },
    densities: [{ typed: '1.42' }, {}, { by_weight: '100:8,5' }],
  });
  assert.deepEqual(densityBody('11.85 lb/gal'), { typed: '11.85 lb/gal' });
});

test('a changed product keeps what the form does not show', () => {
  const recipe = {
    id: 'quay', name: 'Quay', note: 'two coats', basis: 'volume', pot_life_min: 45, cup_usable_ml: 650, uses: ['a limit'],
    components: [
      { name: 'Quay', role: 'base', parts: 4, tolerance: 0.01, price_per_l: 26, density: { g_ml: 1.42, source: 'product sheet' }, content: { kind: 'primer surfacer', volume_solids: 0.4 } },
      { name: 'Thin', role: 'reducer', percent: 10, of: 'whole', tolerance: 0.04, density: {} },
    ],
  };
  const form = firstForm({ id: 'quay', revision: 'r1', recipe });
  form.rows = fitRows(form.rows, parseRatio(form.ratio).shares);
  assert.equal(formTrouble(form), '');
  const same = putBody(form);
  assert.deepEqual(same.recipe, recipe);
  assert.equal(same.revision, 'r1');
  form.rows[0].density = '1.40';
  assert.deepEqual(putBody(form).recipe.components[0].density, {}, 'a new density replaces the old one');
});

test('a density says where it came from, when and how sure it is', () => {
  const c = { density_g_ml: 1.0602, density_source: 'weighed here against water', density_as_given: '106 g where water has 99.8 g', density_since_ms: new Date(2026, 10, 25).getTime(), density_u_g_ml: 0.0065 };
  assert.deepEqual(densityOf(c, 'volume'), { known: true, measured: true, value: '1.060\u202fg/ml', from: 'weighed here, 25 Nov 2026, ±\u202f0.013' });
  assert.equal(densityOf({ ...c, density_source: 'product sheet', density_as_given: '11.85 lb/gal', density_u_g_ml: 0 }, 'volume').from, 'product sheet, 25 Nov 2026, 11.85 lb/gal, ±\u202fnot given');
  const typed = (density_g_ml, density_as_given) => densityOf({ ...c, density_g_ml, density_as_given, density_source: 'product sheet', density_u_g_ml: 0 }, 'volume');
  assert.deepEqual(typed(1.4, '1.40'), { known: true, measured: false, value: '1.40\u202fg/ml', from: 'product sheet, 25 Nov 2026, ±\u202fnot given' });
  assert.equal(typed(1.42, '1,42 g/ml').value, '1.42\u202fg/ml', 'no decimal that nobody typed');
  assert.equal(typed(1.42, '').value, '1.42\u202fg/ml');
  assert.equal(typed(1.2345, '1.2345').value, '1.2345\u202fg/ml');
  assert.equal(typed(1.42, '1420 g/l').value, '1.420\u202fg/ml');
  assert.equal(densityOf({ density_g_ml: 0 }, 'volume').value, 'not known');
  assert.equal(lacking({ basis: 'volume', components: [c, { density_g_ml: 0 }] }), 1);
  assert.equal(lacking({ basis: 'weight', components: [{ density_g_ml: 0 }] }), 0);
  assert.equal(day(0), '');
});

test('a cup is asked for as the bench takes it', () => {
  assert.equal(cupText({ bottom: '85', top: '', high: '120' }), '85x120');
  assert.equal(cupText({ bottom: '70', top: '95,5', high: '120' }), '70/95.5x120');
  assert.equal(cupText({ bottom: '70', top: '', high: '' }), '');
  assert.equal(stripPath('a b', 300, '85x120', '.pdf'), '/api/strip.pdf?recipe=a+b&ml=300&cup=85x120');
});

test('errors are rounded upwards and compared in words', () => {
  assert.equal(percentText(0.0128), '±\u202f1.3\u202f%');
  assert.equal(percentText(0.241), '±\u202f25\u202f%');
  assert.equal(percentText(0), '–');
  const row = (stick, scale) => ({ stick_error: stick, cup_mark_error: stick, scale_error: scale });
  assert.match(bestWay({ why_no_scale: '', components: [row(0.1, 0), row(0.24, 0.012)] }), /20 times surer/);
  assert.match(bestWay({ why_no_scale: '', components: [row(0.01, 0), row(0.012, 0.012)] }), /about as sure/);
  assert.match(bestWay({ why_no_scale: 'no density', components: [row(0.1, 0)] }), /missing/);
});
