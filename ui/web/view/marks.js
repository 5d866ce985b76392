// No density? Pour by volume: the marks of a cup, the strip to print, and how
// stick, marks and scale compare.

import { chosenCup, cupChoices, markText } from '../cups.js';
import { millilitres } from '../format.js';
import { ask } from '../shelf.js';
import { bestWay, cupText, percentText, stripPath } from '../stock.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

const WAIT_MS = 250;
const UNDO_MS = 60000;
const MEMORY = 'gramcup-cup';

/** The part of a product for pouring by marks; cups are the measured ones. */
export function makeMarks(rim, guard, cups) {
  const m = { id: '', open: false, cup: recallCup(rim.storage), ml: '300', asked: 0, revision: '', cups: [], undoMS: 0 };
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
  const toggle = el('button', { type: 'button', class: 'plain marks-toggle', 'data-shelf': 'marks', 'aria-expanded': 'false', on: { click: guard.press(() => toggleOpen()) } });
  const toggleOpen = () => {
    m.open = !m.open;
    guard.changed();
    draw();
    if (m.open) look();
  };
  const said = el('p', { class: 'marks-said', role: 'status' });
  const rows = el('tbody', {});
  const heads = ['Pour up to', 'mark', 'in all', 'stick', 'cup marks', 'scale'];
  const table = el('table', { class: 'marks-table' }, el('caption', { class: 'unseen', text: 'Marks of this cup' }),
    el('thead', {}, el('tr', {}, ...heads.map((text, i) => el('th', { scope: 'col', class: i === 0 ? '' : 'n', text })))), rows);
  const svg = el('a', { class: 'button', text: 'Strip, SVG', download: '' });
  const pdf = el('a', { class: 'button', text: 'Strip, PDF', download: '' });
  const links = el('div', { class: 'marks-links' }, pdf, svg, el('p', { class: 'marks-note', text: 'Print at 100 %. A line of 100 mm on the sheet shows whether the size was kept.' }));
  const which = el('select', { class: 'form-select', 'data-marks': 'cup', 'aria-label': 'Which cup', on: { change: () => {
    m.cup.id = which.value;
    rememberCup(rim.storage, m.cup);
    guard.changed();
    drawCup();
    look();
  } } });
  const sizes = [cupField('Inside, at the bottom', 'bottom'), cupField('At the top, if wider', 'top'), cupField('Inner height', 'high')];
  const from = el('p', { class: 'marks-from' });
  const away = el('button', { type: 'button', class: 'plain grave', 'data-marks': 'take', text: 'Off the list', on: { click: guard.press(async () => {
    if (told(await cups.change('take', chosen()))) m.undoMS = rim.now() + UNDO_MS;
  }) } });
  const problem = el('p', { class: 'sentence marks-problem', role: 'alert' });
  const told = (answer) => {
    if (answer !== undefined) setText(problem, answer.ok ? '' : answer.sentence);
    return answer?.ok === true;
  };
  const measured = el('div', { class: 'marks-measured' }, from, away);
  const undoText = el('span', { class: 'undo-text' });
  const undo = el('div', { class: 'undo', role: 'status' }, undoText, el('button', { type: 'button', class: 'plain', 'data-marks': 'bring', text: 'Undo', on: { click: guard.press(async () => {
    const before = m.cup.id;
    const id = cups.taken()?.id;
    if (id === undefined || !told(await cups.change('bring', id)) || m.cup.id !== before) return; // another one was chosen meanwhile
    m.cup.id = id;
    rememberCup(rim.storage, m.cup);
  }) } }));
  const measure = el('button', { type: 'button', class: 'plain marks-measure', 'data-marks': 'measure', text: 'Measure a cup', on: { click: guard.press(() => cups.begin()) } });
  const inside = el('div', { class: 'marks-inside' },
    el('div', { class: 'marks-fields' }, field('Amount', 'ml', 'ml', m.ml, (text) => { m.ml = text; }),
      el('label', { class: 'check-field' }, el('span', { text: 'The cup' }), which), ...sizes, measured),
    undo, problem, said, table);
  const chosen = () => chosenCup(m.cup.id, m.cups);
  const drawCup = () => {
    const cup = m.cups.find((c) => c.id === chosen());
    for (const size of sizes) show(size, cup === undefined);
    show(measured, cup !== undefined);
    if (cup !== undefined) setText(from, `${cup.text[0].toUpperCase()}${cup.text.slice(1)}.`);
  };
  const drawCups = onChange(() => {
    which.replaceChildren(...cupChoices(m.cups).map(([id, label]) => el('option', { value: id, text: label })));
    which.value = chosen();
    drawCup();
    if (m.open) look();
  });
  const draw = () => {
    setText(toggle, m.open ? 'Pour by volume ▴' : 'No density? Pour by volume ▾');
    setAttr(toggle, 'aria-expanded', String(m.open));
    show(inside, m.open);
    show(links, m.open && !table.hidden);
    show(measure, m.open);
    setAttr(node, 'data-open', m.open);
  };
  const look = () => {
    const asked = ++m.asked;
    const cup = chosen() || cupText(m.cup);
    const ml = Number(m.ml.trim().replace(',', '.'));
    const hide = (text) => {
      setText(said, text);
      setAttr(said, 'data-how', null);
      show(table, false);
      show(links, false);
    };
    if (cup === '' || !(ml > 0)) {
      hide('Say how much you want, and the inside of the cup in millimetres. A cup of any other shape is measured with water.');
      return;
    }
    // The strip is that of what stands in the fields; its rows are still those of before.
    for (const [link, kind] of [[svg, '.svg'], [pdf, '.pdf']]) setAttr(link, 'href', stripPath(m.id, ml, cup, kind));
    setAttr(rows, 'data-waiting', true);
    rim.setTimeout(async () => {
      if (asked !== m.asked || !m.open) return;
      try {
        const answer = await ask(rim.fetch, stripPath(m.id, ml, cup));
        if (asked !== m.asked || !m.open) return;
        setText(said, answer.beyond || bestWay(answer));
        setAttr(said, 'data-how', answer.beyond ? 'beyond' : null);
        drawRows(rows, answer);
        setAttr(rows, 'data-waiting', null);
        show(table, true);
        show(links, true);
      } catch (err) {
        if (asked === m.asked) hide(err.message);
      }
    }, WAIT_MS);
  };
  const node = el('section', { class: 'marks', 'aria-label': 'Pour by volume' }, el('div', { class: 'marks-head' }, toggle, links, measure), inside);
  show(table, false);
  draw();
  return {
    node,
    /** Turns to a cup that has just been measured. */
    turnTo(cup) {
      m.cup.id = cup.id;
      rememberCup(rim.storage, m.cup);
      m.cups = cups.list();
      if (!m.open) toggleOpen();
      drawCups(JSON.stringify([m.cups, m.cup.id]));
    },
    update(r) {
      m.cups = cups.list() ?? m.cups;
      drawCups(JSON.stringify([m.cups, m.cup.id]));
      const gone = cups.taken();
      show(undo, gone !== null && rim.now() < m.undoMS);
      if (gone !== null) setText(undoText, `The cup ${gone.name} is off the list.`);
      show(said, undo.hidden);
      if (r.id === m.id && r.revision === m.revision) return;
      if (r.id !== m.id) {
        m.open = false;
        setText(problem, '');
        show(table, false); // the marks of another product are none of this one
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
  rows.replaceChildren(...answer.components.map((c) => {
    sum += c.volume_ml;
    const [mark, sure] = markText(c);
    return el('tr', {},
      el('th', { scope: 'row' }, el('span', { text: c.name })),
      el('td', { class: 'n strong' }, el('span', { text: mark }), sure === '' ? null : el('span', { class: 'mark-sure', text: ` ${sure}` })),
      el('td', { class: 'n', text: millilitres(sum) }),
      el('td', { class: 'n', text: percentText(c.stick_error) }),
      el('td', { class: 'n', text: percentText(c.cup_mark_error) }),
      el('td', { class: 'n', text: percentText(c.scale_error) }));
  }));
}

function recallCup(storage) {
  try {
    const { bottom = '', top = '', high = '', id = '' } = JSON.parse(storage.getItem(MEMORY) ?? '{}') ?? {};
    return { bottom: String(bottom), top: String(top), high: String(high), id: String(id) };
  } catch {
    return { bottom: '', top: '', high: '', id: '' };
  }
}

function rememberCup(storage, cup) {
  try {
    storage.setItem(MEMORY, JSON.stringify(cup));
  } catch {
    // It is typed again next time.
  }
}
