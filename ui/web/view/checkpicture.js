// The readings of a check as dots against what is allowed, and as a list.

import { dots, MOST, readingText } from '../check.js';
import { decimal } from '../format.js';
import { el, onChange, svg } from './dom.js';

const WIDE = 400;
const HIGH = 120;
const y = (off) => HIGH / 2 - (off / MOST) * (HIGH / 2 - 12);

/** The picture; update draws it for a walk with so many decimals. */
export function makeCheckPicture() {
  const drawing = svg('svg', { class: 'check-drawing', viewBox: `0 0 ${WIDE} ${HIGH}`, 'aria-hidden': 'true' });
  const legend = el('p', { class: 'check-legend' });
  const list = el('ol', { class: 'check-readings', 'aria-label': 'Readings so far' });
  const node = el('div', { class: 'check-picture' }, drawing, legend, list);
  const draw = onChange((walk, decimals) => {
    drawing.replaceChildren(...ground(walk), ...dots(walk).map(dot));
    legend.replaceChildren(
      el('span', { text: `● weight, allowed ± ${decimal(walk.limit_g, decimals)}\u202fg` }), ' ',
      el('span', { text: `□ empty pan, ± ${decimal(walk.zero_limit_g, decimals)}\u202fg` }));
    const marks = dots(walk);
    list.replaceChildren(...walk.readings.map((r, i) => row(readingText(r, decimals), marks[i].how)));
  });
  return {
    node,
    update: (walk, decimals) => draw(JSON.stringify([walk.readings, walk.of, walk.limit_g, walk.corners_note, decimals]), walk, decimals),
  };
}

function ground(walk) {
  const ticks = Array.from({ length: walk.of }, (_, i) => {
    const x = ((i + 0.5) / walk.of) * WIDE;
    return svg('line', { class: 'check-tick', x1: x, x2: x, y1: HIGH / 2 - 4, y2: HIGH / 2 + 4 });
  });
  return [
    svg('rect', { class: 'check-band', x: 0, y: y(1), width: WIDE, height: y(-1) - y(1) }),
    svg('line', { class: 'check-edge', x1: 0, x2: WIDE, y1: y(1), y2: y(1) }),
    svg('line', { class: 'check-edge', x1: 0, x2: WIDE, y1: y(-1), y2: y(-1) }),
    svg('line', { class: 'check-zero', x1: 0, x2: WIDE, y1: y(0), y2: y(0) }),
    ...ticks,
  ];
}

function dot(d) {
  const x = d.at * WIDE;
  const props = { class: 'check-dot', 'data-how': d.how };
  if (d.cut) { // further out than the picture
    const tip = d.off > 0 ? -9 : 9;
    return svg('path', { ...props, d: `M${x - 9},${y(d.off) - tip / 2} h18 L${x},${y(d.off) + tip} z` });
  }
  if (d.kind === 'empty') return svg('rect', { ...props, 'data-kind': 'empty', x: x - 7, y: y(d.off) - 7, width: 14, height: 14 });
  return svg('circle', { ...props, cx: x, cy: y(d.off), r: 8 });
}

function row(text, how) {
  const [symbol, word] = { in: ['✓', 'within'], out: ['△', 'outside'], noted: ['·', 'noted, not judged'] }[how];
  return el('li', { 'data-how': how },
    el('span', { text: text.place }), el('span', { class: 'n', text: text.shown }), el('span', { class: 'n', text: text.off }), el('span', { text: symbol, 'aria-hidden': 'true' }), el('span', { class: 'unseen', text: word }));
}
