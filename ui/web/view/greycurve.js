// The picture of two undercoats: L* over the share of the dark one, with the
// drawdowns, the fitted line and the wanted grey.

import { greyHex, greyPicture, pictureText } from '../grey.js';
import { el, onChange, setAttr, svg } from './dom.js';

const WIDE = 470;
const TALL = 250;
const BOX = { left: 74, right: 458, top: 12, bottom: 200 };
const STRIP = { x: 50, wide: 14 };
const TICKS = [0, 25, 50, 75, 100];

/** The picture with its legend. */
export function makeGreyCurve() {
  const inside = svg('g', {});
  const drawing = svg('svg', { viewBox: `0 0 ${WIDE} ${TALL}`, class: 'grey-drawing', role: 'img' }, frame(), inside);
  const legend = el('figcaption', { class: 'grey-legend' },
    key('card', 'your drawdowns'), key('line', 'the fit and its ±'), key('mark', 'the wanted grey'));
  const draw = onChange((kept, wanted, shade) => {
    setAttr(drawing, 'aria-label', pictureText(kept, wanted, shade));
    inside.replaceChildren(...parts(greyPicture(kept, wanted, shade, BOX), kept.fit.ok));
  });
  return {
    node: el('figure', { class: 'grey-curve' }, drawing, legend),
    update(kept, wanted, shade) {
      draw(JSON.stringify([kept.revision, wanted, shade, kept.fit.ok]), kept, wanted, shade);
    },
  };
}

function key(kind, text) {
  return el('span', { class: 'grey-key', 'data-key': kind }, el('span', { class: 'grey-key-mark', 'aria-hidden': 'true' }), el('span', { text }));
}

// The axes, and along that of L* the greys themselves.
function frame() {
  const x = (p) => BOX.left + ((BOX.right - BOX.left) * p) / 100;
  const y = (l) => BOX.bottom - ((BOX.bottom - BOX.top) * l) / 100;
  const steps = Array.from({ length: 40 }, (_, i) => i * 2.5);
  const tall = (BOX.bottom - BOX.top) / 40;
  return svg('g', {},
    ...steps.map((l) => svg('rect', { x: STRIP.x, width: STRIP.wide, y: y(l + 2.5), height: tall + 0.5, fill: greyHex(l + 1.25) })),
    svg('rect', { class: 'grey-frame', x: STRIP.x, width: STRIP.wide, y: BOX.top, height: BOX.bottom - BOX.top }),
    ...TICKS.map((l) => svg('path', { class: 'grey-grid', d: `M${BOX.left} ${y(l)}H${BOX.right}` })),
    ...TICKS.map((l) => text(STRIP.x - 8, y(l) + 6 + (l === 100 ? 6 : 0), 'end', String(l))),
    ...TICKS.map((p) => svg('path', { class: 'grey-tick', d: `M${x(p)} ${BOX.bottom}v7` })),
    ...TICKS.map((p) => text(x(p), BOX.bottom + 25, p === 100 ? 'end' : 'middle', p === 100 ? '100 %' : String(p))),
    text((BOX.left + BOX.right) / 2, TALL - 5, 'middle', 'dark undercoat, per cent by volume'),
    text(4, y(87.5) + 6, 'start', 'L*'));
}

function text(x, y, anchor, words) {
  return svg('text', { class: 'grey-word', x, y, 'text-anchor': anchor, text: words });
}

function parts(p, fits) {
  const tall = BOX.bottom - BOX.top;
  const out = p.unmeasured.flatMap((u) => [
    svg('rect', { class: 'grey-unmeasured', x: u.x, width: u.width, y: BOX.top, height: tall }),
    u.width > 110 ? text(u.x + u.width / 2, BOX.top + 24, 'middle', 'not measured') : null,
  ]).filter(Boolean);
  out.push(svg('path', { class: 'grey-band', d: p.band }));
  if (p.mark !== null) {
    const m = p.mark;
    out.push(
      svg('rect', { class: 'grey-sure', x: BOX.left, width: Math.max(0, m.x - BOX.left), y: m.top, height: Math.max(2, m.tall) }),
      svg('rect', { class: 'grey-sure', x: m.from, width: Math.max(2, m.wide), y: m.y, height: Math.max(0, BOX.bottom - m.y) }));
  }
  out.push(svg('path', { class: 'grey-line', d: p.line }));
  if (p.mark !== null) out.push(svg('path', { class: 'grey-wanted', d: `M${BOX.left} ${p.mark.y}H${p.mark.x}V${BOX.bottom}` }));
  else if (fits) out.push(svg('path', { class: 'grey-wanted', d: `M${BOX.left} ${p.wantedY}H${BOX.right}` }));
  for (const c of p.cards) out.push(svg('circle', { class: 'grey-card', cx: c.x, cy: c.y, r: 7.5, fill: greyHex(c.l) }));
  if (p.mark !== null) out.push(svg('path', { class: 'grey-mark', d: `M${p.mark.x} ${p.mark.y - 10}l10 10l-10 10l-10 -10z` }));
  return out;
}

/** Three stripes: the wanted grey between what its ± would make of it. */
export function makeSwatch() {
  const stripes = [0, 1, 2].map((i) => svg('rect', { x: [0, 26, 74][i], y: 0, width: i === 1 ? 48 : 26, height: 60 }));
  const node = svg('svg', { viewBox: '0 0 100 60', class: 'grey-swatch', role: 'img', preserveAspectRatio: 'none' }, ...stripes);
  const draw = onChange((l, u) => {
    stripes.forEach((s, i) => setAttr(s, 'fill', greyHex(l + [u, 0, -u][i])));
    setAttr(node, 'aria-label', `About the grey of L* ${l}; a screen shows no true grey`);
  });
  return { node, update: (l, u) => draw(`${l}|${u}`, l, u) };
}
