// No density? Pour by volume: the marks of a cup, the strip to print, and how
// stick, marks and scale compare.

import { decimal, millilitres } from '../format.js';
import { ask } from '../shelf.js';
import { bestWay, cupText, percentText, stripPath } from '../stock.js';
import { el, setAttr, setText, show } from './dom.js';

const WAIT_MS = 250;
const MEMORY = 'gramcup-cup';

/** The part of a product for pouring by marks. */
export function makeMarks(rim, guard) {
  const m = { id: '', open: false, cup: recallCup(rim.storage), ml: '300', asked: 0, revision: '' };
  const field = (label, unit, name, value, change) => {
    const input = el('input', { type: 'text', class: 'check-input', inputmode: 'decimal', autocomplete: 'off', 'data-marks': name, 'aria-label': label });
    input.value = value;
    input.addEventListener('input', () => { change(input.value); look(); });
    return el('label', { class: 'check-field' }, el('span', { text: label }), el('span', { class: 'check-box' }, input, el('span', { class: 'check-unit', text: unit })));
  };
  const cupField = (label, name) => field(label, 'mm', name, m.cup[name], (text) => {
    m.cup[name] = text;
    rememberCup(rim.storage, m.cup);
  });
  const toggle = el('button', { type: 'button', class: 'plain marks-toggle', 'data-shelf': 'marks', 'aria-expanded': 'false', on: { click: guard.press(() => {
    m.open = !m.open;
    guard.changed();
    draw();
    if (m.open) look();
  }) } });
  const said = el('p', { class: 'marks-said', role: 'status' });
  const rows = el('tbody', {});
  const heads = ['Pour up to', 'mark', 'in all', 'stick', 'cup marks', 'scale'];
  const table = el('table', { class: 'marks-table' }, el('caption', { class: 'unseen', text: 'Marks of this cup' }),
    el('thead', {}, el('tr', {}, ...heads.map((text, i) => el('th', { scope: 'col', class: i === 0 ? '' : 'n', text })))), rows);
  const svg = el('a', { class: 'button', text: 'As picture (SVG)', download: '' });
  const pdf = el('a', { class: 'button', text: 'Strip to print (PDF)', download: '' });
  const links = el('div', { class: 'marks-links' }, pdf, svg, el('p', { class: 'marks-note', text: 'Print at 100 %. A line of 100 mm on the sheet shows whether the size was kept.' }));
  const inside = el('div', { class: 'marks-inside' },
    el('div', { class: 'marks-fields' }, field('Amount', 'ml', 'ml', m.ml, (text) => { m.ml = text; }), cupField('Inside, at the bottom', 'bottom'), cupField('At the top, if wider', 'top'), cupField('Inner height', 'high')),
    said, table);
  const draw = () => {
    setText(toggle, m.open ? 'Pour by volume ▴' : 'No density? Pour by volume ▾');
    setAttr(toggle, 'aria-expanded', String(m.open));
    show(inside, m.open);
    show(links, m.open && !table.hidden);
    setAttr(node, 'data-open', m.open);
  };
  const look = () => {
    const asked = ++m.asked;
    const cup = cupText(m.cup);
    const ml = Number(m.ml.trim().replace(',', '.'));
    const hide = (text) => {
      setText(said, text);
      show(table, false);
      show(links, false);
    };
    if (cup === '' || !(ml > 0)) {
      hide('Measure the cup inside, in millimetres, and say how much you want.');
      return;
    }
    rim.setTimeout(async () => {
      if (asked !== m.asked || !m.open) return;
      try {
        const answer = await ask(rim.fetch, stripPath(m.id, ml, cup));
        if (asked !== m.asked || !m.open) return;
        setText(said, bestWay(answer));
        drawRows(rows, answer);
        setAttr(svg, 'href', stripPath(m.id, ml, cup, '.svg'));
        setAttr(pdf, 'href', stripPath(m.id, ml, cup, '.pdf'));
        show(table, true);
        show(links, true);
      } catch (err) {
        if (asked === m.asked) hide(err.message);
      }
    }, WAIT_MS);
  };
  const node = el('section', { class: 'marks', 'aria-label': 'Pour by volume' }, el('div', { class: 'marks-head' }, toggle, links), inside);
  show(table, false);
  draw();
  return {
    node,
    update(r) {
      if (r.id === m.id && r.revision === m.revision) return;
      if (r.id !== m.id && m.open) {
        m.open = false;
        draw();
      }
      m.id = r.id;
      m.revision = r.revision;
      if (m.open) look();
    },
  };
}

function drawRows(rows, answer) {
  let sum = 0;
  rows.replaceChildren(...answer.components.map((c, i) => {
    sum += c.volume_ml;
    return el('tr', {},
      el('th', { scope: 'row' }, el('span', { text: c.name })),
      el('td', { class: 'n strong', text: `${decimal(c.mark_mm, 1)}\u202fmm` }),
      el('td', { class: 'n', text: millilitres(sum) }),
      el('td', { class: 'n', text: percentText(c.stick_error) }),
      el('td', { class: 'n', text: percentText(c.cup_mark_error) }),
      el('td', { class: 'n', text: i === 0 && answer.why_no_scale === '' ? 'sets the rest' : percentText(c.scale_error) }));
  }));
}

function recallCup(storage) {
  try {
    const { bottom = '', top = '', high = '' } = JSON.parse(storage.getItem(MEMORY) ?? '{}') ?? {};
    return { bottom: String(bottom), top: String(top), high: String(high) };
  } catch {
    return { bottom: '', top: '', high: '' };
  }
}

function rememberCup(storage, cup) {
  try {
    storage.setItem(MEMORY, JSON.stringify(cup));
  } catch {
    // It is typed again next time.
  }
}
