// Two undercoats and their drawdowns, typed. Nothing is kept by Enter, only by
// the button.

import { firstGrey, greyBody, greyHint, greyTrouble, padRows } from '../grey.js';
import { el, onChange, rest, setAttr, setText, show } from './dom.js';
import { keepsDraft, lateText, makeDraftBar } from './draftbar.js';

const FIELDS = [
  ['name', 'Name of the system', { autocapitalize: 'sentences' }], ['light', 'Light undercoat', { autocapitalize: 'sentences' }], ['lightDensity', 'Its density', {}],
  ['dark', 'Dark undercoat', { autocapitalize: 'sentences' }], ['darkDensity', 'Its density', {}], ['steps', 'Your own steps and their L*, if you have some', { placeholder: 'light 82, middle 60, dark 40', maxlength: 400 }],
];

/** The form; g is the place of the greys that it belongs to. */
export function makeGreyForm(g) {
  const f = { form: firstGrey(null), kept: null, wake: null, asks: '' };
  const fill = (form) => {
    Object.assign(f, { form, asks: '' });
    p.like.value = form.like;
    for (const [name] of FIELDS) p[name].input.value = form[name];
    rows(`open ${Math.random()}`);
    refresh();
  };
  const draft = makeDraftBar(g, 'grey', f, fill);
  const p = parts(draft);
  const refresh = () => {
    f.asks = '';
    f.form.confirm = false;
    draw(g, p, f, rows);
  };
  const rows = onChange(() => {
    const focus = document.activeElement?.dataset?.greyField;
    p.rows.replaceChildren(...f.form.rows.map((_, i) => row(f, i, refresh)));
    if (focus !== undefined) p.rows.querySelector(`[data-grey-field="${focus}"]`)?.focus();
  });
  // As the form of a product: it rests meanwhile, and who has left is told where he is.
  const put = async (confirm) => {
    if (f.wake !== null) return;
    const [here, done, name, isNew] = [g.steps.here(), draft.putting(), f.form.name.trim(), f.form.id === ''];
    const wake = rest([...p.node.children].slice(1));
    f.wake = wake;
    f.form.confirm = confirm;
    const answer = await g.commands.grey(greyBody(f.form));
    if (answer.ok) done();
    if (f.wake === wake) sleepNoMore();
    g.guard.changed();
    if (answer.ok) {
      await g.changed(answer, isNew ? 'Kept.' : 'Changed.', here);
      return;
    }
    if (!here()) {
      setText(g.problem, lateText(name, answer));
      return;
    }
    f.asks = answer.code === 'ask' ? answer.sentence : '';
    setText(p.said, answer.code === 'ask' ? '' : answer.sentence);
    draw(g, p, f, rows);
  };
  const sleepNoMore = () => {
    f.wake?.();
    f.wake = null;
  };
  for (const [name] of FIELDS) p[name].input.addEventListener('input', () => { f.form[name] = p[name].input.value; refresh(); });
  p.like.addEventListener('change', () => { f.form.like = p.like.value; borrow(g, p, f); refresh(); });
  p.put.addEventListener('click', g.guard.press(() => put(false)));
  p.yes.addEventListener('click', g.guard.press(() => put(true)));
  p.no.addEventListener('click', g.guard.press(refresh));
  p.leave.addEventListener('click', g.guard.press(() => g.go(f.form.id)));
  // Enter moves on to the next field, and never keeps anything.
  p.node.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const fields = [...p.node.querySelectorAll('input')].filter((i) => i.offsetParent !== null);
    fields[fields.indexOf(event.target) + 1]?.focus();
  });
  keepsDraft(p.node, draft);
  return {
    node: p.node,
    /** Begins anew, or with undercoats that are kept, or goes on with what was typed before. */
    open(kept) {
      sleepNoMore();
      f.kept = kept;
      p.like.replaceChildren(...[{ id: '', name: 'nothing else goes in' }, ...g.recipes().filter((r) => r.components.filter((c) => c.role === 'base').length === 1)]
        .map((r) => el('option', { value: r.id, text: r.id === '' ? r.name : `like ${r.name}` })));
      draft.begin(() => firstGrey(kept));
      setText(p.title, kept === null ? 'Two undercoats' : `Change ${kept.system.name}`);
      setText(p.put, kept === null ? 'Keep them' : 'Keep the changes');
      setText(p.said, '');
    },
  };
}

// A product that is chosen lends its base as the light undercoat, where nobody
// has typed one.
function borrow(g, p, f) {
  const base = g.recipes().find((r) => r.id === f.form.like)?.components.find((c) => c.role === 'base');
  if (base === undefined || f.form.light.trim() !== '') return;
  f.form.light = base.name;
  p.light.input.value = base.name;
}

