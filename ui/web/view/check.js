// The check of the scale with a test weight: what to do now in one sentence,
// the live number, the readings as dots against what is allowed, the verdict.
// The daemon leads; this only shows and presses.

import { checkPath, decimalsOf, limitText } from '../check.js';
import { makeCommands } from '../commands.js';
import { decimal, when } from '../format.js';
import { makeNewest, makeOnce, makeOrder } from '../newest.js';
import { ask } from '../shelf.js';
import { heard } from '../state.js';
import { makeBroken } from './broken.js';
import { makeCheckForm } from './checkform.js';
import { makeCheckPicture } from './checkpicture.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeGuard } from './guard.js';
import { makeWalkButtons } from './walkbuttons.js';
import { askHowItStands } from './walkpoll.js';

const SLOW_MS = 5000; // while none is
const ON_CARD = ['go-on', 'put-away', 'undo-put-away']; // what came of these is said there
const LINE_MS = 600000; // for the idle bench

/** The part of the Scale place in which the scale is checked. */
export function makeCheck(rim, guard = makeGuard(rim.now)) {
  const c = {
    rim, guard, commands: makeCommands(rim), state: null, form: false, plate: null, dueMS: 0, asking: false, gone: '',
    confirm: '', confirmMS: 0, once: makeOnce(), order: makeOrder(),
  };
  const node = el('section', { class: 'check', 'aria-labelledby': 'check-title' });
  const title = el('h2', { class: 'check-title', id: 'check-title', text: 'Check with a test weight' });
  const said = el('p', { class: 'sentence check-said', role: 'alert' });
  c.press = (verb, start, confirm) => c.once.run(verb, async () => {
    c.confirm = '';
    setText(said, ''); // of the press before
    const counts = c.order.began();
    const answer = await c.commands.check(verb, c.state === null ? 0 : c.state.version, start, confirm);
    setText(said, answer.ok || ON_CARD.includes(verb) ? '' : answer.sentence);
    if (answer.ok && answer.state) {
      if (verb === 'start') c.form = false;
      if (counts(answer.state, c.state, true)) c.state = answer.state;
    }
    c.dueMS = 0;
    return answer;
  });
  const broken = makeBroken(c, (verb, more) => c.press(verb, undefined, more.confirm));
  c.last = makeLast(c);
  c.setup = makeCheckForm(c);
  c.walk = makeWalk(c);
  node.append(title, said, broken.node, c.last.node, c.setup.node, c.walk.node);
  return {
    node,
    /** Asks at once how things stand. */
    open() {
      c.dueMS = 0;
    },
    update(state, nowMS) {
      if (!c.asking && nowMS >= c.dueMS) poll(c);
      const walk = c.state?.walk ?? null;
      const at = c.state === null ? 'none' : walk !== null ? 'walk' : c.form ? 'form' : 'last';
      if (node.dataset.at !== at) {
        c.confirm = '';
        guard.changed();
      }
      setAttr(node, 'data-at', at);
      show(c.last.node, at === 'last');
      show(c.setup.node, at === 'form');
      show(c.walk.node, at === 'walk');
      if (at === 'last') c.last.update(c.state);
      if (at === 'form') c.setup.update(c.state);
      if (at === 'walk') c.walk.update(state, nowMS);
      broken.update(state, nowMS, at !== 'walk' && at !== 'none');
    },
  };
}

function poll(c) {
  const plate = c.form ? c.plate : null;
  const now = () => !c.form || plate === c.plate; // what fits the plate that was typed before is no advice now
  askHowItStands(c, checkPath(plate), { now, take: (state) => { c.state = state; }, typing: () => c.form, slowMS: SLOW_MS });
}

// When the last check was, what it said, when the next is due.
function makeLast(c) {
  const mark = el('span', { class: 'check-mark', 'aria-hidden': 'true' });
  const verdict = el('p', { class: 'check-verdict' });
  const due = el('p', { class: 'check-due' });
  const ended = el('p', { class: 'check-ended' });
  const begin = el('button', { type: 'button', class: 'plain check-begin', 'data-check': 'form', text: 'Check the scale', on: { click: c.guard.press(() => {
    c.form = true;
    c.setup.open(c.state);
  }) } });
  const node = el('div', { class: 'check-last' }, mark, el('div', { class: 'check-last-text' }, ended, verdict, due), begin);
  return {
    node,
    update(s) {
      const last = s.last;
      setAttr(node, 'data-how', last === null ? 'never' : !last.passed ? 'failed' : s.overdue ? 'due' : 'passed');
      setText(mark, last === null ? '·' : !last.passed ? '△' : s.overdue ? '◷' : '✓');
      setText(verdict, last === null ? '' : `${when(last.at_unix_ms)}, ${last.weight}. ${last.verdict}`);
      show(verdict, last !== null);
      setText(due, s.due_text);
      setText(ended, s.said);
      show(ended, s.said !== '');
    },
  };
}

