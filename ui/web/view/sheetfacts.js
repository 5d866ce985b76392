// What the sheets say of a product beside ratio and density, on its page: each
// figure with where it stands and since when.

import { figureLabel, figureRows } from '../sheet.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

/** The part of a product; change() opens its form at the figures. */
export function makeSheetFacts(guard, change) {
  const m = { id: '', open: false };
  const toggle = el('button', { type: 'button', class: 'plain sheet-open', 'data-shelf': 'figures', on: { click: guard.press(() => { m.open = !m.open; guard.changed(); draw(); }) } });
  const edit = el('button', { type: 'button', class: 'plain', 'data-shelf': 'figures-change', text: 'Change them', on: { click: guard.press(() => change()) } });
  const list = el('div', { class: 'sheet-list' });
  const node = el('section', { class: 'sheet-facts', 'aria-label': 'What its sheets say' }, el('div', { class: 'sheet-facts-head' }, toggle, edit), list);
  const draw = () => {
    setText(toggle, m.open ? 'What its sheets say ▴' : 'What its sheets say ▾');
    setAttr(toggle, 'aria-expanded', String(m.open));
    setAttr(node, 'data-open', m.open);
    show(list, m.open);
    show(edit, m.open);
  };
  const rows = onChange((r) => {
    const all = figureRows(r);
    list.replaceChildren(...(r.note === '' ? [] : [el('p', { class: 'sheet-note-said', text: r.note })]),
      ...all.map(([name, figures]) => el('section', { class: 'sheet-of', 'aria-label': name }, el('h2', { text: name }),
        el('dl', {}, ...figures.map((x) => el('div', { 'data-figure-known': x.figure }, el('dt', { text: figureLabel(x.figure) }), el('dd', {}, el('strong', { class: 'n', text: x.text }),
          el('small', { text: [x.typed === x.text || x.figure === 'plain' ? '' : x.typed, x.from || 'where from is not written down'].filter(Boolean).join(', ') }))))))));
    if (all.length === 0) list.append(el('p', { text: 'Nothing beside ratio and density has been written down yet.' }));
  });
  draw();
  return {
    node,
    update(r) {
      if (r.id !== m.id && m.open) {
        m.open = false;
        draw();
      }
      m.id = r.id;
      rows(JSON.stringify([r.id, r.revision, r.note, r.components, r.figures]), r);
    },
  };
}
