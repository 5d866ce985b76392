// How much: by volume, by weight or as poured, with what it comes to.

import { grams, millilitres } from '../format.js';
import { ask, parseAmount, planPath, remember, startBody, stepped, WAYS, way } from '../shelf.js';
import { decidedOn } from '../state.js';
import { el, setAttr, setText, show } from './dom.js';

const PREVIEW_MS = 120;

/** The region of the amount; back() returns to the recipes. */
export function makeAmount(rim, start, guard, back) {
  const m = { recipe: null, kind: 'volume', amounts: {}, plan: null, asked: 0, on: decidedOn(null), busy: false };
  const p = parts();
  const refresh = () => draw(p, m, guard, set);
  const set = (amount, typing = false) => {
    m.amounts[m.kind] = amount;
    if (!typing) p.input.value = String(amount);
    preview();
  };
  const preview = () => {
    const asked = ++m.asked;
    m.plan = null;
    refresh();
    rim.setTimeout(async () => {
      if (asked !== m.asked) return;
      const plan = await ask(rim.fetch, planPath(m.recipe.id, m.kind, m.amounts[m.kind])).catch((err) => ({ sentence: err.message }));
      if (asked !== m.asked) return;
      m.plan = plan;
      refresh();
    }, PREVIEW_MS);
  };
  const turn = (kind) => {
    m.kind = kind;
    p.quick.replaceChildren(...way(kind).quick.map((n) => el('button', { type: 'button', class: 'quick', 'data-amount': n, text: String(n), 'aria-label': `${n} ${way(kind).unit}`, on: { click: guard.step(() => set(n)) } })));
    set(m.amounts[kind]);
  };
  const go = async () => {
    if (m.busy) return;
    m.busy = true;
    setText(p.problem, '');
    refresh();
    const answer = await start(m.on, startBody(m.recipe.id, m.kind, m.amounts[m.kind]));
    m.busy = false;
    if (answer.ok) remember(rim.storage, m.recipe.id, m.kind, m.amounts[m.kind], rim.unixNow());
    else setText(p.problem, answer.sentence);
    refresh();
  };
  wire(p, m, guard, { set, turn, go, back, preview });
  return {
    node: p.node,
    open(recipe, last) {
      m.recipe = recipe;
      m.amounts = Object.fromEntries(WAYS.map((w) => [w.kind, last?.kind === w.kind && last.amount >= 1 ? last.amount : w.first]));
      setText(p.name, recipe.name);
      setText(p.ratio, recipe.ratio);
      setText(p.note, recipe.note);
      setText(p.problem, '');
      turn(way(last?.kind).kind);
      p.name.focus();
    },
    update(state) {
      m.on = decidedOn(state.view);
      const open = state.link.open && state.view !== null;
      if (m.linked !== open) {
        m.linked = open;
        refresh();
      }
    },
  };
}

function parts() {
  const p = {
    back: el('button', { type: 'button', class: 'plain back', text: '‹ Recipes' }),
    name: el('h1', { class: 'place-title', tabindex: '-1' }),
    ratio: el('p', { class: 'amount-ratio' }),
    note: el('p', { class: 'amount-note' }),
    ways: el('div', { class: 'ways', role: 'group', 'aria-label': 'How much is said' }),
    less: el('div', { class: 'steps' }),
    more: el('div', { class: 'steps' }),
    input: el('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', class: 'amount-input', 'aria-label': 'Amount' }),
    unit: el('span', { class: 'amount-unit' }),
    quick: el('div', { class: 'quicks', role: 'group', 'aria-label': 'Quick amounts' }),
    eye: el('p', { class: 'amount-eye', text: 'Pour the first component by eye and say when it is enough. The lines of the others follow from what is really in the cup.' }),
    rows: el('tbody', {}),
    foot: el('p', { class: 'plan-total' }),
    fits: el('p', { class: 'plan-fits' }),
    problem: el('p', { class: 'sentence', role: 'alert' }),
    start: el('button', { type: 'button', class: 'start', text: 'Start' }),
  };
  p.dial = el('div', { class: 'dial' }, p.less, el('label', { class: 'amount-field' }, p.input, p.unit), p.more);
  p.node = el('section', { class: 'amount', 'aria-label': 'How much' },
    el('div', { class: 'amount-head' }, p.back, el('div', {}, p.name, p.ratio)),
    el('div', { class: 'amount-left' }, p.ways, p.dial, p.quick, p.eye, p.note),
    el('div', { class: 'amount-right' }, el('table', { class: 'plan' }, el('caption', { class: 'unseen', text: 'What goes into the cup' }), p.rows), p.foot, p.fits, p.problem, p.start));
  return p;
}

