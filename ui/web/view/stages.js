// A topcoat in stages: which products go over this one. Their VOC is then held
// together against the limit of the topcoat.

import { offeredFor, overOf, slotsOf } from '../decide.js';
import { makeNewest } from '../newest.js';
import { ask } from '../shelf.js';
import { el, onChange, setText } from './dom.js';

const SLOTS = [['mid', 'Midcoat'], ['second', 'Second midcoat'], ['clear', 'Clear over it']];

/** The region; changed() is called when a choice is kept. */
export function makeStages(rim, guard, commands, changed) {
  const s = { recipe: null, over: [], recipes: null, sending: false };
  const newest = makeNewest();
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const selects = Object.fromEntries(SLOTS.map(([slot, label]) => [slot, el('select', { class: 'stage-select', 'data-stage': slot, 'aria-label': label })]));
  const node = el('details', { class: 'stages' }, el('summary', { text: 'A topcoat in stages' }),
    el('p', { class: 'more-small', text: 'With a clear over it, the stages are counted together: base, midcoats, and the clear twice.' }),
    el('div', { class: 'stage-fields' }, ...SLOTS.map(([slot, label]) => el('label', { class: 'own-field' }, el('span', { text: label }), selects[slot]))), problem);
  const put = async () => {
    const chosen = Object.fromEntries(SLOTS.map(([slot]) => [slot, selects[slot].value]));
    const { over, why } = overOf(chosen);
    if (why !== '') {
      setText(problem, why);
      return;
    }
    const counts = newest.ask();
    s.sending = true;
    const answer = await commands.settings({ do: 'stages', recipe_id: s.recipe.id, over });
    if (!counts()) return; // something else was chosen meanwhile, or another recipe is on screen
    s.sending = false;
    setText(problem, answer.ok ? '' : answer.sentence);
    if (!answer.ok) return;
    s.over = over;
    changed();
  };
  for (const select of Object.values(selects)) select.addEventListener('change', put);
  const load = async () => {
    try {
      s.recipes = (await ask(rim.fetch, '/api/shelf')).recipes;
      setText(problem, '');
    } catch (err) {
      setText(problem, err.message);
    }
    draw();
  };
  node.addEventListener('toggle', () => {
    guard.changed();
    if (node.open) load();
  });
  // What a person has chosen and is not kept yet stays when the list comes anew.
  const fill = onChange((others, over, chosen) => {
    const slots = slotsOf(over);
    for (const [slot] of SLOTS) {
      const at = chosen === null ? slots[slot] : chosen[slot];
      const { fits, others: rest } = offeredFor(slot, others);
      const listed = others.find((r) => r.id === at);
      const odd = at === '' || fits.includes(listed) || rest.includes(listed) ? [] : [{ id: at, name: listed === undefined ? `${at} (not on the shelf)` : `${listed.name} (can not stand here)` }];
      const options = (list) => list.map((r) => el('option', { value: r.id, text: r.name }));
      selects[slot].replaceChildren(el('option', { value: '', text: 'none' }), ...options([...odd, ...fits]),
        ...(rest.length === 0 ? [] : [el('optgroup', { label: 'Others' }, ...options(rest))]));
      selects[slot].value = at;
    }
  });
  const draw = () => {
    const others = (s.recipes ?? []).filter((r) => r.id !== s.recipe?.id).map(({ id, name, stage }) => ({ id, name, stage }));
    const same = drawn === JSON.stringify([s.recipe?.id, s.over]);
    drawn = JSON.stringify([s.recipe?.id, s.over]);
    fill(JSON.stringify([drawn, others]), others, s.over, same ? Object.fromEntries(SLOTS.map(([slot]) => [slot, selects[slot].value])) : null);
  };
  let drawn = '';
  return {
    node,
    update(recipe, over) {
      if (s.recipe?.id !== recipe.id) {
        node.open = over.length > 0;
        setText(problem, '');
        s.recipes = null;
        s.sending = false;
        newest.drop();
      }
      s.recipe = recipe;
      if (s.sending) return; // a plan from before turns nothing back
      s.over = over;
      draw();
    },
  };
}
