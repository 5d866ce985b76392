// A figure that is turned up and down with big buttons, and can be typed. What is
// typed stays as it is: a figure that is none is refused beside it, never cut.

import { nextStep } from '../decide.js';
import { readFigure } from '../figure.js';
import { el, setAttr, setText, show } from './dom.js';

/**
 * A stepper: label and unit are its words, step its size; least and most bound
 * the figure on screen, which is factor times the value (100 for a fraction in
 * per cent), whole says that it has no decimals. change(value) is called for
 * each new one, refused() when what is typed is none.
 */
export function makeStepper(guard, { name, label, unit, step, least, most, factor = 1, whole = false }, change, refused = () => {}) {
  const input = el('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', class: 'turn-input', 'data-figure': name, 'aria-label': label });
  const said = el('p', { class: 'turn-said', role: 'status' });
  let value = 0;
  let typed = false; // what stands in the field is a person's, not yet left
  let problem = '';
  const figure = (v) => Number((v * factor).toFixed(4));
  const say = (text) => {
    problem = text;
    setAttr(input, 'aria-invalid', text === '' ? null : 'true');
    setText(said, text);
    show(said, text !== '');
  };
  const set = (v, anew = false) => {
    value = v;
    if (typed && !anew && (problem !== '' || document.activeElement === input)) return;
    typed = false;
    const text = String(figure(v));
    if (input.value !== text) input.value = text;
    say('');
  };
  const turn = (sign) => el('button', {
    type: 'button', class: 'turn-step', text: sign > 0 ? '+' : '−', 'data-step': `${name}${sign > 0 ? '+' : '-'}`, 'aria-label': `${label}: ${sign > 0 ? 'more' : 'less'}`,
    on: { click: guard.step(() => {
      set(nextStep(figure(value), sign * step, least, most) / factor, true);
      change(value);
    }) },
  });
  input.addEventListener('input', () => {
    typed = true;
    const read = readFigure(input.value, { least, most, unit, whole });
    say(read.problem);
    if (read.value === null) return refused();
    value = read.value / factor;
    return change(value);
  });
  input.addEventListener('blur', () => set(value));
  show(said, false);
  const node = el('div', { class: 'turn' }, el('span', { class: 'turn-label', text: label }),
    el('div', { class: 'turn-row' }, turn(-1), el('label', { class: 'turn-box' }, input, el('span', { class: 'turn-unit', text: unit })), turn(1)), said);
  return {
    node,
    /** Shows a value; one that comes anew also in place of what is being typed. */
    set,
    /** Why what is typed is not taken, with whose figure it is; "" if it is. */
    trouble: () => (problem === '' ? '' : `${label}. ${problem}`),
  };
}