function makeWalk(c) {
  const sentence = el('p', { class: 'check-sentence', role: 'status' });
  const waits = el('p', { class: 'check-waits', role: 'status' });
  const digits = el('span', { class: 'check-digits' });
  const how = el('p', { class: 'check-how' });
  const live = el('div', { class: 'check-live' }, el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })), how);
  const picture = makeCheckPicture();
  const verdict = makeVerdict();
  const note = el('p', { class: 'check-note' });
  const buttons = makeButtons(c);
  const node = el('div', { class: 'check-walk' },
    el('div', { class: 'check-left' }, sentence, waits, live, verdict.node, note), picture.node, buttons.node);
  return {
    node,
    update(state, nowMS) {
      const { walk } = c.state;
      const done = walk.record !== null;
      const places = decimalsOf(c.state.division_g);
      const h = heard(state, nowMS);
      const shown = state.weight !== null && h.valid && !h.lost;
      setAttr(node, 'data-step', walk.step);
      setText(sentence, walk.sentence);
      show(sentence, !done);
      setText(waits, c.gone !== '' ? c.gone : walk.waits);
      show(waits, waits.textContent !== '');
      show(live, !done);
      setText(digits, shown ? decimal(state.weight.shown_g, places) : '– –');
      setAttr(digits, 'data-stale', h.stale);
      setText(how, walk.waits !== '' ? '' : walk.still ? 'stands still: hands off, it is taken by itself' : 'moves');
      verdict.update(walk);
      show(verdict.node, done);
      picture.update(walk, places);
      setText(note, [limitText(walk, c.state, places), walk.corners_note, c.state.disclaimer].filter(Boolean).join(' '));
      buttons.update(walk, nowMS);
    },
  };
}

function makeVerdict() {
  const mark = el('span', { class: 'check-mark', 'aria-hidden': 'true' });
  const head = el('h3', { class: 'check-head' });
  const rest = el('div', { class: 'check-findings' });
  const node = el('div', { class: 'check-result', role: 'status' }, mark, el('div', {}, head, rest));
  const draw = onChange((lines) => rest.replaceChildren(...lines.map((text) => el('p', { text }))));
  return {
    node,
    update(walk) {
      if (walk.record === null) return;
      setAttr(node, 'data-how', walk.record.passed ? 'passed' : 'failed');
      setText(mark, walk.record.passed ? '✓' : '△');
      setText(head, walk.record.passed ? walk.verdict : 'Not passed');
      const lines = [...walk.record.findings, walk.what_now].filter(Boolean);
      draw(lines.join('\n'), lines);
    },
  };
}

// What can be pressed. Throwing readings away asks a second time, in place.
function makeButtons(c) {
  return makeWalkButtons(c, { mark: 'data-check', offers, weighed: (walk) => walk.readings.length > 0, act: (verb) => { if (verb !== 'no') c.press(verb); } });
}

/** The buttons of a walk: [verb, label, class] each. */
export function offers(walk, confirm) {
  if (confirm === 'cancel') return [['no', 'No, go on', 'start check-no'], ['cancel', 'Yes, throw it away', 'plain grave']];
  if (confirm === 'again') return [['no', 'No, go on', 'start check-no'], ['again', 'Yes, from the beginning', 'plain grave']];
  const list = [];
  if (walk.record !== null) list.push(['keep', 'Keep it in the book', 'start']);
  if (walk.this_is_it) list.push(['this-is-it', 'It is this weight: take it', 'choice']);
  if (walk.readings.some((r) => r.place !== 'empty')) list.push(['back', 'Take the last one back', 'plain']);
  if (walk.readings.length > 0) list.push(['again', 'Begin again', 'plain']);
  list.push(['cancel', walk.record === null ? 'Cancel' : 'Throw it away', 'plain grave']);
  return list;
}

/** One quiet line for the bench while it is idle: a check that is due, or was not passed. */
export function makeCheckLine(rim) {
  const node = el('p', { class: 'check-line' });
  const newest = makeNewest();
  let dueMS = 0;
  const look = async () => {
    dueMS = rim.now() + LINE_MS;
    const counts = newest.ask();
    try {
      const { line } = await ask(rim.fetch, checkPath(null));
      if (counts()) setText(node, line);
    } catch {
      dueMS = rim.now() + SLOW_MS; // it stays as it was last known
    }
  };
  return {
    node,
    /** Asks anew with the next update. */
    reset() {
      dueMS = 0;
    },
    update(nowMS) {
      if (nowMS >= dueMS) look();
      show(node, node.textContent !== '');
    },
  };
}
