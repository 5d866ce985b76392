// The shelf: products with their ratios and densities, adding and changing
// them, measuring a density, pouring by marks without one.

import { densityOf, lacking } from '../stock.js';
import { makeNewest, makeOnce, makeSteps } from '../newest.js';
import { ask } from '../shelf.js';
import { busy } from '../state.js';
import { makeCups } from './cups.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeGreys } from './grey.js';
import { makeMarks } from './marks.js';
import { makeMeasure } from './measure.js';
import { makeSheetFacts } from './sheetfacts.js';
import { makeShelfForm } from './shelfform.js';

const AGAIN_MS = 3000;
const CONFIRM_MS = 12000;
const UNDO_MS = 60000;

/** The place of the shelf. */
export function makeShelf(rim, commands, guard) {
  const s = { rim, commands, guard, recipes: null, newest: makeNewest(), once: makeOnce(), steps: makeSteps(), reading: null, dueMS: 0, unread: false, chosen: '', form: false, undo: null, confirm: 0 };
  s.problem = el('p', { class: 'sentence', role: 'alert' });
  // What a change brought: the answer has the product as it is now. here() tells
  // whether the person is still where he asked for it; else he is left where he is.
  s.changed = (answer, said, here) => {
    s.recipes = withChange(s.recipes ?? [], answer);
    s.undo = { id: answer.id, revision: answer.recipe?.revision ?? '', said, untilMS: rim.now() + UNDO_MS };
    load(s);
    if (!here()) return;
    s.chosen = answer.recipe === null ? '' : answer.id;
    s.form = false;
  };
  s.go = (id) => {
    s.steps.moved();
    s.chosen = id;
    s.form = false;
    s.confirm = 0;
    setText(s.problem, '');
    guard.changed();
  };
  s.latest = async (id) => {
    await load(s);
    return s.recipes?.find((r) => r.id === id);
  };
  s.fill = (recipe, figures) => {
    s.steps.moved();
    s.form = true;
    s.setup.open(recipe, figures);
    guard.changed();
  };
  s.measure = makeMeasure(rim, commands, guard, async ({ recipe_id: id, name }) => {
    const here = s.steps.here();
    await load(s);
    const r = s.recipes?.find((x) => x.id === id);
    if (r === undefined) return;
    if (here()) s.chosen = id;
    s.undo = { id, revision: r.revision, said: `The density is kept with ${name}.`, untilMS: rim.now() + UNDO_MS };
  });
  s.greys = makeGreys(rim, commands, guard, () => s.recipes ?? [], (recipe, said, here) => {
    if (here()) s.greys.close();
    s.changed({ id: recipe.id, recipe }, said, here);
  });
  s.list = makeList(s);
  s.cups = makeCups(rim, commands, guard, (cup) => {
    s.product.turnTo(cup);
    return recipeOf(s) !== undefined;
  });
  s.product = makeProduct(s);
  s.setup = makeShelfForm(s);
  const undo = makeUndo(s);
  const rests = el('div', { class: 'shelf-broken' }, s.measure.broken, s.cups.broken);
  const node = el('section', { class: 'shelf-place', 'aria-label': 'Shelf' }, s.problem, undo.node, s.measure.said, s.cups.said, rests, s.list.node, s.product.node, s.setup.node, s.measure.node, s.cups.node, s.greys.node);
  return {
    node,
    open() {
      s.dueMS = 0;
      s.measure.open();
      s.cups.open();
    },
    update(state, nowMS) {
      if (nowMS >= s.dueMS) load(s);
      s.measure.update(state, nowMS);
      s.cups.update(state, nowMS);
      const at = s.cups.at() !== '' ? 'cup' : s.measure.at() !== '' ? 'measure' : s.greys.at() ? 'greys' : s.form ? 'form' : s.chosen === '' || recipeOf(s) === undefined ? 'list' : 'product';
      const was = node.dataset.at;
      if (was !== at) {
        guard.changed();
        window.scrollTo(0, 0);
        if (at === 'list') s.list.enter();
        if (!['cup', 'measure'].includes(was)) for (const part of [s.measure, s.cups]) part.quiet();
      }
      setAttr(node, 'data-at', at);
      show(rests, ['list', 'product'].includes(at) || s.measure.at() === 'form' || s.cups.at() === 'form');
      for (const [name, part] of [['list', s.list], ['product', s.product], ['form', s.setup], ['cup', s.cups], ['measure', s.measure], ['greys', s.greys]]) show(part.node, at === name);
      if (at === 'list') s.list.update();
      if (at === 'product') s.product.update(recipeOf(s), state, nowMS);
      if (at === 'form') s.setup.update();
      if (at === 'greys') s.greys.update(nowMS);
      undo.update(nowMS, at);
    },
  };
}

