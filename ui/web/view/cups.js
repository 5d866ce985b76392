// Measuring a cup with water, and the list of those that were: one sentence on
// what to do now, the live number, the height, and a picture. The daemon leads.

import { decimalsOf } from '../check.js';
import { cupOffers, cupSteps, notedText } from '../cups.js';
import { decimal } from '../format.js';
import { makeOnce, makeOrder } from '../newest.js';
import { ask } from '../shelf.js';
import { heard } from '../state.js';
import { makeBroken } from './broken.js';
import { makeCupPicture } from './cuppicture.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeStepper } from './stepper.js';
import { askAgain, makeWalkButtons } from './walkbuttons.js';
import { askHowItStands } from './walkpoll.js';

const SLOW_MS = 4000; // while none is
const SAID_MS = 60000;
const ELSEWHERE = ['take', 'bring', 'go-on', 'put-away', 'undo-put-away']; // pressed beside the list or on a card, which says itself what came of it

/** Measured cups; kept(cup) is called when one came to the list, and tells whether the page shows it. */
export function makeCups(rim, commands, guard, kept) {
  const m = { rim, commands, guard, state: null, form: false, dueMS: 0, asking: false, gone: '', once: makeOnce(), order: makeOrder(), confirm: '', confirmMS: 0, wanted: null, level: 0, sending: null };
  m.said = el('p', { class: 'measure-said cup-said', role: 'status' });
  m.problem = el('p', { class: 'sentence', role: 'alert' });
  m.take = (state) => {
    m.state = state;
    m.saidBefore ??= state?.said; // before this page was opened
  };
  m.press = (verb, more = {}) => m.once.run(verb, async () => {
    m.confirm = '';
    if (!ELSEWHERE.includes(verb)) setText(m.problem, ''); // what was said of the press before
    await m.sending;
    const counts = m.order.began();
    const answer = await commands.cups({ do: verb, version: m.state?.version ?? 0, ...more });
    if (!ELSEWHERE.includes(verb)) setText(m.problem, answer.ok ? '' : answer.sentence);
    if (answer.code === 'ask') askAgain(m, verb);
    if (answer.ok && answer.state) {
      if (verb === 'start') m.form = false;
      if (counts(answer.state, m.state, true)) m.take(answer.state);
      const cup = answer.state.cups.find((c) => c.id === answer.state.kept);
      const seen = verb !== 'keep' || cup === undefined || kept(cup);
      m.saidBefore = seen ? answer.state.said : ''; // what came of one's own press needs no telling where it is seen
    }
    m.dueMS = 0;
    return answer;
  });
  const broken = makeBroken(m, (verb, more) => m.press(verb, more));
  const form = makeForm(m);
  const walk = makeWalk(m);
  const node = el('div', { class: 'measure' }, m.problem, form.node, walk.node);
  return {
    node,
    broken: broken.node,
    said: m.said,
    list: () => m.state?.cups ?? null,
    taken: () => m.state?.taken ?? null,
    /** Takes a cup off the list, or brings back the one that was taken last; gives the bench's answer, none where that is on its way. */
    change: (verb, id) => m.press(verb, { id }),
    /** "walk", "form", or "" while there is nothing to show. */
    at: () => (m.state?.walk ? 'walk' : m.form ? 'form' : ''),
    open() {
      m.dueMS = 0;
      this.quiet();
    },
    /** What has been said is no news any more. */
    quiet() {
      if (m.state !== null) m.saidBefore = m.state.said;
    },
    /** Asks how warm the water is. */
    begin() {
      m.form = true;
      form.open();
      setText(m.problem, '');
      m.dueMS = 0;
      guard.changed();
    },
    update(state, nowMS) {
      if (!m.asking && nowMS >= m.dueMS) poll(m);
      const at = this.at();
      if (node.dataset.at !== at) guard.changed();
      setAttr(node, 'data-at', at);
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
  askHowItStands(m, '/api/cups', { now: () => m.sending === null, take: m.take, typing: () => m.form, slowMS: SLOW_MS });
}

// Before: how warm the water is, and what will happen.
function makeForm(m) {
  let temp = null;
  const title = el('h1', { class: 'place-title', tabindex: '-1', text: 'Measure a cup with water' });
  const warm = makeStepper(m.guard, { name: 'water', label: 'The water is at', unit: '°C', step: 1, least: 0, most: 40 }, (v) => {
    temp = v;
    warm.set(v);
  });
  const trouble = el('p', { class: 'check-trouble', role: 'status' });
  const begin = el('button', { type: 'button', class: 'start', 'data-cup': 'start', text: 'Begin', on: { click: m.guard.press(() => m.press('start', { temp_c: temp })) } });
  const leave = el('button', { type: 'button', class: 'plain back', 'data-cup': 'leave', text: '‹ Not now', on: { click: m.guard.press(() => { m.form = false; }) } });
  const node = el('div', { class: 'measure-form' },
    el('div', { class: 'product-head' }, leave, title),
    el('p', { class: 'measure-about', text: 'For a cup of any shape: fill it with water to two or more heights and let the bench weigh each. Measure the heights with a ruler, from the inside bottom. The marks reach as high as you fill, and more heights make them surer.' }),
    warm.node, trouble, begin);
  return {
    node,
    open() {
      temp = null;
    },
    update() {
      if (m.state === null) return;
      if (temp === null) {
        temp = m.state.temp_c;
        warm.set(temp, true);
      }
      setText(trouble, m.state.not_now);
      show(trouble, m.state.not_now !== '');
      setAttr(begin, 'disabled', m.state.not_now !== '' || warm.trouble() !== '');
    },
  };
}

function makeWalk(m) {
  const title = el('h1', { class: 'measure-title', text: 'A cup, with water' });
  const steps = el('ol', { class: 'measure-steps', 'aria-label': 'Heights' });
  const sentence = el('p', { class: 'measure-sentence', role: 'status' });
  const detail = el('p', { class: 'measure-detail' });
  const waits = el('p', { class: 'check-waits', role: 'status' });
  const digits = el('span', { class: 'check-digits' });
  const how = el('p', { class: 'check-how' });
  const live = el('div', { class: 'check-live' }, el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })));
  const height = makeStepper(m.guard, { name: 'height', label: 'Height of the water', unit: 'mm', step: 5, least: 10, most: 400 }, (v) => {
    m.wanted = v;
    m.level = m.state.walk?.levels.length;
    height.set(v);
    m.sending ??= sendHeight(m);
  });
  m.untaken = () => (height.node.offsetParent === null ? '' : height.trouble());
  let level = ''; // another one has a height of its own
  const hands = makeHands(m);
  const result = makeResult();
  const picture = makeCupPicture();
  const buttons = makeButtons(m, result);
  const dial = el('div', { class: 'cup-dial' }, live, height.node);
  const node = el('div', { class: 'measure-walk cup-walk' }, el('div', { class: 'measure-top' }, title, steps),
    el('div', { class: 'measure-left' }, sentence, detail, waits, dial, how, hands.node, result.node), picture.node, buttons.node);
  const drawSteps = onChange((list) => {
    steps.replaceChildren(...list.map((s) => el('li', { 'data-how': s.how }, el('span', { text: s.text }))));
  });
  return {
    node,
    update(state, nowMS) {
      const w = m.state.walk;
      const done = w.step === 'done';
      const h = heard(state, nowMS);
      const shown = state.weight !== null && h.valid && !h.lost;
      setAttr(node, 'data-step', w.step);
      setAttr(node, 'data-levels', w.levels.length);
      const list = cupSteps(w);
      drawSteps(JSON.stringify(list), list);
      for (const [part, text] of [[sentence, w.sentence], [detail, w.detail]]) {
        setText(part, text);
        show(part, text !== '' && !done);
      }
      setText(waits, m.gone !== '' ? m.gone : w.waits);
      show(waits, waits.textContent !== '' && !done);
      for (const part of [dial, how]) show(part, !done);
      setText(digits, shown ? decimal(state.weight.shown_g, decimalsOf(w.division_g)) : '– –');
      setAttr(digits, 'data-stale', h.stale);
      setText(how, notedText(w, decimalsOf(w.division_g)));
      setAttr(how, 'data-noted', w.noted_g > 0);
      show(height.node, w.step === 'fill');
      if (m.wanted === null) height.set(w.height_mm, level !== `${w.step}${w.levels.length}`);
      level = `${w.step}${w.levels.length}`;
      result.update(w);
      show(result.node, done);
      picture.update(w);
      buttons.update(w, nowMS);
      hands.update(state, w);
    },
  };
}

