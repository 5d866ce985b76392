// Measuring a density: one sentence on what to do now, the live number, and a
// picture of the cup with its mark. The daemon leads; this only shows.

import { decimalsOf } from '../check.js';
import { decimal, when } from '../format.js';
import { makeOnce, makeOrder } from '../newest.js';
import { heard } from '../state.js';
import { makeBroken } from './broken.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeMarkedCup } from './markedcup.js';
import { askAgain, makeWalkButtons } from './walkbuttons.js';
import { askHowItStands } from './walkpoll.js';

const SLOW_MS = 4000; // while nothing is
const SAID_MS = 60000;

/** The part of the shelf in which a density is measured; kept() is called when one was, and ends when it can be seen. */
export function makeMeasure(rim, commands, guard, kept) {
  const m = { rim, commands, guard, state: null, form: null, dueMS: 0, asking: false, gone: '', once: makeOnce(), order: makeOrder(), keeping: false, confirm: '', confirmMS: 0 };
  m.said = el('p', { class: 'measure-said', role: 'status' });
  m.problem = el('p', { class: 'sentence', role: 'alert' });
  m.press = (verb, more = {}) => m.once.run(verb, async () => {
    m.confirm = '';
    setText(m.problem, ''); // what was said of the press before
    const what = m.state?.walk;
    const counts = m.order.began();
    m.keeping ||= verb === 'keep';
    const answer = await commands.measure({ do: verb, version: m.state?.version ?? 0, ...more });
    setText(m.problem, answer.ok || answer.code === 'ask' ? '' : answer.sentence);
    if (answer.code === 'ask') askAgain(m, verb);
    if (answer.ok) {
      if (verb === 'start') m.form = null;
      if (verb === 'keep' && what) await kept(what); // first: the product must not show the old density in between
      if (answer.state && counts(answer.state, m.state, true)) m.state = answer.state;
      m.saidBefore = answer.state?.said ?? ''; // what came of one's own press needs no telling
    }
    if (verb === 'keep') m.keeping = false;
    m.dueMS = 0;
    return answer;
  });
  const broken = makeBroken(m, async (verb, more) => {
    const answer = await m.press(verb, more);
    setText(m.problem, ''); // it is said in the card
    return answer;
  });
  const form = makeForm(m);
  const walk = makeWalk(m);
  const node = el('div', { class: 'measure' }, m.problem, form.node, walk.node);
  return {
    node,
    broken: broken.node,
    said: m.said,
    /** "walk", "form", or "" while there is nothing to show. */
    at: () => (m.state?.walk ? 'walk' : m.form !== null ? 'form' : ''),
    open() {
      m.dueMS = 0;
      this.quiet();
    },
    /** What has been said is no news any more. */
    quiet() {
      if (m.state !== null) m.saidBefore = m.state.said;
    },
    /** Asks how component i of a product shall be measured. */
    begin(recipe, i) {
      m.form = { recipe, index: i, height: null, temp: null, vessel: null };
      setText(m.problem, '');
      m.dueMS = 0;
      guard.changed();
    },
    update(state, nowMS) {
      if (!m.asking && nowMS >= m.dueMS) poll(m);
      const at = this.at();
      if (node.dataset.at !== at) guard.changed();
      setAttr(node, 'data-at', at);
      if (m.state !== null) m.saidBefore ??= m.state.said; // before this page was opened
      const text = m.state?.said ?? '';
      if (text !== m.said.textContent) m.saidMS = nowMS;
      setText(m.said, text);
      show(m.said, at === '' && text !== '' && text !== m.saidBefore && nowMS - m.saidMS < SAID_MS);
      show(form.node, at === 'form');
      show(walk.node, at === 'walk');
      if (at === 'form') form.update();
      if (at === 'walk') walk.update(state, nowMS);
      broken.update(state, nowMS, at !== 'walk');
    },
  };
}

function poll(m) {
  askHowItStands(m, '/api/measure', { now: () => !m.keeping, take: (state) => { m.state = state; }, typing: () => m.form !== null, slowMS: SLOW_MS });
}

