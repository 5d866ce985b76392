// What a screen reader says by itself: phases, and where a layer stands.

import { announcement } from '../format.js';
import { el, setText } from './dom.js';

/** The unseen region that is read aloud. */
export function makeSpeak() {
  const node = el('div', { class: 'unseen', 'aria-live': 'polite', role: 'status' });
  let before = null;
  return {
    node,
    update(state) {
      if (before !== null && before !== state) {
        const text = announcement(before, state);
        if (text !== '') setText(node, text);
      }
      before = state;
    },
  };
}
