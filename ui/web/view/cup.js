// The cup in section, drawn like a section: hatched walls, layers at their
// true volumes, and the line to pour to as the mark on a calibrated pot.

import { grams, millilitres } from '../format.js';
import { approach, frustum, spread, stack } from '../geometry.js';
import { place } from '../state.js';
import { el, setAttr, setText, show, svg } from './dom.js';

// The drawing's own units. The cup stands left, its labels right.
const BOX = { width: 410, height: 470 };
const CUP = { x: 134, base: 444, height: 404, bottom: 84, top: 114, wall: 8 };
const LABEL_X = 266;
const LABEL_GAP = 48;
const LABEL_LETTERS = 21; // what the space beside the cup holds
// A band that is thinner in truth would vanish behind its own line.
const BAND_LEAST = 5;
const ROLES = ['base', 'hardener', 'reducer', 'additive'];

/** The region of the cup. */
export function makeCup(reducedMotion) {
  const layers = svg('g', {});
  const band = svg('rect', { class: 'cup-band' });
  const line = svg('g', { class: 'cup-line' },
    svg('path', { class: 'cup-line-mark' }), svg('path', { class: 'cup-line-flag' }));
  const marks = svg('g', { class: 'cup-marks' });
  const stream = svg('rect', {});
  const labels = svg('g', { class: 'cup-labels' });
  const drawing = svg('svg', { viewBox: `0 0 ${BOX.width} ${BOX.height}`, class: 'cup-drawing', 'aria-hidden': 'true' },
    patterns(), svg('g', { 'clip-path': 'url(#cup-inside)' }, svg('g', { mask: 'url(#from-above)' }, stream), layers, band), walls(), marks, line, labels);
  const note = el('p', { class: 'cup-note' });
  const node = el('figure', { class: 'cup', role: 'img', 'aria-label': 'The cup in section' }, drawing, note);
  const drawn = { amountG: null, key: '', atMS: 0 };
  return {
    node,
    update(state, h, nowMS) {
      const { view } = state;
      if (view === null) return;
      const real = liveAmount(state, h);
      const level = follow(drawn, real, `${view.batch}|${view.current}`, nowMS, reducedMotion());
      const at = place(view);
      const s = stack(view, level);
      if (at === 'stir') s.line = null; // everything is in: there is nothing left to pour to
      const shape = frustum(s.capacity, CUP.bottom, CUP.top, CUP.height);
      drawLayers(layers, s, shape, h.stale || at === 'held');
      drawLine(line, band, s, shape);
      drawMarks(marks, view, s, shape);
      drawStream(stream, state, s, shape, h);
      drawLabels(labels, view, s, shape, real);
      setText(note, s.unit === 'g' ? 'Layers by weight: a density is not known' : '');
      show(note, s.unit === 'g');
      setAttr(node, 'aria-label', describe(view, s));
    },
  };
}

// The live amount of the current component, null where only what was accepted
// is certain.
function liveAmount(state, h) {
  const at = place(state.view);
  const heldByHand = at === 'held' && state.view.hold === 'person';
  if (at !== 'pour' && at !== 'decide' && !heldByHand) return null;
  return h.valid && h.matches ? Math.max(0, state.weight.amount_g) : state.view.components[state.view.current].poured_g;
}

function follow(drawn, real, key, nowMS, jump) {
  if (real === null || drawn.amountG === null || drawn.key !== key || jump) drawn.amountG = real;
  else drawn.amountG = approach(drawn.amountG, real, Math.min(200, nowMS - drawn.atMS));
  drawn.key = key;
  drawn.atMS = nowMS;
  return drawn.amountG;
}

const y = (height) => CUP.base - height;

function outline(shape, from, to) {
  const [r1, r2] = [shape.radiusAt(from), shape.radiusAt(to)];
  return `M${CUP.x - r1} ${y(from)}L${CUP.x - r2} ${y(to)}H${CUP.x + r2}L${CUP.x + r1} ${y(from)}z`;
}

