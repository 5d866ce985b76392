// Adding a product, or changing one: the name, the ratio as the tin prints it,
// and a density where the sheet gives one. Nothing is put by Enter, only by the
// button.

import { mergedForm, openedOf, othersChanges } from '../merge.js';
import { fitRows, firstForm, formTrouble, OFS, parseRatio, putBody, ROLES, usualName } from '../stock.js';
import { ask } from '../shelf.js';
import { el, onChange, rest, setAttr, setText, show } from './dom.js';
import { keepsDraft, lateText, makeDraftBar } from './draftbar.js';
import { makeMergeBox } from './mergebox.js';
import { makeSheetForm } from './sheetform.js';

const KINDS_MS = 3000; // until the kinds are asked for again

/** The form; s is the shelf that it belongs to. */
export function makeShelfForm(s) {
  const f = { form: firstForm(null), kinds: [], opened: 0, shelved: null, theirs: null, wake: null, asks: '' };
  const sheet = makeSheetForm(s, f, () => refresh());
  const fill = (form) => {
    sheet.reset();
    f.form = form;
    for (const name of ['name', 'ratio', 'pot']) p[name].input.value = form[name];
    rebuild(`open ${Math.random()}`);
    typeRatio();
  };
  const draft = makeDraftBar(s, 'product', f, fill);
  // Another page has changed the product: the form goes on with both.
  const goOn = (keepMine) => {
    const theirs = f.theirs;
    const form = mergedForm(f.shelved, theirs, f.form, keepMine);
    Object.assign(f, { shelved: theirs, theirs: null });
    merge.close();
    draft.rebase(() => firstForm(theirs), form, 'Both are in the form now: look it over, and keep the changes.');
    p.title.focus();
  };
  const both = (theirs) => {
    f.theirs = theirs;
    setText(p.said, '');
    draw(p, f, rebuild, sheet);
    merge.open(othersChanges(f.shelved, theirs, f.form));
  };
  const merge = makeMergeBox(s.guard, goOn);
  const p = parts(s, f, sheet, draft, merge);
  const rebuild = onChange(() => {
    s.guard.changed();
    p.rows.replaceChildren(...f.form.rows.map((_, i) => row(f, i, refresh)));
  });
  const typeRatio = () => {
    const { shares } = parseRatio(f.form.ratio);
    if (shares !== undefined) f.form.rows = fitRows(f.form.rows, shares);
    refresh();
  };
  const refresh = () => {
    f.asks = '';
    f.form.confirm = false;
    draw(p, f, rebuild, sheet);
  };
  // While it is on its way the form rests, and only leaving it can be pressed. Who
  // has left is told what came of it where he is.
  const put = async (confirm) => {
    if (f.wake !== null) return;
    const [here, done, name, isNew] = [s.steps.here(), draft.putting(), f.form.name.trim(), f.form.id === ''];
    const wake = rest([...p.node.children].slice(1));
    f.wake = wake;
    f.form.confirm = confirm;
    const answer = await s.commands.shelf(putBody(f.form));
    if (answer.ok) done();
    const theirs = answer.code === 'stale' && !isNew ? await s.latest(f.form.id) : undefined;
    if (f.wake === wake) sleepNoMore();
    s.guard.changed();
    if (answer.ok) s.changed(answer, isNew ? `${name} is on the shelf.` : `${name} is changed.`, here);
    if (!here()) {
      if (!answer.ok) setText(s.problem, lateText(name, answer));
      return;
    }
    f.asks = answer.code === 'ask' ? answer.sentence : '';
    if (theirs !== undefined && theirs.revision !== f.form.revision) {
      both(theirs);
      return;
    }
    const beside = !answer.ok && sheet.refuse(answer);
    setText(p.said, answer.ok || beside || answer.code === 'ask' ? '' : answer.sentence);
    if (!answer.ok && !beside) draw(p, f, rebuild, sheet);
    if (p.said.textContent !== '') p.said.scrollIntoView({ block: 'center' }); // on a phone the button stands far below
  };
  const sleepNoMore = () => {
    f.wake?.();
    f.wake = null;
  };
  const learnKinds = async () => {
    const mine = ++f.opened;
    for (let kinds = f.kinds; kinds.length === 0;) {
      kinds = await ask(s.rim.fetch, '/api/measure').then((m) => m.kinds, () => []);
      if (mine !== f.opened) return;
      f.kinds = kinds;
      draw(p, f, rebuild, sheet); // what the form asks stays asked
      if (kinds.length === 0) await s.rim.sleep(KINDS_MS);
      if (mine !== f.opened || p.node.hidden) return;
    }
  };
  p.name.input.addEventListener('input', () => { f.form.name = p.name.input.value; refresh(); });
  p.ratio.input.addEventListener('input', () => { f.form.ratio = p.ratio.input.value; typeRatio(); });
  p.pot.input.addEventListener('input', () => { f.form.pot = p.pot.input.value; refresh(); });
  for (const b of p.basis.children) b.addEventListener('click', s.guard.step(() => { f.form.basis = b.dataset.value; refresh(); }));
  for (const b of p.of.children) b.addEventListener('click', s.guard.step(() => {
    for (const r of f.form.rows) if (r.share.percent !== undefined) r.of = b.dataset.value;
    refresh();
  }));
  p.put.addEventListener('click', s.guard.press(() => put(false)));
  p.yes.addEventListener('click', s.guard.press(() => put(true)));
  p.no.addEventListener('click', s.guard.press(refresh));
  // Enter moves on to the next field, and never puts anything.
  p.node.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    event.preventDefault();
    const fields = [...p.node.querySelectorAll('input')].filter((i) => i.offsetParent !== null);
    fields[fields.indexOf(event.target) + 1]?.focus();
  });
  keepsDraft(p.node, draft);
  return {
    node: p.node,
    /** What is half typed as a new product, "" for nothing. */
    halfTyped() {
      const form = draft.halfTyped(firstForm(null));
      return form === null ? '' : `${form.name.trim() === '' ? 'A product' : `“${form.name.trim()}”`} is half typed: “Add a product” goes on with it.`;
    },
    /** Begins anew, or with a product of the shelf, or goes on with what was typed before. */
    open(recipe, figures = false) {
      sleepNoMore();
      merge.close();
      Object.assign(f, { shelved: recipe, theirs: null });
      draft.begin(() => firstForm(recipe));
      setText(p.title, recipe === null ? 'Add a product' : `Change ${recipe.name}`);
      setText(p.put, recipe === null ? 'Put it on the shelf' : 'Keep the changes');
      setText(p.said, '');
      const older = draft.older();
      if (older !== null && older.form.original !== null) {
        draft.resume(older);
        f.shelved = openedOf(f.form);
        both(recipe);
      }
      if (figures) sheet.open();
      learnKinds();
    },
    update() {},
  };
}

