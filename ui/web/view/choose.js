// Choosing: a recipe, then how much.

import { lastText } from '../decide.js';
import { ask, recall, recentFirst } from '../shelf.js';
import { makeAmount } from './amount.js';
import { makeCheckLine } from './check.js';
import { el, onChange, setText, show } from './dom.js';

const AGAIN_MS = 3000;

/**
 * The region in which a recipe and an amount are chosen. start(on, body)
 * sends the order and gives the answer.
 */
export function makeChoose(rim, start, guard, commands) {
  const problem = el('p', { class: 'sentence' });
  const cards = el('div', { class: 'cards' });
  const check = makeCheckLine(rim);
  const list = el('section', { class: 'choose-list', 'aria-labelledby': 'choose-title' },
    el('h1', { id: 'choose-title', class: 'place-title', text: 'Choose what to mix', tabindex: '-1' }), check.node, problem, cards);
  const cautions = el('aside', { class: 'cautions', 'aria-label': 'Cautions' });
  const amount = makeAmount(rim, start, guard, () => choose(null), commands);
  const node = el('div', { class: 'choose' }, list, amount.node, cautions);
  let chosen = null;
  let wanted = '';
  let loading = false;

  const choose = (recipe) => {
    chosen = recipe;
    guard.changed();
    show(list, recipe === null);
    show(amount.node, recipe !== null);
    if (recipe !== null) amount.open(recipe, recall(rim.storage)[recipe.id]);
    else {
      check.reset();
      load();
    }
  };
  const load = async () => {
    if (loading) return;
    loading = true;
    try {
      const { recipes } = await ask(rim.fetch, '/api/shelf');
      const found = recipes.find((r) => r.id === wanted);
      wanted = '';
      if (found !== undefined) choose(found);
      setText(problem, recipes.length === 0 ? 'The shelf is empty: no recipe has been written down yet.' : '');
      const last = recall(rim.storage);
      guard.changed();
      cards.replaceChildren(...recentFirst(recipes, last).map((r) => card(r, last[r.id], guard, choose)));
    } catch (err) {
      setText(problem, `${err.message} Asking again.`);
      rim.setTimeout(load, AGAIN_MS);
    } finally {
      loading = false;
    }
  };
  const drawCautions = onChange((sentences) => cautions.replaceChildren(...sentences.map((text) => el('p', { text }))));
  show(amount.node, false);
  return {
    node,
    /** Back to the list, for a bench that has just become free. */
    reset: () => choose(null),
    /** Asks anew what stands on the shelf, and goes on with the recipe of an id, if it is there. */
    refresh(id = '') {
      wanted = id;
      if (chosen === null || id !== '') load();
    },
    update(state, nowMS) {
      const sentences = state.hello === null ? [] : state.hello.cautions;
      drawCautions(sentences.join('\n'), sentences);
      show(cautions, sentences.length > 0);
      if (chosen !== null) amount.update(state);
      else check.update(nowMS);
    },
  };
}

function card(recipe, last, guard, choose) {
  const [ratio, basis] = recipe.ratio.split(' by ');
  const made = lastText(last);
  return el('button', { type: 'button', class: 'card', 'data-recipe': recipe.id, on: { click: guard.press(() => choose(recipe)) } },
    el('span', { class: 'card-name', text: recipe.name }),
    el('span', { class: 'card-ratio' }, el('strong', { text: ratio, class: ratio.length > 16 ? 'long' : '' }), ' ', el('span', { text: basis === undefined ? '' : `by ${basis}` })),
    el('span', { class: 'card-tins', text: recipe.components.map((c) => c.name).join(', ') }),
    el('span', { class: 'card-last', text: made }));
}