// Before: how high the mark stands, how warm it is, and whether the cup is known.
function makeForm(m) {
  const title = el('h1', { class: 'place-title', tabindex: '-1' });
  const field = (label, unit, name, change) => {
    const input = el('input', { type: 'text', class: 'check-input', inputmode: 'decimal', autocomplete: 'off', 'data-field': name, 'aria-label': label, on: { input: () => change(input.value) } });
    return { input, node: el('label', { class: 'check-field' }, el('span', { text: label }), el('span', { class: 'check-box' }, input, el('span', { class: 'check-unit', text: unit }))) };
  };
  const height = field('How high the mark stands, inside', 'mm', 'height', (text) => { m.form.height = text; });
  const temp = field('Water and paint are at', '°C', 'temp', (text) => { m.form.temp = text; });
  const cups = el('div', { class: 'check-choices', role: 'group', 'aria-label': 'Which cup' });
  const trouble = el('p', { class: 'check-trouble', role: 'status' });
  const number = (text) => (/^\d+([.,]\d*)?$/.test(text.trim()) ? Number(text.trim().replace(',', '.')) : 0);
  const begin = el('button', { type: 'button', class: 'start', 'data-measured': 'start', text: 'Begin', on: { click: m.guard.press(() => {
    const start = { recipe_id: m.form.recipe.id, component: m.form.index, temp_c: number(temp.input.value) };
    if (m.form.vessel) start.vessel = m.form.vessel;
    else start.height_mm = number(height.input.value);
    m.press('start', { start });
  }) } });
  const leave = el('button', { type: 'button', class: 'plain back', 'data-measured': 'leave', text: '‹ Not now', on: { click: m.guard.press(() => { m.form = null; }) } });
  const node = el('div', { class: 'measure-form' },
    el('div', { class: 'product-head' }, leave, title),
    el('p', { class: 'measure-about', text: 'Take a clear, straight cup and draw a line on it with a pen or tape. You will fill it to that line with water, and then with the paint: the weights say the rest. A narrow cup with a high line is surest.' }),
    el('div', { class: 'check-row measure-cups' }, el('span', { class: 'check-label', text: 'The cup' }), cups),
    el('div', { class: 'measure-fields' }, height.node, temp.node), trouble, begin);
  const draw = onChange((list) => {
    m.guard.changed();
    const choice = (id, label, note) => el('button', {
      type: 'button', class: 'plain check-choice', 'data-vessel': id, 'aria-pressed': String((m.form.vessel ?? '') === id),
      on: { click: m.guard.step(() => { m.form.vessel = id; }) },
    }, el('span', { text: label }), el('small', { text: note }));
    cups.replaceChildren(choice('', 'A new mark', 'water first, then paint'),
      ...list.map((v) => choice(v.id, `${decimal(v.ml, 1)}\u202fml to its mark`, `weighed ${when(v.at_ms)}, ${decimal(v.empty_g, 1)}\u202fg empty: no water needed`)));
  });
  return {
    node,
    update() {
      const s = m.state;
      setText(title, `Measure ${m.form.recipe.components[m.form.index].name}`);
      if (s === null) return;
      if (m.form.height === null) {
        height.input.value = m.form.height = String(s.usual.height_mm);
        temp.input.value = m.form.temp = String(s.usual.temp_c);
        m.form.vessel = s.vessels[0]?.id ?? '';
      }
      draw(JSON.stringify([s.vessels, m.form.vessel]), s.vessels);
      show(cups.parentNode, s.vessels.length > 0);
      show(height.node, !m.form.vessel);
      const why = s.not_now || (number(m.form.height) > 0 && m.form.temp.trim() !== '' ? '' : 'Both are numbers: the height in millimetres, the temperature in °C.');
      setText(trouble, why);
      show(trouble, why !== '');
      setAttr(begin, 'disabled', why !== '');
    },
  };
}

function makeWalk(m) {
  const title = el('h1', { class: 'measure-title' });
  const steps = el('ol', { class: 'measure-steps', 'aria-label': 'Steps' });
  const sentence = el('p', { class: 'measure-sentence', role: 'status' });
  const detail = el('p', { class: 'measure-detail' });
  const waits = el('p', { class: 'check-waits', role: 'status' });
  const digits = el('span', { class: 'check-digits' });
  const how = el('p', { class: 'check-how' });
  const live = el('div', { class: 'check-live' }, el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })), how);
  const result = makeResult();
  const cup = makeMarkedCup();
  const buttons = makeButtons(m);
  const hands = makeHands(m);
  const node = el('div', { class: 'measure-walk' }, el('div', { class: 'measure-top' }, title, steps),
    el('div', { class: 'measure-left' }, sentence, detail, waits, live, hands.node, result.node), cup.node, buttons.node);
  const drawSteps = onChange((w) => {
    const names = w.cup_known ? ['cup', 'paint'] : ['cup', 'water', 'dry', 'paint'];
    steps.replaceChildren(...names.map((n, i) => el('li', { 'data-how': w.step === 'done' || i + 1 < w.at ? 'past' : i + 1 === w.at ? 'now' : 'next' }, el('span', { text: n }))));
  });
  return {
    node,
    update(state, nowMS) {
      const w = m.state.walk;
      const done = w.result !== null;
      const h = heard(state, nowMS);
      const shown = state.weight !== null && h.valid && !h.lost;
      setAttr(node, 'data-step', w.step);
      setText(title, w.name);
      drawSteps(JSON.stringify([w.step, w.at, w.cup_known]), w);
      for (const [part, text] of [[sentence, w.sentence], [detail, w.detail]]) {
        setText(part, text);
        show(part, !done && text !== '');
      }
      setText(waits, m.gone !== '' ? m.gone : w.waits);
      show(waits, waits.textContent !== '' && !done);
      show(live, !done);
      setText(digits, shown ? decimal(state.weight.shown_g, decimalsOf(w.division_g)) : '– –');
      setAttr(digits, 'data-stale', h.stale);
      setText(how, howText(w));
      setAttr(how, 'data-noted', w.noted_g > 0);
      result.update(w);
      show(result.node, done);
      cup.update(w);
      buttons.update(w, nowMS);
      hands.update(state, w);
    },
  };
}