const recipeOf = (s) => s.recipes?.find((r) => r.id === s.chosen);

function withChange(recipes, { id, recipe }) {
  if (recipe === null) return recipes.filter((r) => r.id !== id);
  return recipes.some((r) => r.id === id) ? recipes.map((r) => (r.id === id ? recipe : r)) : [...recipes, recipe];
}

// Reads the shelf. An answer that a later question has overtaken is dropped, and
// that of the later one is waited for in its place.
function load(s) {
  s.dueMS = Infinity;
  s.reading = read(s);
  return s.reading;
}

async function read(s) {
  const counts = s.newest.ask();
  try {
    const { recipes } = await ask(s.rim.fetch, '/api/shelf');
    if (!counts()) return s.reading;
    s.recipes = recipes;
    if (s.unread) setText(s.problem, ''); // what was refused stays said
    s.unread = false;
    const last = s.undo === null ? undefined : s.recipes.find((r) => r.id === s.undo.id);
    if (s.undo !== null && s.undo.revision !== (last?.revision ?? '')) s.undo = null; // it was changed on another page
    s.dueMS = s.rim.now() + 5 * AGAIN_MS; // another page may change it
  } catch (err) {
    if (!counts()) return s.reading;
    s.unread = true;
    setText(s.problem, `${err.message} Asking again.`);
    s.dueMS = s.rim.now() + AGAIN_MS;
  }
  return undefined;
}

// Says beside the place what came of a change, "" where all is well.
function tell(s, answer) {
  s.unread = false;
  setText(s.problem, answer.ok ? '' : answer.sentence);
}

// What was done last, and the way back.
function makeUndo(s) {
  const text = el('span', { class: 'undo-text' });
  const back = ({ id, revision }) => s.once.run(`undo ${id} ${revision}`, async () => {
    const here = s.steps.here();
    const answer = await s.commands.shelf({ do: 'undo', id, revision });
    tell(s, answer);
    if (!answer.ok) return;
    const other = s.undo !== null && s.undo.id !== id ? s.undo : null; // what was done meanwhile can still be undone
    s.changed(answer, 'Undone.', here);
    s.undo = other;
  });
  const button = el('button', { type: 'button', class: 'plain', 'data-shelf': 'undo', text: 'Undo', on: { click: s.guard.press(() => { if (s.undo !== null) back(s.undo); }) } });
  const node = el('div', { class: 'undo', role: 'status' }, text, button);
  return {
    node,
    update(nowMS, at) {
      if (s.undo !== null && nowMS > s.undo.untilMS) s.undo = null;
      const on = s.undo !== null && (at === 'list' || at === 'product');
      if (on) setText(text, s.undo.said);
      show(node, on);
    },
  };
}

function makeList(s) {
  const cards = el('div', { class: 'cards' });
  const add = el('button', { type: 'button', class: 'start shelf-add', 'data-shelf': 'add', text: 'Add a product', on: { click: s.guard.press(() => s.fill(null)) } });
  const greys = el('button', { type: 'button', class: 'plain shelf-greys', 'data-shelf': 'greys', text: 'Undercoat greys', on: { click: s.guard.press(() => {
    s.steps.moved();
    s.greys.open();
    s.guard.changed();
  }) } });
  const half = el('p', { class: 'half-typed', role: 'status' });
  const head = el('div', { class: 'shelf-head' }, el('h1', { class: 'place-title', text: 'Shelf', tabindex: '-1' }), greys, add);
  const draw = onChange((recipes) => {
    s.guard.changed();
    cards.replaceChildren(...recipes.map((r) => card(s, r)));
  });
  return {
    node: el('div', { class: 'shelf-list' }, head, half, cards),
    enter() {
      setText(half, s.setup.halfTyped());
      show(half, half.textContent !== '');
    },
    update() {
      if (s.recipes !== null) draw(JSON.stringify(s.recipes), s.recipes);
    },
  };
}

function card(s, r) {
  const lacks = lacking(r);
  const [ratio, basis] = r.ratio.split(' by ');
  const word = lacks === 0 ? '' : lacks === 1 ? '1 density not known' : `${lacks} densities not known`;
  return el('button', { type: 'button', class: 'card', 'data-product': r.id, on: { click: s.guard.press(() => s.go(r.id)) } },
    el('span', { class: 'card-name', text: r.name }),
    el('span', { class: 'card-ratio' }, el('strong', { text: ratio, class: ratio.length > 16 ? 'long' : '' }), ' ', el('span', { text: basis === undefined ? '' : `by ${basis}` })),
    el('span', { class: 'card-tins', text: r.components.map((c) => c.name).join(', ') }),
    el('span', { class: 'card-lacks', text: word }));
}