function field(label, name, props = {}) {
  const input = el('input', { type: 'text', class: 'check-input', autocomplete: 'off', autocapitalize: 'off', spellcheck: 'false', 'data-field': name, 'aria-label': label, maxlength: 60, ...props });
  return { input, node: el('label', { class: 'check-field' }, el('span', { text: label }), el('span', { class: 'check-box' }, input)) };
}

function choices(label, name, list) {
  return el('div', { class: 'check-choices', role: 'group', 'aria-label': label, 'data-choice': name }, ...list.map((o) => el('button', {
    type: 'button', class: 'plain check-choice', 'data-value': o.value, 'aria-pressed': 'false',
  }, el('span', { text: o.label }), o.note ? el('small', { text: o.note }) : null)));
}

function parts(s, f, sheet, draft, merge) {
  const p = {
    title: el('h1', { class: 'place-title', tabindex: '-1' }),
    name: field('Name, as on the tin', 'name', { autocapitalize: 'sentences' }),
    ratio: field('Ratio, as on the tin', 'ratio', { inputmode: 'text', placeholder: '4:1:1  or  2:1 + 10 %' }),
    pot: field('Pot life, min', 'pot', { inputmode: 'numeric', placeholder: 'if given' }),
    basis: choices('The ratio counts', 'basis', [{ value: 'volume', label: 'By volume' }, { value: 'weight', label: 'By weight' }]),
    of: choices('Percent of what', 'of', OFS),
    rows: el('div', { class: 'form-rows' }),
    trouble: el('p', { class: 'check-trouble', role: 'status' }),
    said: el('p', { class: 'sentence', role: 'alert' }),
    put: el('button', { type: 'button', class: 'start', 'data-shelf': 'put' }),
    yes: el('button', { type: 'button', class: 'plain grave', 'data-shelf': 'yes', text: 'It is so: take it' }),
    no: el('button', { type: 'button', class: 'plain sure-no', 'data-shelf': 'no', text: 'Let me look again' }),
    asks: el('p', { class: 'form-asks', role: 'alert' }),
  };
  const leave = el('button', { type: 'button', class: 'plain back', 'data-shelf': 'leave', text: '‹ Not now', on: { click: s.guard.press(() => s.go(f.form.id)) } });
  p.ofRow = el('div', { class: 'form-of' }, el('span', { class: 'check-label', text: 'Percent of what? The sheet says it.' }), p.of);
  p.hint = el('p', { class: 'form-hint', text: 'Density: 1.42, 1420 g/L or 11.85 lb/gal from the sheet; or the tin’s ratio by weight to the first one, such as 100:19.5. Not there? Leave it empty and measure it.' });
  p.sure = el('div', { class: 'form-sure' }, p.asks, el('div', { class: 'form-sure-row' }, p.no, p.yes));
  p.go = el('div', { class: 'form-go' }, p.put);
  p.node = el('div', { class: 'shelf-form' },
    el('div', { class: 'product-head' }, leave, p.title), draft.node, merge.node, p.sure, p.said,
    el('div', { class: 'form-top' }, p.name.node, p.ratio.node, el('div', { class: 'form-basis' }, el('span', { class: 'check-label', text: 'The parts count' }), p.basis), p.pot.node),
    p.ofRow, p.rows, p.trouble, p.hint, sheet.node, p.go);
  return p;
}