function walls() {
  const { x, base, height, bottom, top, wall } = CUP;
  const inside = `M${x - top} ${base - height}L${x - bottom} ${base}H${x + bottom}L${x + top} ${base - height}`;
  const body = `${inside}h${wall}L${x + bottom + wall} ${base + wall}H${x - bottom - wall}L${x - top - wall} ${base - height}z`;
  const rim = `M${x - top - wall - 6} ${base - height}h${wall + 6}M${x + top} ${base - height}h${wall + 6}`;
  return svg('g', { class: 'cup-walls' },
    svg('path', { d: body, class: 'cup-wall-fill' }), svg('path', { d: body, class: 'cup-wall' }), svg('path', { d: rim, class: 'cup-rim' }),
    svg('path', { d: `M20 ${base + wall + 8}H${x * 2 - 20}`, class: 'cup-pan' }));
}

function patterns() {
  const { x, base, height, bottom, top } = CUP;
  const pattern = (id, size, turn, ...inside) => svg('pattern', { id, width: size, height: size, patternUnits: 'userSpaceOnUse', patternTransform: turn === 0 ? null : `rotate(${turn})` }, ...inside);
  const tile = (role, size) => svg('rect', { width: size, height: size, class: `paint-${role}` });
  return svg('defs', {},
    svg('clipPath', { id: 'cup-inside' }, svg('path', { d: `M${x - top} ${base - height}L${x - bottom} ${base}H${x + bottom}L${x + top} ${base - height}V0H${x - top}z` })),
    svg('linearGradient', { id: 'fade', x1: 0, y1: 0, x2: 0, y2: 1 }, svg('stop', { offset: 0, 'stop-color': '#000' }), svg('stop', { offset: 0.09, 'stop-color': '#fff' })),
    svg('mask', { id: 'from-above', maskUnits: 'userSpaceOnUse', x: 0, y: 0, width: BOX.width, height: BOX.height }, svg('rect', { width: BOX.width, height: BOX.height, fill: 'url(#fade)' })),
    pattern('wall', 7, 45, svg('path', { d: 'M0 0V7', class: 'hatch-wall' })),
    pattern('paint-base', 10, 0, tile('base', 10)),
    pattern('paint-hardener', 12, 45, tile('hardener', 12), svg('path', { d: 'M0 0V12', class: 'hatch' })),
    pattern('paint-reducer', 12, 0, tile('reducer', 12), svg('path', { d: 'M0 3H12M0 9H12', class: 'hatch fine' })),
    pattern('paint-additive', 12, 0, tile('additive', 12), svg('circle', { cx: 3, cy: 3, r: 1.8, class: 'dot' }), svg('circle', { cx: 9, cy: 9, r: 1.8, class: 'dot' })));
}

function drawLayers(group, s, shape, stale) {
  while (group.childNodes.length < s.layers.length) group.append(svg('path', { class: 'cup-layer' }));
  while (group.childNodes.length > s.layers.length) group.lastChild.remove();
  s.layers.forEach((layer, i) => {
    const path = group.childNodes[i];
    setAttr(path, 'd', outline(shape, shape.heightAt(layer.from), shape.heightAt(layer.to)));
    setAttr(path, 'fill', `url(#paint-${ROLES.includes(layer.role) ? layer.role : 'additive'})`);
    setAttr(path, 'data-stale', layer.live && stale);
  });
}

function drawLine(group, band, s, shape) {
  setAttr(group, 'visibility', s.line === null ? 'hidden' : 'visible');
  setAttr(band, 'visibility', s.line === null ? 'hidden' : 'visible');
  if (s.line === null) return;
  const h = shape.heightAt(s.line.at);
  const r = shape.radiusAt(h) + CUP.wall;
  const [low, high] = [shape.heightAt(s.line.low), shape.heightAt(s.line.high)];
  setAttr(band, 'x', CUP.x - CUP.top);
  setAttr(band, 'width', CUP.top * 2);
  setAttr(band, 'y', y(Math.max(high, h + BAND_LEAST / 2)));
  setAttr(band, 'height', Math.max(BAND_LEAST, high - low));
  const across = `M${CUP.x - r} ${y(h)}H${CUP.x + r}`;
  const [mark, flag] = group.childNodes;
  setAttr(mark, 'd', across);
  setAttr(flag, 'd', `M${CUP.x - r + 2} ${y(h)}l-18 -10v20z`);
}

