// Choosing: a recipe, then how much.

import { lastText } from '../decide.js';
import { makeNewest } from '../newest.js';
import { ask, recall, recentFirst } from '../shelf.js';
import { makeAmount } from './amount.js';
import { makeCheckLine } from './check.js';
import { el, onChange, setText, show } from './dom.js';

const AGAIN_MS = 3000;
const TITLE = 'Choose what to mix';

/**
 * The region in which a recipe and an amount are chosen. start(on, body)
 * sends the order and gives the answer; late(sentence) tells of a refusal whose
 * amount is not on screen any more.
 */
export function makeChoose(rim, start, guard, commands, late) {
  const problem = el('p', { class: 'sentence' });
  const cards = el('div', { class: 'cards' });
  const check = makeCheckLine(rim);
  const title = el('h1', { id: 'choose-title', class: 'place-title', text: TITLE, tabindex: '-1' });
  const list = el('section', { class: 'choose-list', 'aria-labelledby': 'choose-title' }, title, check.node, problem, cards);
  const cautions = el('aside', { class: 'cautions', 'aria-label': 'Cautions' });
  const amount = makeAmount(rim, start, guard, () => choose(null), commands, late);
  const node = el('div', { class: 'choose' }, list, amount.node, cautions);
  let chosen = null;
  let wanted = '';
  const newest = makeNewest();

  // A recipe that was chosen elsewhere and is still asked for: until it is there, no list flashes up.
  const expect = (id) => {
    wanted = id;
    setText(title, id === '' ? TITLE : 'One moment …');
    show(cards, id === '');
  };
  const turn = (recipe) => {
    chosen = recipe;
    guard.changed();
    show(list, recipe === null);
    show(amount.node, recipe !== null);
    if (recipe === null) check.reset();
  };
  const choose = (recipe) => {
    turn(recipe);
    if (recipe === null) return load();
    expect('');
    return amount.open(recipe, recall(rim.storage)[recipe.id]);
  };
  // Only what has changed moves under the finger: the same list again costs no press.
  const drawCards = onChange((recipes, last) => {
    guard.changed();
    cards.replaceChildren(...recipes.map((r) => card(r, last[r.id], guard, choose)));
  });
  const load = async () => {
    const counts = newest.ask();
    try {
      const { recipes } = await ask(rim.fetch, '/api/shelf');
      if (!counts()) return;
      const found = recipes.find((r) => r.id === wanted);
      const gone = wanted !== '' && found === undefined ? 'What was chosen is not on the shelf any more.' : '';
      expect('');
      if (found !== undefined) choose(found);
      setText(problem, recipes.length === 0 ? 'The shelf is empty: no recipe has been written down yet.' : gone);
      const last = recall(rim.storage);
      drawCards(JSON.stringify([recipes, last]), recentFirst(recipes, last), last);
    } catch (err) {
      if (!counts()) return;
      setText(title, TITLE);
      show(cards, true);
      setText(problem, `${err.message} Asking again.`);
      rim.setTimeout(() => { if (counts()) load(); }, AGAIN_MS);
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
      expect(id);
      if (id !== '' && chosen !== null) turn(null); // not the one before
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