/** What stands below the live number. */
export function howText(w) {
  if (w.noted_g > 0) return `${decimal(w.noted_g, decimalsOf(w.division_g))}\u202fg in the cup, noted`;
  if (w.waits !== '') return '';
  return w.still ? 'stands still' : 'moves';
}

function makeResult() {
  const value = el('span', { class: 'check-digits' });
  const sure = el('span', { class: 'result-sure' });
  const about = el('p', { class: 'measure-detail' });
  const asks = el('p', { class: 'check-waits' });
  const node = el('div', { class: 'measure-result', role: 'status' },
    el('p', { class: 'result-label', text: 'Density' }),
    el('div', { class: 'number-row' }, value, el('span', { class: 'number-unit', text: 'g/ml' })), sure, asks, about);
  return {
    node,
    update({ result, temp_c: temp }) {
      if (result === null) return;
      setText(value, decimal(result.g_ml, 3));
      setText(sure, `± ${decimal(result.expanded_u_g_ml, 3)} at ${temp} °C; ${decimal(result.lb_gal, 2)} lb/gal`);
      setText(asks, result.asks);
      show(asks, result.asks !== '');
      setText(about, `${decimal(result.paint_g, 1)}\u202fg of paint where water has ${decimal(result.water_g, 1)}\u202fg: the mark holds ${decimal(result.ml, 1)}\u202fml. ${result.surer}`);
    },
  };
}

function makeButtons(m) {
  return makeWalkButtons(m, {
    mark: 'data-measured', also: 'measure-buttons', offers, weighed: (walk) => walk.at > 1,
    act: (verb) => {
      if (verb === 'sure') m.press('keep', { confirm: true });
      else if (verb !== 'no') m.press(verb);
    },
  });
}

/** The buttons of a walk: [verb, label, class] each. */
export function offers(walk, confirm) {
  if (confirm === 'cancel') return [['no', 'No, go on', 'start check-no'], ['cancel', 'Yes, throw it away', 'plain grave']];
  if (confirm === 'again') return [['no', 'No, go on', 'start check-no'], ['again', 'Yes, from the beginning', 'plain grave']];
  if (confirm === 'keep') return [['no', 'No, look again', 'start check-no'], ['sure', 'It is so: keep it', 'plain grave']];
  const list = [];
  if (walk.result !== null) list.push(['keep', 'Keep it', 'start']);
  if (walk.this !== '') list.push(['this', walk.this, 'choice']);
  if (walk.at > 1 || walk.result !== null) list.push(['back', 'One step back', 'plain'], ['again', 'Begin again', 'plain']);
  list.push(['cancel', walk.result === null ? 'Cancel' : 'Throw it away', 'plain grave']);
  return list;
}

// Hands of the simulated bench: no tap and no tin stands beside a screen.
function makeHands(m) {
  const hand = (verb, label) => el('button', { type: 'button', class: 'plain', 'data-demo': verb, text: label, on: { click: m.guard.press(async () => {
    if (!m.state?.walk) return; // it ended a moment ago
    const answer = await m.commands.demo({ do: verb === 'fill-paint' ? `fill-${m.state.walk.role}` : verb });
    setText(m.problem, answer.ok ? '' : answer.sentence);
  }) } });
  const node = el('div', { class: 'measure-hands', role: 'group', 'aria-label': 'Simulated hands' },
    el('span', { class: 'measure-hands-mark', text: 'simulated' }), hand('fill-water', 'Fill with water to the mark'), hand('fill-paint', 'Fill with the paint to the mark'));
  return {
    node,
    update(state, w) {
      show(node, state.hello !== null && state.hello.demo && w.result === null);
      show(node.children[1], w.step === 'water');
      show(node.children[2], w.step === 'paint');
      show(node, !node.hidden && ['water', 'paint'].includes(w.step) && !(w.noted_g > 0));
    },
  };
}
