// Undercoat greys: the shop's systems of a light and a dark undercoat, and what a
// wanted grey takes.

import { decimal, grams, millilitres } from '../format.js';
import { firstWanted, lackText, pairText, shadePath, shareText } from '../grey.js';
import { makeNewest, makeOnce, makeSteps } from '../newest.js';
import { ask, remember } from '../shelf.js';
import { lacking } from '../stock.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeGreyCurve, makeSwatch } from './greycurve.js';
import { makeGreyForm } from './greyform.js';
import { makeStepper } from './stepper.js';

const CONFIRM_MS = 12000;
const UNDO_MS = 60000;
const WAIT_MS = 200;
const AGAIN_MS = 3000; // after the bench could not be reached

/**
 * The part of the shelf for greys. recipes() are those of the shelf; made(recipe,
 * said, here) is told of a grey that has become a product there, and whether the
 * person is still where he asked for it.
 */
export function makeGreys(rim, commands, guard, recipes, made) {
  const g = { rim, commands, guard, recipes, made, on: false, form: false, chosen: '', systems: null, newest: makeNewest(), once: makeOnce(), steps: makeSteps(), reading: null, unread: false, note: '', undo: null, confirm: 0 };
  g.problem = el('p', { class: 'sentence', role: 'alert' });
  g.go = (id) => {
    g.steps.moved();
    Object.assign(g, { chosen: id, form: false, note: '', confirm: 0 });
    setText(g.problem, '');
    guard.changed();
    window.scrollTo(0, 0);
  };
  g.changed = async (answer, said, here) => {
    if (said !== '') g.undo = { id: answer.id, revision: answer.revision, said, untilMS: rim.now() + UNDO_MS };
    else if (g.undo?.id === answer.id) g.undo = null; // what was done meanwhile to others can still be undone
    await load(g); // first: the place must not show the list, or the ones before, in between
    if (here()) g.go(answer.revision === '' ? '' : answer.id);
  };
  g.fill = (kept) => {
    g.steps.moved();
    g.setup.open(kept);
    g.form = true;
    g.confirm = 0;
    guard.changed();
    window.scrollTo(0, 0);
  };
  g.setup = makeGreyForm(g);
  const list = makeList(g);
  const system = makeSystem(g);
  const undo = makeUndo(g);
  const node = el('section', { class: 'greys', 'aria-label': 'Undercoat greys' }, g.problem, undo.node, list.node, system.node, g.setup.node);
  return {
    node,
    /** Whether the place is theirs now. */
    at: () => g.on,
    open() {
      g.on = true;
      g.go('');
      load(g);
    },
    close() {
      g.steps.moved();
      g.on = false;
    },
    update(nowMS) {
      const kept = g.systems?.find((s) => s.id === g.chosen);
      const at = g.form ? 'form' : kept === undefined ? 'list' : 'system';
      setAttr(node, 'data-at', at);
      for (const [name, part] of [['list', list], ['system', system], ['form', g.setup]]) show(part.node, at === name);
      undo.update(nowMS, at);
      if (at === 'list') list.update();
      if (at === 'system') system.update(kept, nowMS);
    },
  };
}

// An answer that a later question has overtaken is dropped, and that of the later
// one is waited for in its place.
function load(g) {
  g.reading = read(g);
  return g.reading;
}

async function read(g) {
  const counts = g.newest.ask();
  try {
    const { systems } = await ask(g.rim.fetch, '/api/grey');
    if (!counts()) return g.reading;
    g.systems = systems;
    if (g.unread) setText(g.problem, ''); // what was refused stays said
    g.unread = false;
  } catch (err) {
    if (!counts()) return g.reading;
    g.unread = true;
    setText(g.problem, `${err.message} Asking again.`);
    g.rim.setTimeout(() => { if (counts() && g.on) load(g); }, AGAIN_MS);
  }
  return undefined;
}

// Says beside the place what came of a change, "" where all is well.
function tell(g, answer) {
  g.unread = false;
  setText(g.problem, answer.ok ? '' : answer.sentence);
}

