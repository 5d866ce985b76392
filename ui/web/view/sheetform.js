// The further figures of a product's sheets, behind a button of its form: a
// component at a time, each figure in the unit of the sheet and read back.

import { fieldOf, fieldsOf, figurePath, filledText, hintOf, MIX_FIGURES } from '../sheet.js';
import { ask } from '../shelf.js';
import { tabOf } from '../stock.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

const WAIT_MS = 250;

/** The part; f holds the form, changed() is called when a figure was typed. */
export function makeSheetForm(s, f, changed) {
  const m = { open: false, at: '0', refused: null, fields: new Map() };
  const toggle = el('button', { type: 'button', class: 'plain sheet-toggle', 'data-shelf': 'more', on: { click: s.guard.press(() => turn(!m.open)) } });
  const note = el('span', { class: 'form-hint', text: 'Price, solids, VOC, index: not needed for a pour.' });
  const tabs = el('div', { class: 'sheet-tabs', role: 'group', 'aria-label': 'Whose figures' });
  const grid = el('div', { class: 'sheet-grid' });
  const inside = el('div', { class: 'sheet-inside' }, tabs, grid);
  const node = el('div', { class: 'sheet' }, el('div', { class: 'sheet-head' }, toggle, note), inside);
  const turn = (open) => {
    m.open = open;
    s.guard.changed();
    changed();
  };
  const go = (at) => {
    m.at = at;
    s.guard.changed();
    changed();
  };
  let round = 0; // of filling it in: another form has other figures
  const rebuild = onChange(() => {
    m.fields.clear();
    grid.replaceChildren(...(f.form.rows.length === 0 ? [] : m.at === 'mix' ? mixFields(s, f, m) : componentFields(s, f, m)));
  });
  const drawTabs = onChange((list) => tabs.replaceChildren(...list.map(([at, label, name, word]) => el('button', {
    type: 'button', class: 'plain sheet-tab', 'data-tab': at, 'aria-pressed': String(at === m.at), on: { click: s.guard.press(() => go(at)) },
  }, el('span', { text: label }), el('small', { text: [name, word].filter(Boolean).join(', ') })))));
  return {
    node,
    isOpen: () => m.open,
    open: () => turn(true),
    reset() {
      m.open = false;
      m.at = '0';
      m.refused = null;
      round++;
    },
    /** Shows a refusal beside its field; false where it has none. */
    refuse(answer) {
      const at = fieldOf(answer);
      m.refused = at === null ? null : { ...at, sentence: answer.sentence };
      if (at === null) return false;
      m.open = true;
      m.at = at.place;
      changed();
      m.fields.get(at.name)?.refuse(answer.sentence);
      return true;
    },
    update() {
      const { form } = f;
      if (m.at !== 'mix' && Number(m.at) >= form.rows.length) m.at = '0';
      show(node, form.rows.length > 0);
      show(inside, m.open);
      show(note, !m.open);
      setText(toggle, m.open ? '‹ Ratio and density' : 'More figures ›');
      const tab = form.rows.map((_, i) => tabOf(form, i));
      const list = form.rows.map((r, i) => [String(i), tab[i].role, tab[i].name, filledText(fieldsOf(r, i), r.figures)]);
      drawTabs(JSON.stringify([m.at, list.map(([at]) => at), list, form.mix]), [...list, ['mix', 'The mix', '', filledText(MIX_FIGURES, form.mix)]]);
      if (m.open) rebuild(`${round}|${m.at}|${form.rows[Number(m.at)]?.role}|${form.rows.length}`);
    },
  };
}

function componentFields(s, f, m) {
  const i = Number(m.at);
  const texts = () => f.form.rows[i].figures; // typing the ratio on makes new rows
  return [...fieldsOf(f.form.rows[i], i).map((spec) => field(s, m, { ...spec, hint: hintOf(spec, f.form.rows[i]) }, texts)), fromField(f)];
}

function mixFields(s, f, m) {
  const note = el('textarea', { class: 'check-input sheet-note', 'data-field': 'note', 'aria-label': 'Note', maxlength: 400, rows: 2 });
  note.value = f.form.note;
  note.addEventListener('input', () => { f.form.note = note.value; });
  return [...MIX_FIGURES.map((spec) => field(s, m, spec, () => f.form.mix)), fromField(f),
    el('label', { class: 'check-field sheet-wide' }, el('span', { text: 'Note, for whoever mixes it next' }), el('span', { class: 'check-box' }, note))];
}

function fromField(f) {
  const input = el('input', { type: 'text', class: 'check-input', autocomplete: 'off', 'data-field': 'from', 'aria-label': 'Where these figures stand', placeholder: 'product sheet', maxlength: 100 });
  input.value = f.form.from;
  input.addEventListener('input', () => { f.form.from = input.value; });
  return el('label', { class: 'check-field sheet-from' }, el('span', { text: 'Where they stand' }), el('span', { class: 'check-box' }, input), el('small', { class: 'sheet-said', text: 'kept with today’s date' }));
}

function field(s, m, spec, texts) {
  if (spec.toggle !== undefined) return toggleField(s, m, spec, texts);
  const input = el('input', { type: 'text', class: 'check-input', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false', 'data-figure': spec.name, 'aria-label': spec.label, placeholder: spec.hint, maxlength: 40 });
  const said = el('small', { class: 'sheet-said', role: 'status' });
  let asked = 0;
  const say = (text, bad) => {
    setText(said, text);
    setAttr(said, 'data-bad', bad);
    setAttr(input, 'aria-invalid', bad ? 'true' : null);
  };
  const read = async () => {
    const mine = ++asked;
    const text = input.value.trim();
    if (text === '') return say('', false);
    await s.rim.sleep(WAIT_MS);
    if (mine !== asked) return undefined;
    try {
      const answer = await ask(s.rim.fetch, figurePath(spec.name, text));
      if (mine === asked) say(answer.text === text ? '' : `is ${answer.text}`, false);
    } catch (err) {
      if (mine === asked) say(err.message, true);
    }
    return undefined;
  };
  input.value = texts()[spec.name] ?? '';
  input.addEventListener('input', () => {
    texts()[spec.name] = input.value;
    m.refused = null;
    read();
  });
  m.fields.set(spec.name, { refuse: (text) => { asked++; say(text, true); input.focus(); } });
  return el('label', { class: 'check-field' }, el('span', { text: spec.label }), el('span', { class: 'check-box' }, input), said);
}

function toggleField(s, m, spec, texts) {
  const said = el('small', { class: 'sheet-said', role: 'status' });
  const button = el('button', { type: 'button', class: 'plain check-choice sheet-yes', 'data-figure': spec.name, on: { click: s.guard.step(() => {
    texts()[spec.name] = texts()[spec.name] === 'yes' ? '' : 'yes';
    setText(said, '');
    draw();
  }) } });
  const draw = () => {
    const on = texts()[spec.name] === 'yes';
    setText(button, on ? `✓ ${spec.toggle}` : spec.toggle);
    setAttr(button, 'aria-pressed', String(on));
    setAttr(button, 'aria-label', `${spec.label}: ${spec.toggle}`);
  };
  draw();
  m.fields.set(spec.name, { refuse: (text) => { setText(said, text); setAttr(said, 'data-bad', true); button.focus(); } });
  return el('div', { class: 'check-field' }, el('span', { text: spec.label }), button, said);
}