function field(label, name, props = {}) {
  const input = el('input', { type: 'text', class: 'check-input', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false', 'data-grey-field': name, 'aria-label': label, maxlength: 60, ...props });
  return { input, node: el('label', { class: 'check-field' }, el('span', { text: label }), el('span', { class: 'check-box' }, input)) };
}

function parts(draft) {
  const p = Object.fromEntries(FIELDS.map(([name, label, props]) => [name, field(label, name, props)]));
  setAttr(p.lightDensity.input, 'aria-label', 'Density of the light undercoat');
  setAttr(p.darkDensity.input, 'aria-label', 'Density of the dark undercoat');
  Object.assign(p, {
    title: el('h1', { class: 'place-title', tabindex: '-1' }),
    like: el('select', { class: 'form-select', 'data-grey-field': 'like', 'aria-label': 'What goes in with them' }),
    rows: el('div', { class: 'grey-rows' }),
    hint: el('p', { class: 'grey-hint', role: 'status' }),
    trouble: el('p', { class: 'check-trouble', role: 'status' }),
    said: el('p', { class: 'sentence', role: 'alert' }),
    put: el('button', { type: 'button', class: 'start', 'data-grey': 'put' }),
    yes: el('button', { type: 'button', class: 'plain grave', 'data-grey': 'yes', text: 'It is so: take it' }),
    no: el('button', { type: 'button', class: 'plain sure-no', 'data-grey': 'no', text: 'Let me look again' }),
    asks: el('p', { class: 'form-asks', role: 'alert' }),
    leave: el('button', { type: 'button', class: 'plain back', 'data-grey': 'leave', text: '‹ Not now' }),
  });
  p.sure = el('div', { class: 'form-sure' }, p.asks, el('div', { class: 'form-sure-row' }, p.no, p.yes));
  const like = el('label', { class: 'check-field' }, el('span', { text: 'Hardener and reducer' }), p.like);
  const cards = el('fieldset', { class: 'grey-cards' }, el('legend', { text: 'Drawdowns over full hiding, dried and read' }), p.rows, p.hint);
  p.node = el('div', { class: 'grey-form' },
    el('div', { class: 'product-head' }, p.leave, p.title), el('div', { class: 'grey-put' }, p.put), draft.node, p.sure,
    el('div', { class: 'grey-tins' }, p.name.node, like, p.light.node, p.lightDensity.node, p.dark.node, p.darkDensity.node, p.steps.node), cards, p.trouble, p.said);
  return p;
}

// One drawdown.
function row(f, i, refresh) {
  const input = (name, label, unit) => {
    const node = el('input', { type: 'text', class: 'check-input', inputmode: 'decimal', autocomplete: 'off', maxlength: 8, 'data-grey-field': `${name}-${i}`, 'aria-label': `Drawdown ${i + 1}, ${label}` });
    node.value = f.form.rows[i][name];
    node.addEventListener('input', () => {
      f.form.rows[i][name] = node.value;
      f.form.rows = padRows(f.form.rows);
      refresh();
    });
    return el('label', { class: 'check-box' }, name === 'l' ? el('span', { class: 'grey-unit', text: unit }) : null, node, name === 'l' ? null : el('span', { class: 'check-unit', text: unit }));
  };
  return el('div', { class: 'grey-row' }, input('dark', 'per cent of the dark one', '% dark'), input('l', 'L star', 'L*'));
}

function draw(g, p, f, rows) {
  rows(String(f.form.rows.length));
  for (const [name, tin] of [['lightDensity', 'light'], ['darkDensity', 'dark']]) setAttr(p[name].input, 'placeholder', known(g, f, tin));
  const why = greyTrouble(f.form);
  setText(p.trouble, why);
  show(p.trouble, why !== '' && f.form.name !== '');
  setText(p.hint, greyHint(f.form));
  setAttr(p.put, 'disabled', why !== '');
  setText(p.asks, f.asks);
  show(p.sure, f.asks !== '');
  show(p.put, f.asks === '');
}

// What is known of a density without typing one.
function known(g, f, tin) {
  const name = f.form[tin].trim().toLowerCase();
  const old = f.kept?.[tin];
  if (old !== undefined && old.name.toLowerCase() === name && old.density_g_ml > 0) return `${Number(old.density_g_ml.toFixed(3))} stays`;
  const shelf = name === '' ? undefined : g.recipes().flatMap((r) => r.components).find((c) => c.name.trim().toLowerCase() === name && c.density_g_ml > 0);
  return shelf === undefined ? '1.42, if known' : `${Number(shelf.density_g_ml.toFixed(3))} of the shelf`;
}
