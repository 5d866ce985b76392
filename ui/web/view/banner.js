// What must not be overlooked: a bench or a scale that can not be heard, and
// what the bench says of its parts.

import { ago, trouble } from '../format.js';
import { busy, heard, outdated } from '../state.js';
import { el, onChange, show } from './dom.js';

// A reconnect of a blink is no news.
const LINK_MS = 1000;

// What is said on every place: a scale that stays without a weight until
// somebody does something about it, and in a batch also what passes.
const STAYS = ['zero', 'firstZero', 'count'];
const PASSES = ['over', 'under'];

/** The sentences to show at a place, the worst first. The place of the scale tells of its weight and of a stranger itself. Pure. */
export function sentences(state, nowMS, at = '') {
  if (outdated(state)) return ['This page is of another version than the bench: load it anew.'];
  const problems = state.health === null ? [] : state.health.problems;
  const said = at === 'scale' ? problems.filter((p) => p !== state.health.stranger && p !== state.health.other_unit) : problems;
  if (!state.link.open) {
    if (nowMS - state.link.sinceMS < LINK_MS) return [];
    return state.link.everOpen
      ? ['The bench can not be reached. The batch is safe there; this page is trying again.']
      : ['The bench can not be reached yet. This page is trying again.'];
  }
  const h = heard(state, nowMS);
  const lost = h.lost && problems.length === 0 && state.readingAtMS !== null;
  const first = lost ? [`Scale lost: last heard ${ago(h.ageMS)}.`] : [];
  const name = state.weight === null || at === 'scale' ? '' : state.weight.trouble;
  const none = STAYS.includes(name) || (busy(state.view) && PASSES.includes(name)) ? [trouble(name).advice] : [];
  return [...first, ...none, ...said];
}

/** The region of the banner. */
export function makeBanner() {
  const node = el('div', { class: 'banner', role: 'alert' });
  const draw = onChange((list) => node.replaceChildren(...list.map((text) => el('p', { text }))));
  return {
    node,
    update(state, nowMS, at) {
      const list = sentences(state, nowMS, at);
      draw(list.join('\n'), list);
      show(node, list.length > 0);
    },
  };
}
