// How much: by volume, by weight, by area or as poured, with what it comes to.

import { cupFact, firstJob } from '../decide.js';
import { readAmount } from '../figure.js';
import { decimal, grams, millilitres, unbroken } from '../format.js';
import { makeSteps } from '../newest.js';
import { ask, planPath, remember, startBody, stepped, WAYS, way } from '../shelf.js';
import { decidedOn } from '../state.js';
import { makeArea } from './area.js';
import { el, setAttr, setText, show } from './dom.js';
import { makeFacts } from './facts.js';

const PREVIEW_MS = 120;
const AGAIN_MS = 3000; // after the bench could not be reached

/** The region of the amount; back() returns to the recipes, late(sentence) tells of a refusal that comes when another one is on screen. */
export function makeAmount(rim, start, guard, back, commands, late) {
  const m = { recipe: null, kind: 'volume', amounts: {}, plan: null, asked: 0, on: decidedOn(null), busy: false, steps: makeSteps(), settings: null, refused: '' };
  const area = makeArea(guard, (job) => set(job), () => preview());
  const take = (way) => {
    if (way.kind === 'area') set({ ...m.amounts.area, ml: way.amount });
    else set(way.amount);
  };
  const facts = makeFacts(rim, guard, commands, take, () => preview());
  const p = parts(area, facts.node);
  p.area = area;
  p.facts = facts;
  const refresh = () => draw(p, m, guard, set);
  const set = (amount, typing = false) => {
    m.amounts[m.kind] = amount;
    m.refused = '';
    if (!typing) setAttr(p.input, 'aria-invalid', null);
    if (!typing && m.kind !== 'area') p.input.value = String(amount);
    preview();
  };
  const preview = () => {
    const asked = ++m.asked;
    m.plan = null;
    refresh();
    if (trouble(p, m) !== '') return;
    rim.setTimeout(async () => {
      if (asked !== m.asked) return;
      const plan = await ask(rim.fetch, planPath(m.recipe.id, m.kind, m.amounts[m.kind])).catch((err) => ({ sentence: err.message, unheard: err.unheard }));
      if (asked !== m.asked) return;
      m.plan = plan;
      refresh();
      if (plan.unheard) rim.setTimeout(() => { if (asked === m.asked) preview(); }, AGAIN_MS);
    }, PREVIEW_MS);
  };
  const turn = (kind) => {
    m.kind = kind;
    p.quick.replaceChildren(...way(kind).quick.map((n) => el('button', { type: 'button', class: 'quick', 'data-amount': n, text: String(n), 'aria-label': `${n} ${way(kind).unit}`, on: { click: guard.step(() => set(n)) } })));
    set(m.amounts[kind]);
  };
  const go = async () => {
    if (m.busy || trouble(p, m) !== '') return;
    m.busy = true;
    setText(p.problem, '');
    refresh();
    const { recipe, kind } = m;
    const amount = m.amounts[kind];
    const here = m.steps.here();
    const answer = await start(m.on, startBody(recipe.id, kind, amount));
    if (answer.ok) remember(rim.storage, recipe.id, kind, amount, rim.unixNow());
    if (!here()) { // another recipe is on screen: the refusal is none of this one
      if (!answer.ok) late(`${recipe.name} was not started. ${answer.sentence}`);
      return;
    }
    if (answer.ok) return; // the batch is on its way to this screen
    m.busy = false;
    setText(p.problem, answer.sentence);
    refresh();
  };
  // The picker and the usual assumptions; the first area follows them.
  const learn = async (fresh, was = m.amounts.area) => {
    const mine = m.recipe;
    const settings = await ask(rim.fetch, '/api/settings').catch(() => null);
    if (mine !== m.recipe) return;
    if (settings === null) {
      if (m.settings === null) rim.setTimeout(() => { if (mine === m.recipe) learn(fresh, was); }, AGAIN_MS);
      return;
    }
    const first = m.settings === null && fresh;
    m.settings = settings;
    const touched = m.amounts.area !== was; // an answer that comes late turns nothing that a person has turned
    if (!touched && (first || settings.jobs?.[m.recipe.id] !== undefined)) m.amounts.area = firstJob(m.recipe, settings);
    if (m.kind === 'area') set(m.amounts.area);
  };
  const leave = () => {
    m.steps.moved();
    back();
  };
  wire(p, m, guard, { set, turn, go, back: leave, preview });
  return {
    node: p.node,
    open(recipe, last) {
      m.recipe = recipe;
      m.amounts = Object.fromEntries(WAYS.map((w) => [w.kind, last?.kind === w.kind && last.amount >= 1 ? last.amount : w.first]));
      m.amounts.area = { ...firstJob(recipe, m.settings), ...(last?.kind === 'area' && last.amount?.area_m2 > 0 ? { ...last.amount, ml: 0 } : {}) };
      m.busy = false;
      m.steps.moved();
      area.reset(m.amounts.area);
      facts.reset();
      p.rows.replaceChildren(); // the plan of another recipe is none of this one
      setText(p.foot, '');
      drawFits(p, 'unknown', '', []);
      learn(last?.kind !== 'area');
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

function parts(area, facts) {
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
    cup: el('span', { class: 'plan-cup' }),
    wet: el('span', {}),
    fits: el('p', { class: 'plan-fits' }),
    warn: el('p', { class: 'plan-warn plan-cup', 'data-fits': 'no', role: 'status' }),
    problem: el('p', { class: 'sentence', role: 'alert' }),
    start: el('button', { type: 'button', class: 'start', text: 'Start' }),
  };
  p.dial = el('div', { class: 'dial' }, p.less, el('label', { class: 'amount-field' }, p.input, p.unit), p.more);
  p.node = el('section', { class: 'amount', 'aria-label': 'How much' },
    el('div', { class: 'amount-head' }, p.back, el('div', { class: 'amount-name' }, p.name, p.ratio), p.ways),
    el('div', { class: 'amount-left' }, p.dial, p.quick, area.node, p.eye, facts, area.fold, p.note),
    el('div', { class: 'amount-right' }, el('table', { class: 'plan' }, el('caption', { class: 'unseen', text: 'What goes into the cup' }), p.rows), p.foot, p.fits, el('div', { class: 'amount-go' }, p.warn, p.problem, p.start)));
  p.fits.append(p.cup, p.wet);
  return p;
}

function wire(p, m, guard, act) {
  p.back.addEventListener('click', guard.press(act.back));
  p.start.addEventListener('click', guard.press(act.go));
  p.input.addEventListener('input', () => {
    const read = readAmount(p.input.value, way(m.kind).unit);
    setAttr(p.input, 'aria-invalid', read.value === null ? 'true' : null);
    m.refused = read.problem;
    if (read.value !== null) act.set(read.value, true);
    else act.preview();
  });
  p.input.addEventListener('blur', () => { if (m.refused === '') p.input.value = String(m.amounts[m.kind]); });
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

// Why what is typed is not taken, "" if it is.
const trouble = (p, m) => (m.kind === 'area' ? p.area.trouble() : m.refused);

function draw(p, m, guard) {
  const byEye = m.kind === 'as-poured';
  for (const button of p.ways.children) setAttr(button, 'aria-pressed', button.dataset.kind === m.kind ? 'true' : 'false');
  for (const button of p.quick.children) setAttr(button, 'aria-pressed', Number(button.dataset.amount) === m.amounts[m.kind] ? 'true' : 'false');
  const byArea = m.kind === 'area';
  for (const part of [p.dial, p.quick]) show(part, !byEye && !byArea);
  for (const part of [p.area.node, p.area.fold]) show(part, byArea);
  if (byArea) p.area.update(m.amounts.area, m.settings?.panels ?? [], m.settings?.jobs?.[m.recipe.id]);
  p.facts.update(m.plan, m.recipe);
  show(p.eye, byEye);
  show(p.note, p.note.textContent !== '');
  setText(p.unit, way(m.kind).unit);
  const { length } = p.input.value;
  setAttr(p.input, 'data-long', length > 5 ? 'very' : length > 3);
  drawPlan(p, m, byEye);
  const ready = m.plan !== null && m.plan.ok === true && trouble(p, m) === '' && !m.busy && m.linked !== false;
  const waiting = m.plan === null && trouble(p, m) === '';
  setText(p.start, m.busy ? 'One moment …' : waiting ? 'Working it out …' : 'Start');
  setAttr(p.start, 'aria-disabled', ready ? null : 'true');
  p.start.disabled = !ready;
}

function drawPlan(p, m, byEye) {
  const { recipe } = m;
  const refused = trouble(p, m);
  const plan = refused === '' ? m.plan : { ok: false, sentence: refused };
  // What is still there of the plan before is none of what is asked for now.
  for (const part of [p.rows, p.foot, p.fits, p.warn]) setAttr(part, 'data-waiting', plan === null);
  if (plan === null) return;
  if (plan.ok !== true) {
    p.rows.replaceChildren();
    setText(p.foot, '');
    drawFits(p, 'no', plan.sentence, []);
    return;
  }
  p.rows.replaceChildren(...plan.components.map((c, i) => el('tr', {},
    el('td', { class: `swatch ${c.role}` }, el('span', {})),
    el('th', { scope: 'row' }, el('span', { text: c.name }), el('small', { text: `${c.role}, ${c.share}` }), el('small', { class: 'provenance', text: c.provenance }),
      c.ask === '' ? null : el('small', { class: 'density-ask', text: c.ask })),
    el('td', { class: 'n strong' }, el('span', { text: byEye ? '' : grams(c.target_g, plan.decimals) }),
      el('span', { class: 'also', text: byEye ? '' : millilitres(c.volume_ml) || (recipe.components[i]?.density_g_ml > 0 ? '' : 'volume not known') })))));
  setText(p.foot, byEye ? '' : `In all ${[grams(plan.total_g, plan.decimals), millilitres(plan.total_ml), plan.cost_text].filter(Boolean).join(' · ')}`);
  const words = plan.need === null ? [cupFact(plan), ...plan.cautions] : [wetText(plan.need), ...plan.left.map((l) => l.text), ...plan.cautions];
  drawFits(p, plan.fits === false ? 'no' : plan.fits === true ? 'yes' : 'unknown', plan.cup, words);
}

// What does not fit stands beside the start, where it is always on screen; the
// other facts are no warning.
function drawFits(p, fits, cup, words) {
  const facts = words.filter(Boolean).join(' · ');
  setText(p.warn, fits === 'no' ? unbroken(cup) : '');
  show(p.warn, fits === 'no');
  setText(p.cup, fits === 'no' ? '' : unbroken(cup));
  setAttr(p.cup, 'data-fits', fits);
  show(p.cup, p.cup.textContent !== '');
  setText(p.wet, unbroken(p.cup.textContent !== '' && facts !== '' ? ` · ${facts}` : facts));
  show(p.fits, p.cup.textContent + p.wet.textContent !== '');
}

// What to look for with the comb, and where the solids come from.
function wetText(need) {
  const from = need.volume_solids_stated ? 'solids from the sheet' : 'solids worked out, an estimate';
  return `wet film ${decimal(need.wet_um, 0)} µm a coat, ${from}`;
}
