// The cup with a mark, as it should stand there: a picture of what to do, not
// of what is in it. How full the real one is nobody knows before it is measured.

import { el, onChange, svg } from './dom.js';

const X = 150;
const WIDE = 104;
const TOP = 62;
const BASE = 276;
const MARK = 128;

/** The picture; update draws it for a walk. */
export function makeMarkedCup() {
  const drawing = svg('svg', { class: 'marked-drawing', viewBox: '0 0 300 320', 'aria-hidden': 'true' });
  const node = el('figure', { class: 'marked' }, drawing);
  const draw = onChange((w) => drawing.replaceChildren(...picture(w)));
  return { node, update: (w) => draw(`${w.step}|${w.role}|${w.height_mm}|${w.noted_g > 0}`, w) };
}

function picture(w) {
  const [left, right] = [X - WIDE / 2, X + WIDE / 2];
  const full = w.step === 'water' || w.step === 'paint' || w.step === 'done';
  const fill = w.step === 'water' ? 'marked-water' : `paint-${w.role}`;
  const parts = [svg('path', { class: 'cup-pan', d: 'M50 290H250' })];
  if (full) {
    parts.push(svg('rect', { class: `marked-fill ${fill}`, x: left, y: MARK, width: WIDE, height: BASE - MARK }));
    if (w.step === 'water') parts.push(wave(left, right));
  }
  parts.push(
    svg('path', { class: 'marked-wall', d: `M${left} ${TOP}V${BASE}H${right}V${TOP}` }),
    svg('path', { class: 'marked-rim', d: `M${left - 9} ${TOP}h18M${right - 9} ${TOP}h18` }),
    svg('path', { class: 'marked-line', 'data-now': full && w.step !== 'done', d: `M${left - 16} ${MARK}H${right + 16}` }),
    svg('path', { class: 'marked-flag', d: `M${right + 18} ${MARK}l16 -9v18z` }),
    svg('text', { class: 'marked-word', x: right + 40, y: MARK + 6 }, document.createTextNode('mark')),
    svg('path', { class: 'marked-size', d: `M${left - 26} ${MARK}V${BASE}M${left - 33} ${MARK}h14M${left - 33} ${BASE}h14` }),
    svg('text', { class: 'marked-height', x: left - 36, y: (MARK + BASE) / 2 + 5 }, document.createTextNode(`${w.height_mm} mm`)));
  if (w.step === 'cup' || w.step === 'dry') parts.push(arrow(18, 50));
  if (w.step === 'dry') parts.push(...drops());
  if (w.step === 'water' || w.step === 'paint') parts.push(w.noted_g > 0 ? arrow(50, 14) : stream(fill));
  return parts;
}

// Down onto the pan, or up and off it.
function arrow(from, to) {
  const tip = to > from ? -11 : 11;
  return svg('path', { class: 'marked-arrow', d: `M${X} ${from}V${to}M${X - 11} ${to + tip}L${X} ${to}l11 ${tip}` });
}

const stream = (fill) => svg('rect', { class: `marked-stream ${fill}`, x: X - 6, y: 0, width: 12, height: MARK });

function wave(left, right) {
  let d = `M${left} ${MARK}`;
  for (let x = left; x < right; x += 26) d += 'q6.5 -5 13 0t13 0';
  return svg('path', { class: 'marked-wave', d });
}

// Empty and dry: drops that fall beside a crossed-out puddle would be one more
// thing to read, so there are only drops that leave.
function drops() {
  return [[206, 40], [228, 58], [214, 78]].map(([x, y]) => svg('path', { class: 'marked-drop marked-water', d: `M${x} ${y - 10}q8 11 0 16q-8 -5 0 -16z` }));
}
