// Before a check: what the plate of the scale says, and which weight is at hand.

import { firstForm, formTrouble, parseGrams, startOf } from '../check.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

const CLASSES = ['', 'I', 'II', 'III', 'IIII'];

/** The form of a check; c is the check that it belongs to. */
export function makeCheckForm(c) {
  let form = null;
  const changed = () => {
    c.plate = { ...form.plate };
    c.dueMS = 0;
  };
  const typed = (name) => (event) => {
    const value = parseGrams(event.target.value);
    setAttr(event.target, 'aria-invalid', value === null ? 'true' : null);
    form.plate[name] = value ?? 0;
    changed();
  };
  const capacity = field('Max on the plate', 'g', 'check-capacity', { input: typed('capacity') });
  const interval = field('e, if it is not d', 'g', 'check-interval', { input: typed('interval') });
  const id = field('Mark on the weight', '', 'check-id', { input: (event) => { form.id = event.target.value; } });
  setAttr(id.input, 'maxlength', '40');
  setAttr(id.input, 'inputmode', 'text');
  const classes = choices('Class on the plate', 'class', (v) => { form.plate.class = v; changed(); }, c.guard);
  const sizes = choices('The weight', 'nominal', (v) => { form.nominal = v; }, c.guard);
  const fits = choices('Class of the weight', 'weight-class', (v) => { form.weightClass = v; }, c.guard);
  const corners = choices('Corners', 'corners', (v) => { form.corners = v; }, c.guard);
  const usual = el('p', { class: 'check-usual' });
  const trouble = el('p', { class: 'check-trouble', role: 'status' });
  const cautions = el('ul', { class: 'check-cautions' });
  const start = el('button', { type: 'button', class: 'start', 'data-check': 'start', text: 'Begin', on: { click: c.guard.press(() => c.press('start', startOf(form))) } });
  const back = el('button', { type: 'button', class: 'plain', 'data-check': 'leave', text: 'Not now', on: { click: c.guard.press(() => { c.form = false; }) } });
  const node = el('div', { class: 'check-form' },
    el('div', { class: 'check-fields' }, capacity.node, interval.node, id.node), classes.node, sizes.node, fits.node, usual, corners.node, cautions,
    el('div', { class: 'check-go' }, trouble, el('div', { class: 'check-go-row' }, back, start)));
  const drawCautions = onChange((list) => cautions.replaceChildren(...list.map((text) => el('li', { text }))));
  return {
    node,
    /** Fills the form with what the last check had. */
    open(state) {
      form = firstForm(state);
      capacity.input.value = form.plate.capacity > 0 ? String(form.plate.capacity) : '';
      interval.input.value = form.plate.interval > 0 ? String(form.plate.interval) : '';
      id.input.value = form.id;
      changed();
    },
    update(state) {
      if (form === null) this.open(state);
      const row = state.advice.find((a) => a.weight_nominal_g === form.nominal);
      classes.update(form.plate.class, CLASSES.map((v) => (v !== '' ? { value: v, label: v } : { value: v, label: state.plate.class_guess || 'none', note: state.plate.class_guess !== '' ? 'a guess' : 'not given' })));
      sizes.update(form.nominal, state.advice.map((a) => ({ value: a.weight_nominal_g, label: a.name, off: a.coarsest_class === '', note: a.coarsest_class === '' ? 'too small' : `± ${a.limit_g} g` })));
      fits.update(form.weightClass, state.weight_classes.map((v) => ({ value: v, label: v, off: row !== undefined && !row.fits.includes(v) })));
      corners.update(form.corners, [{ value: false, label: 'Middle only' }, { value: true, label: 'And four corners', note: row !== undefined && !row.corners ? 'noted, not judged' : 'judged' }]);
      setText(usual, state.usual === '' ? '' : `${state.usual} Its own error may be a third of what is allowed, no more.`);
      const why = formTrouble(form, state);
      setText(trouble, why);
      show(trouble, why !== '');
      setAttr(start, 'disabled', why !== '');
      show(sizes.node, state.advice.length > 0);
      show(fits.node, state.advice.length > 0);
      drawCautions(state.cautions.join('\n'), state.cautions);
    },
  };
}

function field(label, unit, name, on) {
  const input = el('input', { class: 'check-input', id: name, 'aria-label': label, inputmode: 'decimal', autocomplete: 'off', on });
  const node = el('label', { class: 'check-field', for: name }, el('span', { text: label }), el('span', { class: 'check-box' }, input, unit === '' ? null : el('span', { class: 'check-unit', text: unit })));
  return { node, input };
}

// A row of buttons of which one is chosen.
function choices(label, name, choose, guard) {
  const row = el('div', { class: 'check-choices', role: 'group', 'aria-label': label, 'data-choice': name });
  const node = el('div', { class: 'check-row' }, el('span', { class: 'check-label', text: label }), row);
  const draw = onChange((chosen, list) => {
    const held = row.contains(document.activeElement) ? document.activeElement.dataset.value : null;
    row.replaceChildren(...list.map((o) => el('button', {
      type: 'button', class: 'plain check-choice', 'data-value': String(o.value), 'aria-pressed': String(o.value === chosen), disabled: o.off === true,
      on: { click: guard.step(() => choose(o.value)) },
    }, el('span', { text: o.label }), o.note ? el('small', { text: o.note }) : null)));
    if (held !== null) [...row.children].find((b) => b.dataset.value === held)?.focus();
  });
  return { node, update: (chosen, list) => draw(JSON.stringify([chosen, list]), chosen, list) };
}
