// Answers that come late or swapped on the shelf: nobody is taken along who has
// gone elsewhere, and nothing that was typed meanwhile is lost.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { initial } from '../state.js';
import { makeMarks } from '../view/marks.js';
import { makeShelf } from '../view/shelf.js';
import { guard, slowBench, spread } from './paper.js';

spread();

const product = (id, revision = `${id}-1`, name = id) => ({
  id, name, revision, ratio: '4 : 1 by volume', basis: 'volume', pot_life_min: 0, note: '', uses: [], figures: [],
  recipe: { name, basis: 'volume', components: [{ name: `${name} base`, role: 'base', parts: 4, density: {} }, { name: `${name} hard`, role: 'hardener', parts: 1, density: {} }] },
  components: ['base', 'hard'].map((part) => ({ name: `${name} ${part}`, role: part === 'base' ? 'base' : 'hardener', share: '1 part', density_g_ml: 0, figures: [] })),
});

async function shelf(...products) {
  const b = slowBench();
  const place = makeShelf(b.rim, makeCommands(b.rim), guard);
  const find = (selector) => place.node.querySelectorAll(selector).find((n) => n.offsetParent !== null);
  const s = {
    b, place, find,
    at: () => place.node.getAttribute('data-at'),
    problem: () => place.node.children[0].textContent,
    draw: async () => {
      place.update({ ...initial(), view: null }, b.ms);
      await b.settle();
    },
    press: async (selector) => {
      const node = find(selector);
      assert.ok(node !== undefined && !node.inert, `${selector} can be pressed`);
      node.fire('click');
      await s.draw();
    },
    type: (selector, text) => {
      find(selector).value = text;
      find(selector).fire('input');
    },
    fill: async () => {
      await s.press('[data-shelf="add"]');
      s.type('[data-field="name"]', 'Quay');
      s.type('[data-field="ratio"]', '4:1');
      await s.draw();
    },
    put: () => b.on('/api/shelf', 'put'),
  };
  await s.draw();
  await b.on('/api/shelf').answer({ recipes: products });
  await b.on('/api/measure').answer({ version: 0, said: '', walk: null, kinds: [{ kind: 'clear' }], vessels: [] });
  await b.on('/api/cups').answer({ version: 0, said: '', walk: null, cups: [], taken: null });
  await s.draw();
  return s;
}

test('a product that was put is seen at once, and an older reading of the shelf does not take it away', async () => {
  const s = await shelf(product('slate'));
  await s.fill();
  await s.b.pass(20000);
  await s.draw();
  const older = s.b.asked.find((a) => a.path === '/api/shelf' && a.body === null);
  await s.press('[data-shelf="put"]');
  await s.put().answer({ ok: true, id: 'quay', recipe: product('quay', 'quay-1', 'Quay') });
  await s.draw();
  assert.equal(s.at(), 'product', 'before the shelf is read anew');
  await older.answer({ recipes: [product('slate')] });
  await s.draw();
  assert.equal(s.at(), 'product');
  assert.match(s.place.node.textContent, /Quay is on the shelf\./);
});

test('while a form is on its way nothing can be typed into it, and it wakes up with a refusal', async () => {
  const s = await shelf();
  await s.fill();
  await s.press('[data-shelf="put"]');
  assert.equal(s.find('[data-field="name"]').inert, true);
  assert.equal(s.find('[data-shelf="leave"]').inert, false, 'but it can be left');
  await s.put().answer({ ok: false, code: 'bad-order', sentence: 'No.' }, 422);
  assert.equal(s.find('[data-field="name"]').inert, false);
  assert.equal(s.find('.shelf-form .sentence').textContent, 'No.');
});

test('who has left the form is not taken back to it, and nothing he types in another one is lost', async () => {
  const s = await shelf(product('slate'));
  await s.fill();
  await s.press('[data-shelf="put"]');
  const put = s.put();
  await s.press('[data-shelf="leave"]');
  await s.press('[data-product="slate"]');
  await s.press('[data-shelf="change"]');
  s.type('[data-field="name"]', 'Slate, new');
  await put.answer({ ok: true, id: 'quay', recipe: product('quay', 'quay-1', 'Quay') });
  await s.draw();
  assert.equal(s.at(), 'form');
  assert.equal(s.find('[data-field="name"]').value, 'Slate, new');
  s.type('[data-field="name"]', 'Slate, newer');
  await s.press('[data-shelf="leave"]');
  assert.match(s.place.node.textContent, /Quay is on the shelf\.Undo/);
  await s.press('[data-shelf="change"]');
  assert.equal(s.find('[data-field="name"]').value, 'Slate, newer', 'it is still half changed');
});

