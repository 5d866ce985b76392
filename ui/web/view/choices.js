// The buttons that the bench offers. The page invents none: labels and
// consequences are the bench's. What ends or spoils a batch asks a second
// time, in place, with the way back under the finger.

import { consequenceMark, unbroken } from '../format.js';
import { decidedOn, place } from '../state.js';
import { el } from './dom.js';

const CONFIRM_MS = 12000;
const QUIET = ['hold', 'zero', 'reopen'];

/** Which choices stand large with their consequences: what moves the batch on. */
export function isLarge(at, choice) {
  if (choice.grave || QUIET.includes(choice.do)) return false;
  return !(at === 'pour' && choice.do === 'keep');
}

/**
 * The region of the choices. press(verb, on) sends a command; guard keeps
 * off presses that were not meant.
 */
export function makeChoices(press, guard, now) {
  const node = el('div', { class: 'choices', role: 'group', 'aria-label': 'What you can do now', tabindex: '-1' });
  let drawn = '';
  let on = decidedOn(null); // the view whose choices are on screen
  let asking = null; // the grave choice that waits for its second press
  let askedAtMS = 0;
  let batchKey = '';

  const ask = (choice) => {
    asking = choice;
    askedAtMS = now();
  };
  const send = (choice) => {
    asking = null;
    press(choice.do, on);
  };
  return {
    node,
    /** The choice for a verb if it is on screen now, else undefined. */
    offered: (view, verb) => (asking === null && view !== null ? view.choices.find((c) => c.do === verb) : undefined),
    update(view) {
      const key = `${view.batch}|${view.state}|${view.phase}|${view.current}`;
      if (key !== batchKey || now() - askedAtMS > CONFIRM_MS) asking = null;
      batchKey = key;
      on = decidedOn(view);
      const at = place(view);
      const want = JSON.stringify([at, key, view.choices, asking]);
      if (want === drawn) return;
      drawn = want;
      guard.changed();
      // A button that goes away must not leave the keyboard at the top of the page.
      if (node.contains(document.activeElement)) queueMicrotask(() => { if (asking === null) node.focus(); });
      const redraw = () => this.update(view);
      if (asking !== null) {
        node.replaceChildren(confirmation(asking, guard, () => send(asking), () => { asking = null; }, redraw));
        return;
      }
      node.replaceChildren(...groups(at, view.choices, guard, (choice) => {
        if (choice.grave) ask(choice);
        else send(choice);
        redraw();
      }));
    },
  };
}

function groups(at, choices, guard, act) {
  const large = choices.filter((c) => isLarge(at, c));
  const quiet = choices.filter((c) => !c.grave && !isLarge(at, c));
  const grave = choices.filter((c) => c.grave);
  const group = (name, list) => el('div', { class: `choice-group ${name}`, 'data-count': list.length }, ...list.map((c) => button(c, name, guard, act)));
  return [
    large.length > 0 ? group('large', large) : null,
    el('div', { class: 'choice-row' }, group('quiet', quiet), group('grave', grave)),
  ].filter((g) => g !== null);
}

function button(choice, name, guard, act) {
  const told = choice.consequences.join('. ');
  const inside = [el('span', { class: 'choice-label', text: choice.label })];
  if (name === 'large') {
    inside.push(...choice.consequences.map((text) => el('span', { class: 'choice-consequence', 'data-mark': consequenceMark(text), text: unbroken(text) })));
  }
  return el('button', {
    type: 'button',
    class: 'choice',
    'data-do': choice.do,
    'aria-label': told === '' ? choice.label : `${choice.label}. ${told}`,
    'aria-keyshortcuts': choice.do === 'hold' ? 'h' : null,
    title: name === 'large' ? null : told,
    on: { click: guard.press(() => act(choice)) },
  }, ...inside);
}

// The yes stands where no finger was: the way back takes the place of the
// button that was pressed, at the right.
function confirmation(choice, guard, yes, no, redraw) {
  const then = (f) => guard.press(() => {
    f();
    redraw();
  });
  const heading = el('p', { class: 'confirm-head', text: `${choice.label}?`, tabindex: '-1' });
  const box = el('div', { class: 'confirm', role: 'group', 'aria-label': `${choice.label}: are you sure?` },
    el('button', { type: 'button', class: 'choice yes', text: `Yes, ${choice.label.toLowerCase()}`, on: { click: then(yes) } }),
    el('div', { class: 'confirm-text' }, heading, ...choice.consequences.map((text) => el('p', { text }))),
    el('button', { type: 'button', class: 'choice no', text: 'No, go on', on: { click: then(no) } }));
  queueMicrotask(() => heading.focus());
  return box;
}
