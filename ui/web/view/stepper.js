// A figure that is turned up and down with big buttons, and can be typed.

import { nextStep, parseFigure } from '../decide.js';
import { el, setAttr } from './dom.js';

/**
 * A stepper: label and unit are its words, step its size; least and most bound
 * the figure on screen, which is factor times the value (100 for a fraction in
 * per cent). change(value) is called for each new one.
 */
export function makeStepper(guard, { name, label, unit, step, least, most, factor = 1 }, change) {
  const input = el('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', class: 'turn-input', 'data-figure': name, 'aria-label': label });
  let value = 0;
  const figure = (v) => Number((v * factor).toFixed(4));
  const set = (v) => {
    value = v;
    if (document.activeElement !== input || parseFigure(input.value, least, most) !== figure(v)) input.value = String(figure(v));
    setAttr(input, 'aria-invalid', null);
  };
  const turn = (sign) => el('button', {
    type: 'button', class: 'turn-step', text: sign > 0 ? '+' : '−', 'data-step': `${name}${sign > 0 ? '+' : '-'}`, 'aria-label': `${label}: ${sign > 0 ? 'more' : 'less'}`,
    on: { click: guard.step(() => change(nextStep(figure(value), sign * step, least, most) / factor)) },
  });
  input.addEventListener('input', () => {
    const typed = parseFigure(input.value, least, most);
    setAttr(input, 'aria-invalid', typed === null ? 'true' : null);
    if (typed !== null) change(typed / factor);
  });
  input.addEventListener('blur', () => set(value));
  const node = el('div', { class: 'turn' }, el('span', { class: 'turn-label', text: label }),
    el('div', { class: 'turn-row' }, turn(-1), el('label', { class: 'turn-box' }, input, el('span', { class: 'turn-unit', text: unit })), turn(1)));
  return { node, set };
}
