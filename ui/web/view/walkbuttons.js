// The buttons of a walk that the daemon leads: those that fit its step. Throwing
// away what was weighed asks a second time, in place.

import { el, onChange, setAttr } from './dom.js';

const CONFIRM_MS = 12000;

/** Asks for a second press of a verb; m is the place of the walk, which keeps it as m.confirm. */
export function askAgain(m, verb) {
  m.confirm = verb;
  m.confirmMS = m.rim.now();
}

/**
 * The buttons of the walk m.state.walk, each marked with its verb. offers(walk, confirm)
 * lists [verb, label, class] each; weighed(walk) tells whether there is anything to
 * throw away; act(verb) does what was meant, "no" included.
 */
export function makeWalkButtons(m, { mark, also = '', offers, weighed, act }) {
  const node = el('div', { class: `check-buttons ${also}`.trim(), role: 'group', 'aria-label': 'What you can do now' });
  const press = (verb) => {
    if (!m.state?.walk) return; // it ended a moment ago
    if (verb === 'no') m.confirm = '';
    if (['again', 'cancel'].includes(verb) && m.confirm !== verb && weighed(m.state.walk)) askAgain(m, verb);
    else act(verb);
  };
  const button = ([verb, label, kind]) => el('button', { type: 'button', class: kind, [mark]: verb, text: label, on: { click: m.guard.press(() => press(verb)) } });
  const draw = onChange((list) => {
    const inside = node.contains(document.activeElement);
    m.guard.changed();
    node.replaceChildren(...list.map(button));
    if (inside) node.querySelector('button')?.focus();
  });
  return {
    node,
    update(walk, nowMS) {
      if (nowMS - m.confirmMS > CONFIRM_MS) m.confirm = '';
      setAttr(node, 'data-sending', m.once.busy());
      const list = offers(walk, m.confirm);
      draw(JSON.stringify(list), list);
    },
  };
}