// Sends the height that is wanted until it is the one that was sent last: quick
// taps and typing overtake the answers. One that was meant for a filling that was
// taken meanwhile is not for the next one.
async function sendHeight(m) {
  let sent = null;
  while (m.wanted !== null && m.wanted !== sent && m.state.walk?.levels.length === m.level) {
    sent = m.wanted;
    const counts = m.order.began();
    const answer = await m.commands.cups({ do: 'height', version: m.state.version, height_mm: sent });
    setText(m.problem, answer.ok || answer.code === 'stale' ? '' : answer.sentence);
    if (!answer.ok) await askAnew(m);
    else if (answer.state && counts(answer.state, m.state, true)) m.take(answer.state);
    if (answer.code === 'stale' && m.state.walk?.step === 'fill' && m.state.walk.height_mm !== sent) sent = null; // a weight came meanwhile
  }
  m.wanted = null;
  m.sending = null;
}

async function askAnew(m) {
  const counts = m.order.began();
  const state = await ask(m.rim.fetch, '/api/cups').catch(() => null);
  if (state !== null && counts(state, m.state)) m.take(state);
}

function makeResult() {
  const rows = el('tbody', {});
  const name = el('input', { type: 'text', class: 'check-input', id: 'cup-name', maxlength: '40', autocomplete: 'off', 'data-field': 'cup-name', 'aria-label': 'Name of the cup' });
  const heads = ['Height', 'Water', 'Holds', 'A mark here'];
  const table = el('table', { class: 'marks-table' }, el('caption', { class: 'unseen', text: 'What was weighed' }),
    el('thead', {}, el('tr', {}, ...heads.map((text, i) => el('th', { scope: 'col', class: i === 0 ? '' : 'n', text })))), rows);
  const node = el('div', { class: 'measure-result' },
    el('label', { class: 'check-field' }, el('span', { text: 'The cup is measured. What is it called?' }), el('span', { class: 'check-box' }, name)), table,
    el('p', { class: 'marks-note', text: 'How well a mark stands there: half a millimetre by eye and the weighing, k = 2. Between two heights the shape adds to it.' }));
  const draw = onChange((w) => {
    name.value = w.name;
    const g = decimalsOf(w.division_g);
    rows.replaceChildren(...w.levels.map((l) => el('tr', {},
      el('th', { scope: 'row', text: `${l.height_mm}\u202fmm` }), el('td', { class: 'n', text: `${decimal(l.water_g, g)}\u202fg` }),
      el('td', { class: 'n', text: `${decimal(l.ml, 1)}\u202fml` }), el('td', { class: 'n', text: `±\u202f${decimal(l.expanded_u_mm, 1)}\u202fmm` }))));
  });
  return { node, name: () => name.value.trim(), update: (w) => { if (w.step === 'done') draw(JSON.stringify([w.levels, w.name]), w); } };
}