// One component: what it is, what it is called, its density.
function row(f, i, refresh) {
  const r = () => f.form.rows[i]; // typing the ratio on makes new rows
  const role = el('select', { class: 'form-select', 'data-row': `role-${i}`, 'aria-label': `What component ${i + 1} is` },
    ...ROLES.map((v) => el('option', { value: v, text: v })));
  role.value = r().role;
  role.addEventListener('change', () => { r().role = role.value; refresh(); });
  const name = field('Name', `name-${i}`, { 'aria-label': `Name of component ${i + 1}` });
  name.input.value = r().name;
  name.input.addEventListener('input', () => { r().name = name.input.value; });
  const kind = el('select', { class: 'form-select', 'data-row': `kind-${i}`, 'aria-label': `Kind of component ${i + 1}` });
  kind.addEventListener('change', () => { r().kind = kind.value; refresh(); });
  const density = field('Density', `density-${i}`, { inputmode: 'text', 'aria-label': `Density of component ${i + 1}` });
  density.input.value = r().density;
  density.input.addEventListener('input', () => { r().density = density.input.value; refresh(); });
  return el('div', { class: 'form-row', 'data-index': String(i) },
    el('span', { class: 'swatch', 'aria-hidden': 'true' }, el('span', {})), el('strong', { class: 'form-share n' }), role, name.node, kind, density.node);
}

function draw(p, f, rebuild, sheet) {
  const { form } = f;
  rebuild(`${form.rows.length}`);
  form.rows.forEach((r, i) => drawRow(p.rows.children[i], f, r, i));
  for (const b of p.basis.children) setAttr(b, 'aria-pressed', String(b.dataset.value === form.basis));
  const percents = form.rows.filter((r) => r.share?.percent !== undefined);
  for (const b of p.of.children) setAttr(b, 'aria-pressed', String(percents.length > 0 && percents.every((r) => r.of === b.dataset.value)));
  show(p.ofRow, percents.length > 0);
  show(p.hint, form.rows.length > 0 && form.basis === 'volume');
  const why = formTrouble(form);
  setText(p.trouble, why);
  show(p.trouble, why !== '');
  setAttr(p.put, 'disabled', why !== '');
  setText(p.asks, f.asks);
  show(p.sure, f.asks !== '');
  show(p.go, f.asks === '' && f.theirs === null);
  sheet.update();
  setAttr(p.node, 'data-more', sheet.isOpen());
  setAttr(p.node, 'data-merge', f.theirs !== null);
}

function drawRow(node, f, r, i) {
  const [swatch, share, , name, kind, density] = node.children;
  setAttr(swatch, 'class', `swatch ${r.role}`);
  setText(share, r.share === undefined ? '' : r.share.percent !== undefined ? `${r.share.percent} %` : String(r.share.parts));
  setAttr(name.querySelector('input'), 'placeholder', usualName(f.form, i));
  const kinds = r.role === 'base' ? f.kinds.filter((k) => !['hardener', 'reducer'].includes(k.kind)) : [];
  const wanted = ['', ...kinds.map((k) => k.kind)];
  if (kind.children.length !== wanted.length) {
    kind.replaceChildren(...wanted.map((v) => el('option', { value: v, text: v === '' ? 'kind: any' : v })));
  }
  kind.value = wanted.includes(r.kind) ? r.kind : '';
  setAttr(kind, 'data-off', kinds.length === 0);
  const old = r.original?.density?.g_ml > 0 ? `${Number(r.original.density.g_ml.toFixed(3))} stays` : 'not known';
  setAttr(density.querySelector('input'), 'placeholder', f.form.basis === 'weight' ? 'not needed' : old);
}
