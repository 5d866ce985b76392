// What another page has changed while a form was open, on top of the form, and
// the ways to go on.

import { el, setAttr, setText, show } from './dom.js';

const HEADS = ['', 'was', 'is now', 'you typed'];

/** The box; choose(keepMine) goes on with one of the two. */
export function makeMergeBox(guard, choose) {
  const said = el('p', { class: 'merge-said', role: 'alert', tabindex: '-1' });
  const rows = el('tbody', {});
  const table = el('table', { class: 'merge-table' }, el('caption', { class: 'unseen', text: 'What the other page changed' }),
    el('thead', {}, el('tr', {}, ...HEADS.map((text) => el('th', { scope: 'col', text })))), rows);
  const button = (verb, keepMine, kind) => el('button', { type: 'button', class: kind, 'data-merge': verb, on: { click: guard.press(() => choose(keepMine)) } });
  const [theirs, mine, go] = [button('theirs', false, 'plain'), button('mine', true, 'plain'), button('go', true, 'start')];
  setText(theirs, 'Take theirs');
  setText(mine, 'Keep mine');
  setText(go, 'Go on with it');
  const node = el('div', { class: 'form-sure merge' }, said, table, el('div', { class: 'form-sure-row' }, theirs, mine, go));
  show(node, false);
  return {
    node,
    close: () => show(node, false),
    open(changes) {
      const both = changes.some((c) => c.mine !== '');
      setText(said, changes.length === 0 ? 'Another page has changed something of this product that this form does not show. Nothing is lost: go on with it.'
        : both ? 'Another page has changed this product meanwhile, some of it in the fields that you typed into. Whose counts there? All else that either of you changed stays.'
          : 'Another page has changed this product meanwhile, in other fields than yours. Both stay.');
      rows.replaceChildren(...changes.map((c) => el('tr', { 'data-label': c.label, 'data-both': c.mine !== '' }, el('th', { scope: 'row', text: c.label }),
        ...[c.was, c.now, c.mine].map((text, i) => el('td', { class: i === 1 ? 'strong' : '', 'data-head': HEADS[i + 1], text: text === '' ? (i === 2 ? '' : 'nothing') : text })))));
      show(table, changes.length > 0);
      setAttr(table, 'data-alone', !both); // where nothing was typed, no column for it
      for (const [part, on] of [[theirs, both], [mine, both], [go, !both]]) show(part, on);
      show(node, true);
      said.focus();
    },
  };
}