test('a refusal of a form that was left is told where he is, and the form is still half typed', async () => {
  const s = await shelf(product('slate'));
  await s.fill();
  await s.press('[data-shelf="put"]');
  const put = s.put();
  await s.press('[data-shelf="leave"]');
  await s.press('[data-product="slate"]');
  await s.press('[data-shelf="change"]');
  await put.answer({ ok: false, code: 'bad-order', sentence: 'A part is missing.' }, 422);
  await s.draw();
  assert.equal(s.problem(), 'Quay was not kept, and is still half typed here: A part is missing.');
  assert.equal(s.find('.shelf-form .sentence').textContent, '', 'not in the other form');
  await s.press('[data-shelf="leave"]');
  await s.press('[data-shelf="back"]');
  await s.press('[data-shelf="add"]');
  assert.equal(s.find('[data-field="name"]').value, 'Quay');
});

test('kinds that come late take no question away, and are asked for again', async () => {
  const s = await shelf();
  await s.fill();
  await s.b.on('/api/measure').lose();
  await s.press('[data-shelf="put"]');
  await s.put().answer({ ok: false, code: 'ask', sentence: 'Unusual: is it so?' }, 409);
  await s.b.pass(3000);
  await s.b.on('/api/measure').answer({ kinds: [{ kind: 'clear' }] });
  assert.match(s.find('.form-asks').textContent, /is it so/);
  assert.match(s.find('[data-row="kind-0"]').textContent, /clear/);
});

test('an undo is sent once, and takes nobody along who has opened another product', async () => {
  const s = await shelf(product('slate'), product('ferry'));
  await s.press('[data-product="slate"]');
  await s.press('[data-shelf="ask"]');
  await s.press('[data-shelf="take"]');
  await s.b.on('/api/shelf', 'take').answer({ ok: true, id: 'slate', recipe: null });
  await s.draw();
  assert.equal(s.at(), 'list');
  await s.press('[data-shelf="undo"]');
  await s.press('[data-shelf="undo"]');
  assert.equal(s.b.asked.filter((a) => a.body?.do === 'undo').length, 1);
  await s.press('[data-product="ferry"]');
  await s.b.on('/api/shelf', 'undo').answer({ ok: true, id: 'slate', recipe: product('slate') });
  await s.draw();
  assert.equal(s.find('.product .place-title').textContent, 'ferry');
});

test('a sentence that the bench was not reached goes when it is', async () => {
  const s = await shelf(product('slate'));
  await s.b.pass(20000);
  await s.draw();
  await s.b.on('/api/shelf').lose();
  assert.match(s.problem(), /could not be reached. Asking again/);
  await s.b.pass(4000);
  await s.draw();
  await s.b.on('/api/shelf').answer({ recipes: [product('slate')] });
  assert.equal(s.problem(), '');
});

test('what another page changed is said beside what was typed, and neither is lost', async () => {
  const s = await shelf(product('slate'));
  await s.press('[data-product="slate"]');
  await s.press('[data-shelf="change"]');
  s.type('[data-field="name"]', 'Slate, mine');
  s.type('[data-field="pot"]', '45');
  await s.press('[data-shelf="put"]');
  await s.put().answer({ ok: false, code: 'stale', sentence: 'It was changed meanwhile.' }, 409);
  assert.equal(s.find('[data-field="name"]').inert, true, 'until it is known what was changed');
  const theirs = product('slate', 'slate-2');
  theirs.recipe.pot_life_min = 90;
  theirs.recipe.components[1].density = { g_ml: 1.062 };
  await s.b.asked.find((a) => a.path === '/api/shelf' && a.body === null).answer({ recipes: [theirs] });
  const rows = () => s.find('.merge').querySelectorAll('tbody tr').map((tr) => tr.children.map((c) => c.textContent).join(' | '));
  assert.deepEqual(rows(), ['Pot life, min | nothing | 90 | 45', 'Density of slate hard | nothing | 1.062\u202fg/ml | ']);
  assert.equal(s.find('[data-shelf="put"]'), undefined);
  await s.press('[data-merge="mine"]');
  assert.equal(s.find('.merge'), undefined);
  assert.deepEqual(['name', 'pot'].map((n) => s.find(`[data-field="${n}"]`).value), ['Slate, mine', '45']);
  assert.match(s.find('[data-field="density-1"]').getAttribute('placeholder'), /^1\.062 stays/);
  await s.press('[data-shelf="put"]');
  const { body } = s.put();
  assert.deepEqual([body.revision, body.recipe.pot_life_min, body.recipe.components[1].density], ['slate-2', 45, { g_ml: 1.062 }]);
});

