import assert from 'node:assert/strict';
import { test } from 'node:test';
import { mergedForm, othersChanges } from '../merge.js';
import { firstForm, fitRows, parseRatio, putBody } from '../stock.js';

const shelved = (revision, change = () => {}) => {
  const r = {
    id: 'quay', revision, figures: [],
    recipe: {
      id: 'quay', name: 'Quay', basis: 'volume', pot_life_min: 60, note: '',
      components: [{ name: 'Quay', role: 'base', parts: 4, density: { g_ml: 1.4 } }, { name: 'Hard', role: 'hardener', parts: 1, density: {} }],
    },
    components: [{ figures: [] }, { figures: [{ figure: 'nco', typed: '16 %' }] }],
  };
  change(r.recipe, r);
  return r;
};
const opened = shelved('1');
const typed = (change = () => {}) => {
  const form = firstForm(opened);
  form.rows = fitRows(form.rows, parseRatio(form.ratio).shares);
  change(form);
  return form;
};
const said = (theirs, form) => othersChanges(opened, theirs, form).map(({ label, was, now, mine }) => [label, was, now, mine]);

test('what the other page changed is said field by field, beside what was typed here', () => {
  const theirs = shelved('2', (recipe, r) => {
    recipe.pot_life_min = 90;
    recipe.basis = 'weight';
    recipe.components[1].density = { g_ml: 1.062 };
    r.components[1].figures = [{ figure: 'nco', typed: '17 %' }];
    r.figures = [{ figure: 'cup', typed: '650 ml' }];
  });
  const form = typed((f) => {
    f.pot = '45';
    f.name = 'Quay clear';
    f.rows[1].density = '1.07';
  });
  assert.deepEqual(said(theirs, form), [
    ['The parts count', 'by volume', 'by weight', ''], ['Pot life, min', '60', '90', '45'],
    ['Density of Hard', '', '1.062\u202fg/ml', '1.07'], ['NCO content, Hard', '16 %', '17 %', ''], ['The usual cup holds', '', '650 ml', ''],
  ]);
  assert.deepEqual(said(shelved('2'), form), [], 'nothing that a form shows');
  assert.deepEqual(said(theirs, typed((f) => { f.pot = '90'; })).filter(([label]) => label.startsWith('Pot')), [['Pot life, min', '60', '90', '']], 'both typed the same');
});

test('a form that goes on has what only one of them changed, and of the rest what was chosen', () => {
  const theirs = shelved('2', (recipe) => {
    recipe.pot_life_min = 90;
    recipe.note = 'stir well';
    recipe.components[1].density = { g_ml: 1.062 };
  });
  const form = typed((f) => {
    f.pot = '45';
    f.name = 'Quay clear';
    f.from = 'sheet of May';
    f.rows[0].density = '1.41';
    f.rows[1].density = '1.07';
    f.rows[1].figures.nco = '18 %';
  });
  const look = (keepMine) => {
    const m = mergedForm(opened, theirs, form, keepMine);
    return [m.revision, m.name, m.pot, m.note, m.from, m.rows[0].density, m.rows[1].density, m.rows[1].figures.nco];
  };
  assert.deepEqual(look(false), ['2', 'Quay clear', '90', 'stir well', 'sheet of May', '1.41', '', '18 %']);
  assert.deepEqual(look(true), ['2', 'Quay clear', '45', 'stir well', 'sheet of May', '1.41', '1.07', '18 %']);
  const body = putBody(mergedForm(opened, theirs, form, false));
  assert.equal(body.revision, '2');
  assert.deepEqual(body.recipe.components[1].density, { g_ml: 1.062 }, 'what they weighed is not lost');
  assert.deepEqual(body.figures, [{}, { typed: { nco: '18 %' } }]);
});

test('another ratio on either side keeps the components together', () => {
  const longer = shelved('2', (recipe, r) => {
    recipe.components.push({ name: 'Thin', role: 'reducer', percent: 10, of: 'parts', density: {} });
    r.components.push({ figures: [] });
  });
  const mine = typed((f) => { f.rows[1].name = 'Hardener'; });
  assert.deepEqual(mergedForm(opened, longer, mine, true).rows.map((r) => [r.name, r.of]), [['Quay', ''], ['Hardener', ''], ['Thin', 'parts']]);
  const mineLonger = typed((f) => {
    f.ratio = '4:1:1';
    f.rows = fitRows(f.rows, parseRatio(f.ratio).shares);
    f.rows[2].name = 'My thinner';
  });
  const merged = mergedForm(opened, shelved('2', (r) => { r.pot_life_min = 90; }), mineLonger, false);
  assert.deepEqual([merged.ratio, merged.pot, merged.rows.map((r) => r.name)], ['4:1:1', '90', ['Quay', 'Hard', 'My thinner']]);
  assert.deepEqual(mergedForm(opened, longer, mineLonger, false).rows.map((r) => r.name), ['Quay', 'Hard', 'Thin'], 'theirs, all of it');
  assert.deepEqual(mergedForm(opened, longer, mineLonger, true).rows.map((r) => r.name), ['Quay', 'Hard', 'My thinner']);
});