// One product: its components with their densities, and what can be done.
function makeProduct(s) {
  const name = el('h1', { class: 'place-title', tabindex: '-1' });
  const ratio = el('p', { class: 'amount-ratio' });
  const rows = el('div', { class: 'stock-rows' });
  const act = makeActions(s);
  const marks = makeMarks(s.rim, s.guard, s.cups);
  const sheet = makeSheetFacts(s.guard, () => s.fill(recipeOf(s), true));
  const back = el('button', { type: 'button', class: 'plain back', 'data-shelf': 'back', text: '‹ Shelf', on: { click: s.guard.press(() => s.go('')) } });
  const node = el('div', { class: 'product' },
    el('div', { class: 'product-head' }, back, el('div', { class: 'product-name' }, name, ratio), act.node), rows, el('div', { class: 'product-more' }, sheet.node, marks.node));
  const draw = onChange((r, why) => {
    s.guard.changed();
    setText(name, r.name);
    setText(ratio, r.pot_life_min > 0 ? `${r.ratio}; pot life ${r.pot_life_min} min` : r.ratio);
    rows.replaceChildren(...r.components.map((c, i) => stockRow(s, r, c, i, why)));
  });
  return {
    node,
    turnTo: marks.turnTo,
    update(r, state, nowMS) {
      const why = busy(state.view) ? 'busy' : '';
      draw(JSON.stringify([r, why]), r, why);
      sheet.update(r);
      marks.update(r);
      act.update(r, nowMS);
    },
  };
}

function stockRow(s, r, c, i, why) {
  const d = densityOf(c, r.basis);
  const measure = el('button', {
    type: 'button', class: d.known ? 'plain' : 'plain wanted', 'data-measure': String(i), disabled: why !== '',
    text: d.measured ? 'Measure again' : 'Measure it', 'aria-label': `Measure the density of ${c.name}`,
    on: { click: s.guard.press(() => {
      s.steps.moved();
      s.measure.begin(r, i);
    }) },
  });
  return el('div', { class: 'stock-row', 'data-known': String(d.known) },
    el('span', { class: `swatch ${c.role}`, 'aria-hidden': 'true' }, el('span', {})),
    el('div', { class: 'stock-name' }, el('strong', { text: c.name }), el('small', { text: c.name.toLowerCase().includes(c.role) ? c.share : `${c.role}, ${c.share}` })),
    el('div', { class: 'stock-density' }, el('strong', { class: 'n', text: d.value }), el('small', { text: d.from })),
    measure);
}

function makeActions(s) {
  const node = el('div', { class: 'product-acts', role: 'group', 'aria-label': 'What you can do with it' });
  const button = (verb, label, kind, f) => el('button', { type: 'button', class: kind, 'data-shelf': verb, text: label, on: { click: s.guard.press(f) } });
  const draw = onChange((r, sure) => {
    s.guard.changed();
    if (sure) {
      node.replaceChildren(
        button('no', 'No, keep it', 'plain sure-no', () => { s.confirm = 0; }),
        button('take', 'Yes, take it off', 'plain grave', () => s.once.run(`take ${r.id} ${r.revision}`, async () => {
          s.confirm = 0;
          const here = s.steps.here();
          const answer = await s.commands.shelf({ do: 'take', id: r.id, revision: r.revision });
          tell(s, answer);
          if (answer.ok) s.changed(answer, `${r.name} is off the shelf.`, here);
        })));
      return;
    }
    node.replaceChildren(
      button('change', 'Change', 'plain', () => s.fill(r)),
      button('ask', 'Take off the shelf', 'plain grave', () => { s.confirm = s.rim.now(); }),
      el('a', { class: `button mix-it${lacking(r) === 0 ? ' ready' : ''}`, href: `#bench/${r.id}`, text: 'Mix it ›' }));
  });
  let asked = '';
  return {
    node,
    update(r, nowMS) {
      const key = `${r.id}|${r.revision}`;
      if (nowMS - s.confirm > CONFIRM_MS || key !== asked) s.confirm = 0; // the question was about what stood there
      asked = key;
      draw(`${r.id}|${r.revision}|${s.confirm > 0}`, r, s.confirm > 0);
    },
  };
}
