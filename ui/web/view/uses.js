// The categories that a recipe is used as: which VOC limits it is held against,
// the shop's own among them.

import { goneUses, limitDetail, limitSets } from '../decide.js';
import { ask } from '../shelf.js';
import { el, setText, show } from './dom.js';
import { makeOwnLimit } from './ownlimit.js';

const UNDO_MS = 60000;

/** The region; changed() is called when the choice is kept. */
export function makeUses(rim, guard, commands, changed) {
  const s = { recipe: null, uses: [], open: false, limits: null, undo: null };
  const list = el('div', { class: 'uses-inside' });
  const note = el('p', { class: 'more-small' });
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const undoText = el('span', { class: 'undo-text' });
  const undo = el('div', { class: 'limits-undo', role: 'status' }, undoText, el('button', { type: 'button', class: 'plain', 'data-own': 'undo', text: 'Undo', on: { click: guard.press(() => back()) } }));
  const form = makeOwnLimit(guard, async (body, name) => {
    const answer = await commands.settings({ do: 'add-limit', ...body });
    if (!answer.ok) return answer;
    done(`${body.limit.category} is added, and this mix is held against it.`, () => drop(name));
    await keep([...s.uses, name]);
    await load();
    return answer;
  });
  const open = el('button', { type: 'button', class: 'plain uses-open', on: { click: guard.press(() => { s.open = !s.open; guard.changed(); if (s.open) load(); draw(); }) } });
  const inside = el('div', { class: 'uses-inside' }, list, form.node, note);
  const node = el('div', { class: 'uses' }, open, undo, inside, problem);
  const load = async () => {
    try {
      const answer = await ask(rim.fetch, '/api/limits');
      s.limits = answer.limits;
      setText(note, answer.note);
      setText(problem, '');
    } catch (err) {
      setText(problem, err.message);
    }
    draw();
  };
  const done = (said, f) => {
    s.undo = { said, f };
    const mine = s.undo;
    rim.setTimeout(() => { if (s.undo === mine) { s.undo = null; draw(); } }, UNDO_MS);
    guard.changed();
  };
  const back = async () => {
    const { f } = s.undo;
    s.undo = null;
    await f();
    await load();
  };
  const tell = (answer) => {
    setText(problem, answer.ok ? '' : answer.sentence);
    return answer.ok;
  };
  // A category whose limit is gone is left out: it can not be chosen again.
  const keep = async (uses) => {
    const answer = await commands.settings({ do: 'uses', recipe_id: s.recipe.id, uses });
    if (!tell(answer)) return;
    s.uses = uses;
    draw();
    changed();
  };
  const choose = (name) => {
    const there = s.uses.filter((u) => !goneUses(s.uses, s.limits ?? []).includes(u));
    return keep(there.includes(name) ? there.filter((u) => u !== name) : [...there, name]);
  };
  const drop = async (name) => {
    if (s.uses.includes(name)) await keep(s.uses.filter((u) => u !== name));
    return tell(await commands.settings({ do: 'drop-limit', limit: { name } }));
  };
  const takeAway = async (limit) => {
    const used = s.uses.includes(limit.name);
    if (!await drop(limit.name)) return;
    done(`${limit.category} is taken away.`, async () => {
      if (tell(await commands.settings({ do: 'add-limit', limit: { ...limit, name: undefined } })) && used) await keep([...s.uses, limit.name]);
    });
    await load();
  };
  const draw = () => {
    setText(open, s.open ? 'Done' : s.uses.length === 0 ? 'Choose what it is used as' : 'Used as …');
    show(inside, s.open);
    show(undo, s.open && s.undo !== null);
    setText(undoText, s.undo?.said ?? '');
    const gone = s.limits === null ? [] : goneUses(s.uses, s.limits);
    list.replaceChildren(
      ...gone.map((name) => el('button', { type: 'button', class: 'voc-limit', 'data-gone': name, 'aria-pressed': 'true', on: { click: guard.press(() => keep(s.uses.filter((u) => u !== name))) } },
        el('span', { text: `✓ ${name}` }), el('small', { text: 'there is no such limit any more: press to leave it out' }))),
      ...limitSets(s.limits ?? []).map(([set, limits]) => el('div', { class: 'voc-limits', role: 'group', 'aria-label': set },
        el('p', { class: 'voc-set', text: set }), ...limits.flatMap((l) => [button(l, s.uses, guard, choose), ...(l.own ? [away(l, guard, takeAway)] : [])]))));
  };
  draw();
  return {
    node,
    update(recipe, uses) {
      if (s.recipe?.id !== recipe.id) {
        s.open = false;
        s.undo = null;
      }
      s.recipe = recipe;
      if (JSON.stringify(uses) === JSON.stringify(s.uses)) return;
      s.uses = uses;
      draw();
    },
  };
}

function button(limit, uses, guard, choose) {
  const on = uses.includes(limit.name);
  return el('button', { type: 'button', class: 'voc-limit', 'data-limit': limit.name, 'aria-pressed': on ? 'true' : 'false', on: { click: guard.press(() => choose(limit.name)) } },
    el('span', { text: `${on ? '✓ ' : ''}${limit.category}` }), el('small', { text: limitDetail(limit) }));
}

function away(limit, guard, takeAway) {
  return el('button', { type: 'button', class: 'plain voc-away', 'data-away': limit.name, 'aria-label': `Take the limit ${limit.category} away`, on: { click: guard.press(() => takeAway(limit)) } },
    el('span', { text: 'Take it away' }), el('small', { text: `${limit.source}, ${limit.date}` }));
}