test('what is half changed stays with a product that another page has changed since', async () => {
  const s = await shelf(product('slate'));
  await s.press('[data-product="slate"]');
  await s.press('[data-shelf="change"]');
  s.type('[data-field="name"]', 'Slate, mine');
  await s.press('[data-shelf="leave"]');
  const theirs = product('slate', 'slate-2');
  theirs.recipe.pot_life_min = 90;
  await s.b.pass(20000);
  await s.draw();
  await s.b.asked.find((a) => a.path === '/api/shelf').answer({ recipes: [theirs] });
  await s.draw();
  await s.press('[data-shelf="change"]');
  assert.match(s.find('.merge').textContent, /in other fields than yours. Both stay\./);
  await s.press('[data-merge="go"]');
  assert.deepEqual(['name', 'pot'].map((n) => s.find(`[data-field="${n}"]`).value), ['Slate, mine', '90']);
  await s.press('[data-shelf="leave"]');
  await s.press('[data-shelf="change"]');
  assert.equal(s.find('.merge'), undefined, 'it is half changed on the version of now');
  assert.equal(s.find('[data-field="name"]').value, 'Slate, mine');
  await s.press('[data-shelf="put"]');
  await s.put().answer({ ok: true, id: 'slate', recipe: product('slate', 'slate-3') });
  await s.draw();
  await s.press('[data-shelf="change"]');
  assert.equal(s.find('.merge'), undefined, 'and nothing of it is left once it is kept');
  assert.equal(s.find('[data-field="name"]').value, 'slate');
});

function marks() {
  const b = slowBench();
  const known = { list: [{ id: 'a', name: 'A', text: 'measured', top_ml: 300 }], answer: null };
  const place = makeMarks(b.rim, guard, { list: () => known.list, taken: () => null, change: async () => known.answer, begin() {} });
  place.update({ id: 'slate', revision: '1' });
  place.node.querySelector('[data-shelf="marks"]').fire('click');
  const type = (name, text) => {
    place.node.querySelector(`[data-marks="${name}"]`).value = text;
    place.node.querySelector(`[data-marks="${name}"]`).fire('input');
  };
  const strip = { components: [{ name: 'Slate', volume_ml: 240, mark_mm: 40 }], beyond: '', why_no_scale: 'x' };
  return { b, known, place, type, strip };
}

test('the strip to print is that of what stands in the fields, and another product has no marks of this one', async () => {
  const { b, place, type, strip } = marks();
  type('bottom', '85');
  type('high', '120');
  await b.pass(300);
  await b.on('/api/strip').answer(strip);
  type('ml', '500');
  assert.match(place.node.querySelector('.marks-links a').getAttribute('href'), /ml=500/);
  assert.ok(place.node.querySelector('tbody').hasAttribute('data-waiting'), 'the rows are those of before');
  place.update({ id: 'ferry', revision: '1' });
  place.node.querySelector('[data-shelf="marks"]').fire('click');
  assert.ok(place.node.querySelector('table').hidden);
});

test('a cup that could not be taken off the list says why where that was pressed', async () => {
  const { b, known, place } = marks();
  place.turnTo(known.list[0]);
  known.answer = { ok: false, sentence: 'The bench could not be reached.' };
  place.node.querySelector('[data-marks="take"]').fire('click');
  await b.settle();
  assert.equal(place.node.querySelector('.marks-problem').textContent, 'The bench could not be reached.');
});
