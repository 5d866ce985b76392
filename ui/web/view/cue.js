// The cue for the hand: shape, word and colour say the same thing.

import { cue } from '../format.js';
import { el, onChange, setAttr, setText, show, svg } from './dom.js';

// One drawing for each cue, in a box of 48: a falling stream that is full,
// thin, cut off; a level on its line; a level above it; an open circle; a
// broken line.
const SHAPES = {
  pour: 'M17 4h14v24h9L24 45 8 28h9z',
  ease: 'M21.500 4h5v26h8L24 42 13.500 30h8z',
  stop: 'M8 8h32v32H8z',
  on: 'M4 27l9-8 8 9L37 8l8 7-24 27z',
  past: 'M24 3l16 18h-9v12H17V21H8zM6 38h36v6H6z',
  wait: 'M24 5a19 19 0 1 0 .01 0zM24 13a11 11 0 1 1-.01 0z',
  lost: 'M4 20h14v8H4zM30 20h14v8H30zM20 8h8v32h-8z',
};

/** The band with the cue. */
export function makeCue() {
  const path = svg('path', {});
  const word = el('span', { class: 'cue-word' });
  const detail = el('span', { class: 'cue-detail' });
  const node = el('div', { class: 'cue' },
    svg('svg', { viewBox: '0 0 48 48', class: 'cue-shape', 'aria-hidden': 'true', 'fill-rule': 'evenodd' }, path), word, detail);
  const shape = onChange((tone) => setAttr(path, 'd', SHAPES[tone]));
  return {
    node,
    update(state, h) {
      const c = cue(state.view, state.weight, h);
      show(node, c !== null);
      if (c === null) return;
      shape(c.tone, c.tone);
      setAttr(node, 'data-tone', c.tone);
      setText(word, c.word);
      setText(detail, c.detail);
    },
  };
}
