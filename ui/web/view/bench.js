// The bench: choosing, the cup with its number, or what came of it.

import { grams, headlineParts, millilitres, roleText, unbroken } from '../format.js';
import { makeOnce } from '../newest.js';
import { decidedOn, heard, place } from '../state.js';
import { makeChoices } from './choices.js';
import { makeChoose } from './choose.js';
import { makeCue } from './cue.js';
import { makeCup } from './cup.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeEnded } from './ended.js';
import { makeNumber } from './number.js';

const NOTICE_MS = 9000;

/** The bench. rim holds what the browser gives; commands sends. */
export function makeBench(rim, commands, guard) {
  const notice = makeNotice(rim);
  const b = {
    dismissed: '',
    batch: '',
    at: '',
    meant: false, // a recipe was chosen elsewhere, to be mixed here
    cup: makeCup(rim.reducedMotion),
    number: makeNumber(),
    cue: makeCue(),
    ended: makeEnded(guard, (batch) => { b.dismissed = batch; }),
  };
  const once = makeOnce();
  // The same decision twice, while the first is on its way, is one.
  const press = (verb, on) => once.run(`${verb} ${on.batch} ${on.version}`, async () => {
    notice.say('');
    const answer = await commands.send(verb, on);
    if (!answer.ok) notice.say(answer.sentence);
  });
  const start = (on, body) => {
    notice.say('');
    return commands.send('start', on, body);
  };
  b.choose = makeChoose(rim, start, guard, commands, notice.say);
  b.choices = makeChoices(press, guard, rim.now);
  const text = makeText();
  const side = el('div', { class: 'side' }, text.head, b.number.node, b.cue.node, text.detail, b.choices.node);
  const work = el('section', { class: 'work', 'aria-label': 'The batch' }, el('div', { class: 'left' }, b.cup.node, text.caution), side);
  const waiting = el('p', { class: 'waiting', text: 'Waiting for the bench.' });
  const node = el('div', { class: 'bench' }, notice.node, waiting, b.choose.node, work, b.ended.node);
  return {
    node,
    /** Comes back to the place, with the id of a recipe that is to be mixed or none. */
    open(id) {
      if (id) b.dismissed = b.batch; // what came of the last batch is put aside
      b.meant = Boolean(id);
      b.choose.refresh(id);
    },
    /** Holds the batch, if hold is on screen and can be pressed now. */
    hold(state) {
      const choice = work.hidden || !guard.open() ? undefined : b.choices.offered(state.view, 'hold');
      if (choice !== undefined) press('hold', decidedOn(state.view));
    },
    update(state, nowMS) {
      const { view } = state;
      b.batch = view === null ? '' : view.batch;
      const at = view === null ? 'waiting' : place(view, b.dismissed);
      enter(b, at, guard, node);
      show(waiting, at === 'waiting');
      show(b.choose.node, at === 'choose');
      show(b.ended.node, at === 'ended');
      show(work, !['waiting', 'choose', 'ended'].includes(at));
      notice.update(nowMS);
      if (at === 'choose') b.choose.update(state, nowMS);
      else if (at === 'ended') b.ended.update(state);
      else if (at !== 'waiting') drawWork(b, text, state, at, nowMS);
    },
  };
}

// A change of place moves everything under the finger, and takes keyboard and
// screen reader to the new headline.
function enter(b, at, guard, node) {
  if (at === b.at) return;
  const before = b.at;
  b.at = at;
  guard.changed();
  setAttr(node, 'data-at', at);
  // The answer on a recipe that was chosen elsewhere may be here before this, and
  // before the bench is heard at all.
  if (at === 'choose' && !b.meant) b.choose.reset();
  if (at !== 'waiting') b.meant = false;
  const inside = document.activeElement === document.body || node.contains(document.activeElement);
  if (before !== '' && before !== 'waiting' && inside) queueMicrotask(() => [...node.querySelectorAll('h1')].find((h) => h.offsetParent !== null)?.focus());
}

function drawWork(b, text, state, at, nowMS) {
  const h = heard(state, nowMS);
  b.cup.update(state, h, nowMS);
  b.number.update(state, h);
  b.cue.update(state, h);
  b.choices.update(state.view);
  text.update(state, at);
}

function makeText() {
  const title = el('h1', { class: 'work-title', tabindex: '-1' });
  const role = el('span', { class: 'role' });
  const asked = el('p', { class: 'work-asked' });
  const head = el('div', { class: 'work-head' }, el('div', { class: 'work-name' }, title, role), asked);
  const detail = el('p', { class: 'work-detail' });
  const caution = el('p', { class: 'work-caution' });
  const headline = onChange((text, large) => {
    const [before, figure, after] = large ? headlineParts(text) : [text, '', ''];
    title.replaceChildren(...(figure === '' ? [text] : [before, el('strong', { class: 'title-figure', text: figure }), after]));
  });
  const swatch = onChange((name) => setAttr(role, 'class', `role ${name}`));
  return {
    head, detail, caution,
    update(state, at) {
      const { view } = state;
      const c = view.components[view.current];
      const pouring = at === 'pour' && c !== undefined;
      const words = pouring ? c.name : view.headline;
      headline(`${at === 'decide'}|${words}`, words, at === 'decide');
      show(role, pouring);
      if (pouring) {
        swatch(c.role, c.role);
        setText(role, `${roleText(c.role)} ${view.current + 1} of ${view.components.length}`);
      }
      setText(asked, pouring ? askedText(view, c) : at === 'cup' || at === 'tare' ? unbroken(`${view.recipe}, ${view.ratio}`) : '');
      const byEye = pouring && !(c.target_g > 0);
      const told = byEye || view.choices.some((c) => c.consequences.includes(view.detail)); // no need to say it twice
      setText(detail, view.fault !== '' ? view.fault : told ? '' : unbroken(view.detail));
      show(detail, detail.textContent !== '');
      const warn = pouring && c.role === 'hardener' && state.hello !== null ? state.hello.cautions.find((s) => /isocyanate/i.test(s)) ?? '' : '';
      setText(caution, warn);
      show(caution, warn !== '');
    },
  };
}

function askedText(view, c) {
  if (!(c.target_g > 0)) return view.headline;
  const line = [grams(c.target_g, view.decimals), millilitres(c.target_ml)].filter(Boolean).join(' · ');
  return `line at ${line}, ± ${grams(c.tolerance_g, view.decimals)}`;
}

// What the bench refused, for a while.
function makeNotice(rim) {
  const node = el('p', { class: 'notice sentence', role: 'alert' });
  let until = 0;
  return {
    node,
    say(sentence) {
      setText(node, sentence);
      until = rim.now() + NOTICE_MS;
    },
    update(nowMS) {
      if (nowMS > until) setText(node, '');
    },
  };
}
