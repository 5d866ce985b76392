// What must not be overlooked: a bench or a scale that can not be heard, and
// what the bench says of its parts.

import { ago, trouble } from '../format.js';
import { busy, heard, outdated } from '../state.js';
import { NO_WALKS, resting, unkept, unreached } from '../walks.js';
import { el, onChange, show } from './dom.js';

// A reconnect of a blink is no news.
const LINK_MS = 1000;

// What is said on every place: a scale that stays without a weight until
// somebody does something about it, and in a batch also what passes.
const STAYS = ['zero', 'firstZero', 'count'];
const PASSES = ['over', 'under'];

/** The sentences to show at a place, the worst first. The place of the scale tells of its weight and of a stranger itself. Pure. */
export function sentences(state, nowMS, at = '', walks = NO_WALKS) {
  if (outdated(state)) return ['This page is of another version than the bench: load it anew.'];
  const problems = state.health === null ? [] : state.health.problems;
  const said = at === 'scale' ? problems.filter((p) => p !== state.health.stranger && p !== state.health.other_unit) : problems;
  if (!state.link.open) {
    if (nowMS - state.link.sinceMS < LINK_MS) return [];
    return state.link.everOpen
      ? [`The bench can not be reached. ${unreached(state, walks)}`]
      : ['The bench can not be reached yet. This page is trying again.'];
  }
  const h = heard(state, nowMS);
  const lost = h.lost && problems.length === 0 && state.readingAtMS !== null;
  const first = lost ? [`Scale lost: last heard ${ago(h.ageMS)}.`] : [];
  const name = state.weight === null || at === 'scale' ? '' : state.weight.trouble;
  const none = STAYS.includes(name) || (busy(state.view) && PASSES.includes(name)) ? [trouble(name).advice] : [];
  const kept = unkept(walks);
  return [...first, ...none, ...said, ...(kept === '' ? [] : [kept])];
}

/**
 * The region of the banner, and below it what was broken off elsewhere, with the way
 * there. Before the view says whether a batch is mixed, nothing is said of that.
 */
export function makeBanner(guard) {
  const loud = el('div', { class: 'banner', role: 'alert' });
  const rests = el('div', { class: 'rests', role: 'status' });
  const draw = onChange((list) => loud.replaceChildren(...list.map((text) => el('p', { text }))));
  const drawRests = onChange((list) => {
    guard.changed(); // it pushes what stands below it
    rests.replaceChildren(...list.map((n) => el('p', {}, el('span', { text: n.text }), el('a', { class: 'rests-way', href: `#${n.place}`, text: `${n.way} ›` }))));
  });
  return {
    nodes: [loud, rests],
    update(state, nowMS, at, walks = NO_WALKS) {
      const list = sentences(state, nowMS, at, walks);
      draw(list.join('\n'), list);
      show(loud, list.length > 0);
      const quiet = state.view !== null && !outdated(state) ? resting(state, walks, at) : [];
      drawRests(JSON.stringify(quiet), quiet);
      show(rests, quiet.length > 0);
    },
  };
}