function drawMarks(group, view, s, shape) {
  const wanted = s.marks.map((m) => ({ at: m.at, cls: 'cup-mark' }));
  if (s.usable > 0) wanted.push({ at: s.usable, cls: 'cup-mark usable' });
  while (group.childNodes.length < wanted.length) group.append(svg('path', {}));
  while (group.childNodes.length > wanted.length) group.lastChild.remove();
  wanted.forEach((m, i) => {
    const h = shape.heightAt(m.at);
    const r = shape.radiusAt(h);
    setAttr(group.childNodes[i], 'class', m.cls);
    setAttr(group.childNodes[i], 'd', `M${CUP.x - r} ${y(h)}h20M${CUP.x + r} ${y(h)}h-20`);
  });
}

function drawStream(rect, state, s, shape, h) {
  const { view, weight } = state;
  const flows = place(view) === 'pour' && h.valid && h.matches && !h.stale && weight.flow_g_s > 0.5;
  setAttr(rect, 'visibility', flows ? 'visible' : 'hidden');
  if (!flows) return;
  const width = Math.min(26, 3 + Math.sqrt(weight.flow_g_s) * 3);
  const { role } = view.components[view.current];
  setAttr(rect, 'class', `cup-stream paint-${ROLES.includes(role) ? role : 'additive'}`);
  setAttr(rect, 'x', CUP.x - width / 2);
  setAttr(rect, 'y', 0);
  setAttr(rect, 'width', width);
  setAttr(rect, 'height', y(shape.heightAt(s.top)));
}

// One label for each component: at its layer's middle, at its mark, or at the
// line for the one that is poured now.
function wantedLabels(view, s, shape, real) {
  return view.components.map((c, i) => {
    const now = s.line !== null && i === s.line.index && (real !== null || !(c.poured_g > 0));
    const mark = s.marks.find((m) => m.index === i);
    const own = s.layers.filter((l) => l.index === i);
    let at = 0;
    if (now) at = shape.heightAt(s.line.at);
    else if (mark !== undefined) at = shape.heightAt(mark.at);
    else if (own.length > 0) at = (shape.heightAt(own[0].from) + shape.heightAt(own[0].to)) / 2;
    const amount = now || mark !== undefined ? c.target_g : c.poured_g;
    const ml = now || mark !== undefined ? c.target_ml : c.poured_ml;
    const unknown = !(c.target_g > 0) && !(c.poured_g > 0);
    return {
      name: c.name,
      text: unknown ? c.share : [grams(amount, view.decimals), millilitres(ml)].filter(Boolean).join(' · '),
      at: y(at),
      edge: CUP.x + shape.radiusAt(at) + CUP.wall,
      tone: now ? 'now' : own.length > 0 ? 'in' : 'next',
    };
  });
}

function drawLabels(group, view, s, shape, real) {
  const wanted = wantedLabels(view, s, shape, real);
  const places = spread(wanted.map((l) => l.at), LABEL_GAP, 26, BOX.height - 26);
  while (group.childNodes.length < wanted.length) {
    group.append(svg('g', {}, svg('path', { class: 'label-leader' }), svg('text', { class: 'label-name', x: LABEL_X, dy: '-0.13em' }), svg('text', { class: 'label-amount', x: LABEL_X, dy: '1em' })));
  }
  while (group.childNodes.length > wanted.length) group.lastChild.remove();
  wanted.forEach((label, i) => {
    const g = group.childNodes[i];
    const [leader, name, amount] = g.childNodes;
    setAttr(g, 'class', `cup-label ${label.tone}`);
    setAttr(leader, 'd', `M${(label.edge + 2).toFixed(1)} ${label.at.toFixed(1)}L${LABEL_X - 8} ${places[i].toFixed(1)}`);
    setAttr(name, 'y', places[i].toFixed(1));
    setAttr(amount, 'y', places[i].toFixed(1));
    setText(name, label.name.length > LABEL_LETTERS ? label.name.slice(0, LABEL_LETTERS - 1) + '…' : label.name);
    setText(amount, label.text);
  });
}

function describe(view, s) {
  const inside = view.components.filter((c) => c.poured_g > 0).map((c) => `${grams(c.poured_g, view.decimals)} ${c.name}`);
  const line = s.line === null ? '' : ` The line for ${view.components[s.line.index].name} is at ${grams(view.components[s.line.index].target_g, view.decimals)}.`;
  return `The cup in section. ${inside.length === 0 ? 'Nothing accepted in it yet.' : 'In it: ' + inside.join(', ') + '.'}${line}`;
}
