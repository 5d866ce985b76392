// The cup being measured, in section: each height that was weighed as a mark on
// its wall, and the one to fill to. It shows what to do; how wide the real cup is
// nobody knows before it is measured.

import { decimal } from '../format.js';
import { el, onChange, svg } from './dom.js';

const X = 108;
const BASE = 292;
const HIGH = 224; // of the inside, in the drawing
const BOTTOM = 46; // half of it
const WIDER = 0.1; // half of what each unit of height adds
const ROOM = 1.15; // above the highest mark

/** The picture; update draws it for a walk. */
export function makeCupPicture() {
  const drawing = svg('svg', { class: 'marked-drawing', viewBox: '0 0 352 320', 'aria-hidden': 'true' });
  const node = el('figure', { class: 'marked' }, drawing);
  const draw = onChange((w) => drawing.replaceChildren(...picture(w)));
  return { node, update: (w) => draw(JSON.stringify([w.step, w.levels, w.height_mm, w.noted_g > 0]), w) };
}

function picture(w) {
  const last = w.levels.at(-1)?.height_mm ?? 0;
  const top = Math.max(w.step === 'fill' ? w.height_mm : 0, last, 60) * ROOM;
  const y = (mm) => BASE - (mm / top) * HIGH;
  const half = (at) => BOTTOM + (BASE - at) * WIDER;
  const full = w.step === 'done' || w.noted_g === 0 ? last : w.height_mm;
  const parts = [svg('path', { class: 'cup-pan', d: 'M18 306H198' })];
  if (full > 0) parts.push(svg('path', { class: 'marked-fill marked-water', d: trapezoid(y(full), half) }));
  if (full > 0) parts.push(svg('path', { class: 'marked-wave', d: wave(X - half(y(full)), X + half(y(full)), y(full)) }));
  const rim = BASE - HIGH;
  parts.push(svg('path', { class: 'marked-wall', d: `M${X - half(rim)} ${rim}L${X - BOTTOM} ${BASE}H${X + BOTTOM}L${X + half(rim)} ${rim}` }));
  let free = Infinity;
  w.levels.forEach((l) => {
    const at = y(l.height_mm);
    const text = Math.min(at + 6, free - 20);
    free = text;
    parts.push(
      svg('path', { class: 'marked-line', d: `M${X - half(at)} ${at}H${X + half(at) + 10}L${X + half(rim) + 18} ${text - 6}` }),
      svg('text', { class: 'cup-level', x: X + half(rim) + 22, y: text }, document.createTextNode(`${l.height_mm} mm · ${decimal(l.ml, 0)} ml`)));
  });
  if (w.step === 'fill') {
    const at = y(w.height_mm);
    const text = Math.min(at + 6, free - 22);
    parts.push(
      svg('path', { class: 'marked-line', 'data-now': true, d: `M${X - half(at) - 12} ${at}H${X + half(at) + 12}` }),
      svg('text', { class: 'cup-level', 'data-now': true, x: X + half(rim) + 22, y: text }, document.createTextNode(`${w.height_mm} mm`)));
    if (!(w.noted_g > 0)) parts.push(svg('rect', { class: 'marked-stream marked-water', x: X - 6, y: 0, width: 12, height: Math.max(0, y(full) - 4) }));
  }
  if (w.step === 'cup') parts.push(svg('path', { class: 'marked-arrow', d: `M${X} 12V48M${X - 11} 37L${X} 48l11 -11` }));
  return parts;
}

function trapezoid(at, half) {
  return `M${X - half(at)} ${at}L${X - BOTTOM} ${BASE}H${X + BOTTOM}L${X + half(at)} ${at}Z`;
}

function wave(left, right, at) {
  const n = Math.max(2, Math.round((right - left) / 26));
  const step = (right - left) / n;
  return `M${left} ${at}${`q${step / 4} -5 ${step / 2} 0t${step / 2} 0`.repeat(n)}`;
}
