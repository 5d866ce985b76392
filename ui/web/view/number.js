// The one large number, its age, and the flow.

import { ago, cue, decimal, mainNumber } from '../format.js';
import { place } from '../state.js';
import { el, setAttr, setText, show } from './dom.js';

/** The region of the large number. */
export function makeNumber() {
  const label = el('span', { class: 'number-label' });
  const digits = el('span', { class: 'number-digits' });
  const unit = el('span', { class: 'number-unit' });
  const heardAge = el('span', { class: 'number-age' });
  const flow = el('span', { class: 'number-flow' });
  const node = el('div', { class: 'number', role: 'group', 'aria-label': 'Live weight' },
    el('div', { class: 'number-head' }, label, flow, heardAge), el('div', { class: 'number-row' }, digits, unit));
  return {
    node,
    update(state, h) {
      const { view, weight } = state;
      const n = mainNumber(view, weight, h);
      setText(label, n.label);
      setText(digits, n.digits);
      setText(unit, n.unit);
      const long = n.digits.length > 7 ? '8' : n.digits.length > 6 ? '7' : n.digits.length > 5 ? '6' : '5';
      setAttr(node, 'data-long', long);
      setAttr(node, 'data-stale', h.stale);
      setAttr(node, 'data-tone', cue(view, weight, h)?.tone ?? 'none');
      setText(heardAge, h.stale ? `last heard ${ago(h.ageMS)}` : weight !== null && weight.still ? 'still' : '');
      if (h.stale && !Number.isFinite(h.ageMS)) setText(heardAge, 'not heard yet');
      const flowing = place(view) === 'pour' && h.valid && !h.stale && h.matches && weight.flow_g_s > 0.25;
      show(flow, flowing);
      if (flowing) setText(flow, `${decimal(weight.flow_g_s, 1)} g a second`);
    },
  };
}