function wire(p, m, guard, act) {
  p.back.addEventListener('click', guard.press(act.back));
  p.start.addEventListener('click', guard.press(act.go));
  p.input.addEventListener('input', () => {
    const amount = parseAmount(p.input.value);
    if (amount !== null) act.set(amount, true);
    setAttr(p.input, 'aria-invalid', amount === null ? 'true' : null);
  });
  p.input.addEventListener('blur', () => act.set(m.amounts[m.kind]));
  for (const w of WAYS) {
    p.ways.append(el('button', { type: 'button', class: 'way', 'data-kind': w.kind, text: w.label, on: { click: guard.press(() => act.turn(w.kind)) } }));
  }
  const stepButton = (sign) => (size) => el('button', {
    type: 'button', class: 'step', text: `${sign > 0 ? '+' : '−'}${size}`, 'aria-label': `${size} ${sign > 0 ? 'more' : 'less'}`,
    on: { click: guard.step(() => act.set(stepped(m.amounts[m.kind], sign * size))) },
  });
  p.less.append(...[100, 10].map(stepButton(-1)));
  p.more.append(...[10, 100].map(stepButton(1)));
}

function draw(p, m, guard) {
  const byEye = m.kind === 'as-poured';
  for (const button of p.ways.children) setAttr(button, 'aria-pressed', button.dataset.kind === m.kind ? 'true' : 'false');
  for (const button of p.quick.children) setAttr(button, 'aria-pressed', Number(button.dataset.amount) === m.amounts[m.kind] ? 'true' : 'false');
  for (const part of [p.dial, p.quick]) show(part, !byEye);
  show(p.eye, byEye);
  show(p.note, p.note.textContent !== '');
  setText(p.unit, way(m.kind).unit);
  drawPlan(p, m, byEye);
  const ready = m.plan !== null && m.plan.ok === true && !m.busy && m.linked !== false;
  setAttr(p.start, 'aria-disabled', ready ? null : 'true');
  p.start.disabled = !ready;
}

function drawPlan(p, m, byEye) {
  const { plan, recipe } = m;
  setAttr(p.rows, 'data-waiting', plan === null);
  if (plan === null) return;
  if (plan.ok !== true) {
    p.rows.replaceChildren();
    setText(p.foot, '');
    setText(p.fits, plan.sentence);
    setAttr(p.fits, 'data-fits', 'no');
    return;
  }
  p.rows.replaceChildren(...plan.components.map((c, i) => el('tr', {},
    el('td', { class: `swatch ${c.role}` }, el('span', {})),
    el('th', { scope: 'row' }, el('span', { text: c.name }), el('small', { text: `${c.role}, ${c.share}` })),
    el('td', { class: 'n strong', text: byEye ? '' : grams(c.target_g, plan.decimals) }),
    el('td', { class: 'n', text: byEye ? '' : millilitres(c.volume_ml) || (recipe.components[i]?.density_g_ml > 0 ? '' : 'volume not known') }))));
  setText(p.foot, byEye ? '' : `In all ${[grams(plan.total_g, plan.decimals), millilitres(plan.total_ml)].filter(Boolean).join(' · ')}`);
  const words = [plan.cup, ...(plan.cautions ?? [])].filter(Boolean);
  setText(p.fits, words.join(' · '));
  setAttr(p.fits, 'data-fits', plan.fits === false ? 'no' : plan.fits === true ? 'yes' : 'unknown');
}
