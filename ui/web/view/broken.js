// A guided walk that was broken off: what it was, how far it came and when, and
// the two ways on. The daemon keeps it; this shows and presses.

import { decimal, when } from '../format.js';
import { heard } from '../state.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

/** When it noted something last: "Last noted today 14:32, 12 minutes ago." Pure. */
export function notedText(broken) {
  const ago = broken.ago_text === '' ? '' : `, ${broken.ago_text}`;
  return `Last noted ${when(broken.noted_unix_ms)}${ago}.`;
}

/** What the button that goes on says; it asks nothing twice that was shown already. Pure. */
export function goOnText(broken) {
  return broken.asks === '' ? 'The pan is empty: go on' : 'The pan is empty: go on all the same';
}

/**
 * The card of the walk m.state.broken, or of one that was put away. act(verb, more)
 * does what was pressed and gives the bench's answer.
 */
export function makeBroken(m, act) {
  const title = el('h2', { class: 'broken-title' });
  const far = el('p', { class: 'broken-far' });
  const asks = el('p', { class: 'broken-asks' });
  const next = el('p', { class: 'broken-next' });
  const digits = el('span', { class: 'broken-digits' });
  const how = el('p', { class: 'broken-how', role: 'status' });
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const press = async (verb, more) => {
    setText(problem, '');
    const answer = await act(verb, more);
    if (answer && !answer.ok) setText(problem, answer.sentence);
  };
  const go = el('button', { type: 'button', class: 'start broken-go', 'data-broken': 'go-on', on: { click: m.guard.press(() => press('go-on', m.state?.broken?.asks ? { confirm: true } : {})) } });
  const away = el('button', { type: 'button', class: 'plain', 'data-broken': 'put-away', text: 'Put it away', on: { click: m.guard.press(() => press('put-away', {})) } });
  const live = el('div', { class: 'broken-live', 'aria-label': 'On the pan', role: 'group' }, el('span', { class: 'broken-label', text: 'on the pan' }), el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })), how);
  const card = el('section', { class: 'broken', 'aria-label': 'Broken off' }, el('div', { class: 'broken-text' }, title, far, asks, next, problem), live, el('div', { class: 'broken-acts' }, go, away));
  const backText = el('span', { class: 'undo-text' });
  const back = el('button', { type: 'button', class: 'plain', 'data-broken': 'undo', text: 'Undo', on: { click: m.guard.press(() => press('undo-put-away', {})) } });
  const undo = el('div', { class: 'undo broken-undo', role: 'status' }, backText, back);
  const node = el('div', { class: 'broken-place' }, card, undo);
  const moved = onChange(() => m.guard.changed());
  return {
    node,
    update(state, nowMS, on) {
      const broken = m.state?.broken ?? null;
      const put = m.state?.put_away ?? '';
      moved(`${on}|${broken === null}|${put}|${broken?.asks}|${broken?.not_now}`);
      show(node, on && (broken !== null || put !== ''));
      show(card, broken !== null);
      show(undo, broken === null && put !== '');
      setText(backText, put);
      if (broken === null) {
        setText(problem, '');
        return;
      }
      const h = heard(state, nowMS);
      const shown = state.weight !== null && h.valid && !h.lost;
      setText(title, broken.said);
      setText(far, `${broken.far} ${notedText(broken)}`);
      const why = broken.not_now || broken.asks;
      setText(asks, why);
      show(asks, why !== '');
      setText(next, `Take everything off the pan first. ${broken.next}`);
      show(next, broken.not_now === '');
      setText(digits, shown ? decimal(state.weight.shown_g, state.view?.division_g > 0 ? state.view.decimals : 1) : '– –');
      setAttr(digits, 'data-stale', h.stale);
      setText(how, broken.waits === '' ? 'stands still' : 'not yet empty and still');
      show(live, broken.not_now === '');
      setText(go, goOnText(broken));
      setAttr(go, 'disabled', broken.not_now !== '');
    },
  };
}
