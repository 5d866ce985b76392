// The scale: the live number and how it stands on top, what it is and how it
// behaves below, and what it sends folded away under a button.

import { decimal } from '../format.js';
import { factGroups, standing } from '../manner.js';
import { ask } from '../shelf.js';
import { heard } from '../state.js';
import { makeCheck } from './check.js';
import { el, onChange, setAttr, setText } from './dom.js';
import { makeLines } from './lines.js';
import { makeStranger } from './stranger.js';
import { makeTrail } from './trail.js';

const ASK_MS = 1000;
const MARKS = { waiting: '…', still: '✓', moving: '↕', trouble: '△', lost: '■' };

/** The place of the scale. rim holds what the browser gives; commands sends. */
export function makeScale(rim, commands, guard) {
  const p = { facts: null, asking: false, dueMS: 0, live: makeLive(), trail: makeTrail(rim), stranger: makeStranger(rim, commands, guard), groups: makeGroups(), lines: makeLines(rim, guard), check: makeCheck(rim, guard) };
  const unfold = el('button', {
    type: 'button', class: 'plain', 'aria-expanded': 'false', 'aria-controls': 'scale-lines', text: 'What the scale sends',
    on: { click: guard.press(() => {
      p.lines.open(!p.lines.isOpen());
      setAttr(unfold, 'aria-expanded', String(p.lines.isOpen()));
      if (p.lines.isOpen()) p.lines.node.scrollIntoView({ block: 'nearest' });
    }) },
  });
  const save = el('a', { class: 'button plain', href: '/api/scale/capture', download: '', text: 'Save the last ten minutes' });
  const foot = makeFoot();
  const node = el('section', { class: 'scale-place', 'aria-labelledby': 'scale-title' },
    el('h1', { id: 'scale-title', class: 'unseen', text: 'Scale' }),
    p.stranger.node,
    el('div', { class: 'scale-top' }, p.live.node, p.trail.node),
    p.check.node,
    p.groups.node,
    el('div', { class: 'scale-raw' }, el('div', { class: 'scale-buttons' }, unfold, save), p.lines.node),
    foot.node);
  return {
    node,
    open() {
      p.dueMS = 0;
      p.check.open();
    },
    /** Takes note of every state, also while another place is on screen. */
    follow: (state) => p.trail.follow(state),
    update(state, nowMS) {
      if (!p.asking && nowMS >= p.dueMS) askFacts(rim, p);
      const h = heard(state, nowMS);
      p.stranger.update(state.health, nowMS);
      p.live.update(state, h, p.facts);
      const divisionG = state.view?.division_g || p.facts?.division_g || 0;
      p.trail.update(nowMS, divisionG, decimals(state, p.facts));
      p.groups.update(state, p.facts);
      p.lines.update(nowMS);
      p.check.update(state, nowMS);
      foot.update(state);
    },
  };
}

// Once a second, and only while the place is on screen. What can not be asked
// for stays as it was last known; the banner says why.
async function askFacts(rim, p) {
  p.asking = true;
  try {
    p.facts = await ask(rim.fetch, '/api/scale');
  } catch {
    if (p.facts !== null) p.facts = { ...p.facts, last_refused: null };
  }
  p.dueMS = rim.now() + ASK_MS;
  p.asking = false;
}

function decimals(state, facts) {
  return state.view?.division_g > 0 ? state.view.decimals : facts?.decimals ?? state.view?.decimals ?? 1;
}

function makeLive() {
  const digits = el('span', { class: 'scale-digits' });
  const mark = el('span', { class: 'scale-mark', 'aria-hidden': 'true' });
  const word = el('span', { class: 'scale-word' });
  const advice = el('p', { class: 'scale-advice' });
  const node = el('div', { class: 'scale-live' },
    el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })),
    el('p', { class: 'scale-state' }, mark, word), advice);
  return {
    node,
    update(state, h, facts) {
      const shown = state.weight !== null && h.valid && !h.lost;
      const text = shown ? decimal(state.weight.shown_g, decimals(state, facts)) : '– –';
      const how = standing(state, h, facts);
      setText(digits, text);
      setAttr(digits, 'data-stale', h.stale);
      setAttr(node, 'data-tone', how.tone);
      setAttr(node, 'data-long', text.length > 6);
      setText(mark, MARKS[how.tone]);
      setText(word, how.word);
      setText(advice, how.advice);
    },
  };
}

// The groups keep their nodes as long as the rows keep their names.
function makeGroups() {
  const node = el('div', { class: 'scale-groups' });
  let cells = [];
  const build = onChange((groups) => {
    cells = [];
    node.replaceChildren(...groups.map((g) => el('section', { class: 'scale-group' },
      el('h2', { text: g.title }), el('dl', { class: 'facts' }, ...g.rows.map((r) => fact(r, cells))))));
  });
  return {
    node,
    update(state, facts) {
      const groups = factGroups(state, facts);
      build(groups.map((g) => [g.title, ...g.rows.map((r) => r.name)].join()).join('|'), groups);
      groups.flatMap((g) => g.rows).forEach((r, i) => {
        setText(cells[i].value, r.value);
        setText(cells[i].note, r.note);
        setAttr(cells[i].row, 'data-unknown', !r.known);
      });
    },
  };
}

function fact(r, cells) {
  const value = el('span', { class: 'fact-value' });
  const note = el('span', { class: 'fact-note' });
  const row = el('div', {}, el('dt', { text: r.name }), el('dd', {}, value, note));
  cells.push({ row, value, note });
  return row;
}

function makeFoot() {
  const cautions = el('div', { class: 'cautions' });
  const version = el('p', { class: 'scale-version' });
  const draw = onChange((said) => cautions.replaceChildren(...said.map((line) => el('p', { text: line }))));
  return {
    node: el('div', { class: 'scale-foot' }, cautions, version),
    update(state) {
      const said = state.hello?.cautions ?? [];
      draw(said.join('\n'), said);
      setText(version, state.hello === null ? '' : `gramcup ${state.hello.version}`);
    },
  };
}
