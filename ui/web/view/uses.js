// The categories that a recipe is used as: which VOC limits it is held against.

import { limitDetail, limitSets } from '../decide.js';
import { ask } from '../shelf.js';
import { el, setText, show } from './dom.js';

const FIELDS = [['set', 'Whose limit', 'text'], ['category', 'Category', 'text'], ['g_l', 'g/l', 'decimal'], ['source', 'Where it stands', 'text'], ['date', 'Of when', 'text']];
const BASES = ['less water and exempt solvent', 'less water', 'of the whole product', 'of the material'];

/** The region; changed() is called when the choice is kept. */
export function makeUses(rim, guard, commands, changed) {
  const s = { recipe: null, uses: [], open: false, limits: null };
  const list = el('div', { class: 'uses-inside' });
  const note = el('p', { class: 'more-small' });
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const form = makeOwn(guard, async (limit) => {
    const answer = await commands.settings({ do: 'add-limit', limit });
    setText(problem, answer.ok ? '' : answer.sentence);
    if (answer.ok) await load();
    return answer.ok;
  });
  const open = el('button', { type: 'button', class: 'plain uses-open', on: { click: guard.press(() => { s.open = !s.open; guard.changed(); if (s.open) load(); draw(); }) } });
  const inside = el('div', { class: 'uses-inside' }, list, form, note);
  const node = el('div', { class: 'uses' }, open, inside, problem);
  const load = async () => {
    try {
      const answer = await ask(rim.fetch, '/api/limits');
      s.limits = answer.limits;
      setText(note, answer.note);
      setText(problem, '');
    } catch (err) {
      setText(problem, err.message);
    }
    draw();
  };
  const choose = async (name) => {
    const uses = s.uses.includes(name) ? s.uses.filter((u) => u !== name) : [...s.uses, name];
    const answer = await commands.settings({ do: 'uses', recipe_id: s.recipe.id, uses });
    setText(problem, answer.ok ? '' : answer.sentence);
    if (!answer.ok) return;
    s.uses = uses;
    draw();
    changed();
  };
  const draw = () => {
    setText(open, s.open ? 'Done' : s.uses.length === 0 ? 'Choose what it is used as' : 'Used as …');
    show(inside, s.open);
    list.replaceChildren(...limitSets(s.limits ?? []).map(([set, limits]) => el('div', { class: 'voc-limits', role: 'group', 'aria-label': set },
      el('p', { class: 'voc-set', text: set }), ...limits.map((l) => button(l, s.uses, guard, choose)))));
  };
  draw();
  return {
    node,
    update(recipe, uses) {
      if (s.recipe?.id !== recipe.id) s.open = false;
      s.recipe = recipe;
      if (JSON.stringify(uses) === JSON.stringify(s.uses)) return;
      s.uses = uses;
      draw();
    },
  };
}

function button(limit, uses, guard, choose) {
  const on = uses.includes(limit.name);
  return el('button', { type: 'button', class: 'voc-limit', 'data-limit': limit.name, 'aria-pressed': on ? 'true' : 'false', on: { click: guard.press(() => choose(limit.name)) } },
    el('span', { text: `${on ? '✓ ' : ''}${limit.category}` }), el('small', { text: limitDetail(limit) }));
}

// A limit of the shop's own: nothing is taken without its source and date.
function makeOwn(guard, add) {
  const inputs = Object.fromEntries(FIELDS.map(([name, label, mode]) => [name, el('input', { type: 'text', inputmode: mode === 'decimal' ? 'decimal' : null, autocomplete: 'off', class: 'own-input', 'data-own': name, 'aria-label': label })]));
  let basis = BASES[0];
  const bases = el('div', { class: 'own-bases', role: 'group', 'aria-label': 'Counted' });
  const drawBases = () => bases.replaceChildren(...BASES.map((b) => el('button', { type: 'button', class: 'own-basis', text: b, 'aria-pressed': b === basis ? 'true' : 'false', on: { click: guard.press(() => { basis = b; drawBases(); }) } })));
  drawBases();
  const press = async () => {
    const limit = Object.fromEntries(FIELDS.map(([name]) => [name, inputs[name].value.trim()]));
    const gl = Number(limit.g_l.replace(',', '.'));
    if (await add({ ...limit, g_l: Number.isFinite(gl) ? gl : 0, basis, own: true })) for (const input of Object.values(inputs)) input.value = '';
  };
  return el('details', { class: 'limit-own' }, el('summary', { text: 'A limit of your own' }),
    el('div', { class: 'own-fields' }, ...FIELDS.map(([name, label]) => el('label', { class: 'own-field' }, el('span', { text: label }), inputs[name]))),
    bases, el('button', { type: 'button', class: 'plain', text: 'Add it', 'data-own': 'add', on: { click: guard.press(press) } }));
}