function button(g, verb, label, kind, f) {
  return el('button', { type: 'button', class: kind, 'data-grey': verb, text: label, on: { click: g.guard.press(f) } });
}

// What was done last, and the way back.
function makeUndo(g) {
  const text = el('span', { class: 'undo-text' });
  const node = el('div', { class: 'undo', role: 'status' }, text, undoButton(g));
  return {
    node,
    update(nowMS, at) {
      if (g.undo !== null && nowMS > g.undo.untilMS) g.undo = null;
      if (g.undo !== null) setText(text, g.undo.said);
      show(node, g.undo !== null && at === 'list');
    },
  };
}

function undoButton(g) {
  const back = ({ id, revision }) => g.once.run(`undo ${id} ${revision}`, async () => {
    const here = g.steps.here();
    const answer = await g.commands.grey({ do: 'undo', id, revision });
    tell(g, answer);
    if (answer.ok) await g.changed(answer, '', here);
  });
  return button(g, 'undo', 'Undo', 'plain', () => { if (g.undo !== null) back(g.undo); });
}

function makeList(g) {
  const cards = el('div', { class: 'cards' });
  const none = el('p', { class: 'grey-none', text: 'A light and a dark undercoat of one system, and three drawdowns of your own: 0, 10 and 100 % of the dark one, for a start. Then ask for any grey in between.' });
  const add = button(g, 'add', 'Add two undercoats', 'start shelf-add', () => g.fill(null));
  const head = el('div', { class: 'shelf-head' }, button(g, 'shelf', '‹ Shelf', 'plain back', () => { g.steps.moved(); g.on = false; g.guard.changed(); }),
    el('h1', { class: 'place-title grey-title', text: 'Undercoat greys', tabindex: '-1' }), add);
  show(none, false); // until the list is there nobody knows
  const draw = onChange((systems) => {
    if (systems.length > 0) g.guard.changed(); // where none came, nothing has moved
    cards.replaceChildren(...systems.map((s) => el('button', { type: 'button', class: 'card', 'data-grey-system': s.id, on: { click: g.guard.press(() => g.go(s.id)) } },
      el('span', { class: 'card-name', text: s.system.name }),
      el('span', { class: 'card-ratio', text: s.fit.ok ? `L* ${decimal(s.fit.darkest_lstar, 0)} to ${decimal(s.fit.lightest_lstar, 0)} from ${s.system.cards.length} drawdowns` : s.fit.why }),
      el('span', { class: 'card-tins', text: pairText(s) }), el('span', { class: 'card-lacks', text: lackText(s) }))));
  });
  return {
    node: el('div', { class: 'shelf-list' }, head, none, cards),
    update() {
      if (g.systems === null) return;
      show(none, g.systems.length === 0);
      draw(JSON.stringify(g.systems), g.systems);
    },
  };
}