function makeButtons(m, result) {
  return makeWalkButtons(m, {
    mark: 'data-cup', also: 'measure-buttons', offers: cupOffers, weighed: (walk) => walk.levels.length > 0,
    act: (verb) => {
      if (verb === 'no') setText(m.problem, '');
      else if (verb === 'next' && m.untaken() !== '') setText(m.problem, m.untaken());
      else if (verb === 'sure') m.press('next', { confirm: true });
      else if (verb === 'keep') m.press('keep', { name: result.name() || m.state.walk.name });
      else m.press(verb);
    },
  });
}

// The tap of the simulated bench: none stands beside a screen.
function makeHands(m) {
  const tap = el('button', { type: 'button', class: 'plain', 'data-demo': 'fill-to', on: { click: m.guard.press(async () => {
    await m.sending;
    if (!m.state?.walk) return; // it ended meanwhile
    const answer = await m.commands.demo({ do: `fill-to-${m.state.walk.height_mm}` });
    setText(m.problem, answer.ok ? '' : answer.sentence);
  }) } });
  const node = el('div', { class: 'measure-hands', role: 'group', 'aria-label': 'Simulated hands' }, el('span', { class: 'measure-hands-mark', text: 'simulated' }), tap);
  return {
    node,
    update(state, w) {
      setText(tap, `Fill with water to ${w.height_mm} mm`);
      show(node, state.hello !== null && state.hello.demo && w.step === 'fill' && !(w.noted_g > 0));
    },
  };
}
