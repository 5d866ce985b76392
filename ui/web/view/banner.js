// What must not be overlooked: a bench or a scale that can not be heard, and
// what the bench says of its parts.

import { ago } from '../format.js';
import { busy, heard, outdated } from '../state.js';
import { el, onChange, show } from './dom.js';

// A reconnect of a blink is no news.
const LINK_MS = 1000;

/** The sentences to show, the worst first. Pure. */
export function sentences(state, nowMS) {
  if (outdated(state)) return ['This page is of another version than the bench: load it anew.'];
  const said = state.health === null ? [] : state.health.problems;
  if (!state.link.open) {
    if (nowMS - state.link.sinceMS < LINK_MS) return [];
    return state.link.everOpen
      ? ['The bench can not be reached. The batch is safe there; this page is trying again.']
      : ['The bench can not be reached yet. This page is trying again.'];
  }
  const h = heard(state, nowMS);
  const lost = h.lost && said.length === 0 && state.readingAtMS !== null;
  const first = lost ? [`Scale lost: last heard ${ago(h.ageMS)}.`] : [];
  const over = busy(state.view) && state.weight !== null && state.weight.trouble === 'over' ? ['More is on the scale than it can weigh.'] : [];
  return [...first, ...over, ...said];
}

/** The region of the banner. */
export function makeBanner() {
  const node = el('div', { class: 'banner', role: 'alert' });
  const draw = onChange((list) => node.replaceChildren(...list.map((text) => el('p', { text }))));
  return {
    node,
    update(state, nowMS) {
      const list = sentences(state, nowMS);
      draw(list.join('\n'), list);
      show(node, list.length > 0);
    },
  };
}