// One system: the picture, and a wanted grey.
function makeSystem(g) {
  const s = { id: '', revision: '', l: 60, ml: 300, asked: 0, waiting: false, shade: null, why: '', kept: null, trouble: () => p.l.trouble() || p.ml.trouble() };
  const p = { name: el('h1', { class: 'place-title', tabindex: '-1' }), pair: el('p', { class: 'amount-ratio', role: 'status' }), curve: makeGreyCurve(), swatch: makeSwatch() };
  const want = (l) => { s.l = l; look(g, s); };
  p.l = makeStepper(g.guard, { name: 'grey-l', label: 'Wanted L*', unit: 'L*', step: 1, least: 1, most: 99 }, want, () => look(g, s));
  p.ml = makeStepper(g.guard, { name: 'grey-ml', label: 'Ready to spray', unit: 'ml', step: 50, least: 10, most: 20000 }, (ml) => { s.ml = ml; look(g, s); }, () => look(g, s));
  p.steps = el('div', { class: 'grey-steps', role: 'group', 'aria-label': 'Your own steps' });
  p.why = el('p', { class: 'sentence grey-why', role: 'alert' });
  p.noGrams = el('p', { class: 'sentence', role: 'status' });
  p.rows = el('tbody', {});
  p.share = el('strong', { class: 'grey-share n' });
  p.sure = el('div', { class: 'grey-said', role: 'status' });
  p.table = el('table', { class: 'plan grey-table' }, el('caption', { class: 'unseen', text: 'What the grey takes' }),
    el('thead', { class: 'unseen' }, el('tr', {}, ...['Pour', 'ml', 'g'].map((text, i) => el('th', { scope: 'col', class: i === 0 ? '' : 'n', text })))), p.rows);
  p.act = makeActs(g, s);
  const back = button(g, 'back', '‹ Greys', 'plain back', () => g.go(''));
  p.screen = el('small', { class: 'grey-screen' });
  p.ask = el('div', { class: 'grey-asks' }, el('div', { class: 'grey-ask' }, p.l.node, p.ml.node), p.steps,
    el('div', { class: 'grey-wants' }, p.swatch.node, el('p', {}, p.share, p.screen)));
  const node = el('div', { class: 'grey-system' },
    el('div', { class: 'product-head' }, back, el('div', { class: 'product-name' }, p.name, p.pair), p.act.node),
    el('div', { class: 'grey-left' }, p.curve.node, p.sure), el('div', { class: 'grey-right' }, p.ask, p.why, p.table, p.noGrams));
  const drawShade = onChange(() => drawAnswer(p, s));
  return {
    node,
    update(kept, nowMS) {
      if (kept.id !== s.id || kept.revision !== s.revision) enter(g, s, p, kept);
      p.l.set(s.l);
      p.ml.set(s.ml);
      for (const b of p.steps.children) setAttr(b, 'aria-pressed', String(Number(b.dataset.l) === s.l));
      p.curve.update(kept, s.l, s.shade);
      p.swatch.update(s.l, s.shade === null ? 0 : s.shade.u_lstar);
      setText(p.why, kept.fit.ok ? s.why : kept.fit.why);
      show(p.why, p.why.textContent !== '');
      show(p.ask, kept.fit.ok);
      for (const part of [p.table, p.noGrams, p.sure, p.share]) show(part, s.shade !== null);
      setText(p.pair, g.undo?.said || g.note || pairText(kept));
      setAttr(p.rows, 'data-waiting', s.waiting); // these are those of before
      drawShade(JSON.stringify(s.shade));
      p.act.update(kept, nowMS);
    },
  };
}

// Other undercoats, or the same ones changed: the wanted grey stays where it was
// for the same ones.
function enter(g, s, p, kept) {
  if (kept.id !== s.id) s.l = firstWanted(kept);
  Object.assign(s, { id: kept.id, revision: kept.revision, shade: null, why: '', kept });
  p.l.set(s.l, true);
  p.ml.set(s.ml, true);
  setText(p.name, kept.system.name);
  p.steps.replaceChildren(...kept.system.steps.map((step) => el('button', { type: 'button', class: 'plain grey-step', 'data-l': String(step.l), 'aria-pressed': 'false', on: { click: g.guard.step(() => { s.l = step.l; p.l.set(s.l, true); look(g, s); }) } },
    el('span', { text: step.name }), el('small', { text: `L* ${step.l}` }))));
  show(p.steps, kept.system.steps.length > 0);
  look(g, s);
}

// Asks the bench, a moment after the last change.
function look(g, s) {
  const mine = ++s.asked;
  s.waiting = false;
  if (!s.kept.fit.ok) return;
  if (s.trouble() !== '') {
    Object.assign(s, { shade: null, why: '' });
    return;
  }
  s.waiting = true;
  g.rim.setTimeout(async () => {
    if (mine !== s.asked) return;
    let shade = null;
    let why = '';
    let unheard = false;
    try {
      shade = await ask(g.rim.fetch, shadePath(s.id, s.l, s.ml));
    } catch (err) {
      why = err.message;
      unheard = err.unheard === true;
    }
    if (mine !== s.asked) return;
    Object.assign(s, { shade, why, waiting: false });
    if (unheard) g.rim.setTimeout(() => { if (mine === s.asked && g.on) look(g, s); }, AGAIN_MS);
  }, WAIT_MS);
}

function drawAnswer(p, s) {
  const a = s.shade;
  setText(p.share, a === null ? '' : shareText(a));
  setText(p.screen, a === null ? 'No screen shows a true grey.' : 'in the two; no screen shows a true grey');
  if (a === null) return;
  const g = (x) => (x > 0 ? grams(x, 1) : '–');
  p.rows.replaceChildren(...a.parts.map((c, i) => el('tr', {},
    el('th', { scope: 'row' }, el('span', { class: 'grey-part', text: c.name }), i < 2 ? el('small', { text: c.provenance }) : null), el('td', { class: 'n', text: millilitres(c.ml) }), el('td', { class: 'n strong', text: g(c.g) }))));
  setText(p.noGrams, a.why_no_grams);
  p.sure.replaceChildren(...[...a.sentences, ...a.notes].map((text) => el('p', { text })));
}

function makeActs(g, s) {
  const node = el('div', { class: 'product-acts', role: 'group', 'aria-label': 'What you can do with it' });
  const take = (kept) => g.once.run(`take ${kept.id} ${kept.revision}`, async () => {
    g.confirm = 0;
    const here = g.steps.here();
    const answer = await g.commands.grey({ do: 'take', id: kept.id, revision: kept.revision });
    tell(g, answer);
    if (answer.ok) await g.changed(answer, `${kept.system.name} is taken away.`, here);
  });
  // Who has turned the grey on meanwhile, or has gone elsewhere, is not taken along.
  const mix = (kept) => g.once.run('make', async () => {
    if (s.shade === null || s.waiting) return;
    const [here, { l, ml, asked }, place] = [g.steps.here(), s, window.location.hash];
    const same = () => here() && asked === s.asked && place === window.location.hash;
    const answer = await g.commands.grey({ do: 'make', id: kept.id, revision: kept.revision, l });
    tell(g, answer);
    if (!answer.ok) return;
    const [r, stays] = [answer.made, same()];
    remember(g.rim.storage, r.id, 'volume', ml, g.rim.unixNow());
    g.note = stays ? '' : `${r.name} is on the shelf.`;
    g.made(r, `${r.name} is on the shelf.`, () => stays);
    if (stays && lacking(r) === 0) window.location.hash = `#bench/${r.id}`;
  });
  const draw = onChange((kept, sure, can, complete, undo) => {
    g.guard.changed();
    node.replaceChildren(...(sure
      ? [button(g, 'no', 'No, keep it', 'plain sure-no', () => { g.confirm = 0; }), button(g, 'take', 'Yes, take it away', 'plain grave', () => take(kept))]
      : [
        ...(undo ? [undoButton(g)] : []),
        button(g, 'change', kept.fit.ok ? 'Change' : 'Add drawdowns', kept.fit.ok ? 'plain' : 'plain wanted', () => g.fill(kept)),
        button(g, 'ask', 'Take away', 'plain grave', () => { g.confirm = g.rim.now(); }),
        el('button', { type: 'button', class: 'plain grey-mix', 'data-grey': 'mix', disabled: !can, text: complete ? 'Mix it ›' : 'Put it on the shelf ›', on: { click: g.guard.press(() => mix(kept)) } }),
      ]));
  });
  return {
    node,
    update(kept, nowMS) {
      if (nowMS - g.confirm > CONFIRM_MS) g.confirm = 0;
      const can = s.shade !== null && !s.waiting && !g.once.busy();
      const complete = s.shade === null || s.shade.why_no_grams === '';
      const undo = g.undo !== null;
      draw(`${kept.id}|${kept.revision}|${g.confirm > 0}|${can}|${complete}|${undo}`, kept, g.confirm > 0, can, complete, undo);
    },
  };
}
