// The categories that a recipe is used as: which VOC limits it is held against,
// the shop's own among them.

import { goneUses, limitDetail, limitSets, limitSources } from '../decide.js';
import { makeNewest } from '../newest.js';
import { ask } from '../shelf.js';
import { el, setText, show } from './dom.js';
import { makeOwnLimit } from './ownlimit.js';

const UNDO_MS = 60000;

/** The region; changed() is called when the choice is kept. */
export function makeUses(rim, guard, commands, changed) {
  const s = { recipe: null, uses: [], kept: [], sending: false, open: false, limits: null, undo: null };
  const [newest, loads] = [makeNewest(), makeNewest()];
  const list = el('div', { class: 'uses-inside' });
  const note = el('p', { class: 'more-small' });
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const undoText = el('span', { class: 'undo-text' });
  const undo = el('div', { class: 'limits-undo', role: 'status' }, undoText, el('button', { type: 'button', class: 'plain', 'data-own': 'undo', text: 'Undo', on: { click: guard.press(() => back()) } }));
  // All that takes more than one step goes on with the recipe that it began with.
  const form = makeOwnLimit(guard, async (body, name) => {
    const { recipe } = s;
    const answer = await commands.settings({ do: 'add-limit', ...body });
    if (!answer.ok) return answer;
    done(recipe, `${body.limit.category} is added, and this mix is held against it.`, () => drop(recipe, name));
    await keep(recipe, [...usesOf(recipe), name]);
    await load();
    return answer;
  });
  const open = el('button', { type: 'button', class: 'plain uses-open', on: { click: guard.press(() => { s.open = !s.open; guard.changed(); if (s.open) load(); draw(); }) } });
  const inside = el('div', { class: 'uses-inside' }, list, form.node, note);
  const node = el('div', { class: 'uses' }, open, undo, inside, problem);
  const load = async () => {
    const counts = loads.ask();
    try {
      const answer = await ask(rim.fetch, '/api/limits');
      if (!counts()) return;
      s.limits = answer.limits;
      setText(note, answer.note);
      if (s.unread) setText(problem, ''); // what was refused stays said
      s.unread = false;
    } catch (err) {
      if (!counts()) return;
      s.unread = true;
      setText(problem, err.message);
    }
    draw();
  };
  const done = (recipe, said, f) => {
    if (recipe.id !== s.recipe.id) return;
    s.undo = { said, f };
    const mine = s.undo;
    rim.setTimeout(() => { if (s.undo === mine) { s.undo = null; draw(); } }, UNDO_MS);
    guard.changed();
  };
  const back = async () => {
    const mine = s.undo;
    s.undo = null;
    const { recipe } = s;
    if (!await mine.f() && s.undo === null && s.recipe.id === recipe.id) s.undo = mine; // it can be tried again
    await load();
  };
  const tell = (answer) => {
    s.unread = false;
    setText(problem, answer.ok ? '' : answer.sentence);
    return answer.ok;
  };
  const known = new Map(); // of recipes that were on screen
  const usesOf = (recipe) => known.get(recipe.id) ?? [];
  // A choice counts at once, so that the next one goes on from it; what the bench
  // refuses turns back to what it has kept.
  const keep = async (recipe, uses) => {
    const counts = newest.ask();
    known.set(recipe.id, uses);
    if (recipe.id === s.recipe.id) Object.assign(s, { uses, sending: true });
    draw();
    const answer = await commands.settings({ do: 'uses', recipe_id: recipe.id, uses });
    if (!counts() || recipe.id !== s.recipe.id) return answer.ok;
    s.sending = false;
    if (tell(answer)) s.kept = uses;
    else s.uses = s.kept;
    known.set(recipe.id, s.uses);
    draw();
    if (answer.ok) changed();
    return answer.ok;
  };
  // A category whose limit is gone is left out: it can not be chosen again.
  const choose = (name) => {
    const there = s.uses.filter((u) => !goneUses(s.uses, s.limits ?? []).includes(u));
    return keep(s.recipe, there.includes(name) ? there.filter((u) => u !== name) : [...there, name]);
  };
  const drop = async (recipe, name) => {
    const uses = usesOf(recipe);
    if (uses.includes(name) && !await keep(recipe, uses.filter((u) => u !== name))) return false;
    return tell(await commands.settings({ do: 'drop-limit', limit: { name } }));
  };
  const takeAway = async (limit) => {
    const { recipe } = s;
    const used = s.uses.includes(limit.name);
    if (!await drop(recipe, limit.name)) return;
    done(recipe, `${limit.category} is taken away.`, async () => tell(await commands.settings({ do: 'add-limit', limit: { ...limit, name: undefined } }))
      && (!used || keep(recipe, [...usesOf(recipe), limit.name])));
    await load();
  };
  const draw = () => {
    setText(open, s.open ? 'Done' : s.uses.length === 0 ? 'Choose what it is used as' : 'Used as …');
    show(inside, s.open);
    show(undo, s.open && s.undo !== null);
    setText(undoText, s.undo?.said ?? '');
    const gone = s.limits === null ? [] : goneUses(s.uses, s.limits);
    list.replaceChildren(
      ...gone.map((name) => el('button', { type: 'button', class: 'voc-limit', 'data-gone': name, 'aria-pressed': 'true', on: { click: guard.press(() => keep(s.recipe, s.uses.filter((u) => u !== name))) } },
        el('span', { text: `✓ ${name}` }), el('small', { text: 'there is no such limit any more: press to leave it out' }))),
      ...limitSets(s.limits ?? []).map(([set, limits]) => el('div', { class: 'voc-limits', role: 'group', 'aria-label': set },
        el('p', { class: 'voc-set', text: set }), ...limitSources(limits).map((text) => el('p', { class: 'more-small voc-from', text })), ...limits.flatMap((l) => [button(l, s.uses, guard, choose), ...(l.own ? [away(l, guard, takeAway)] : [])]))));
  };
  draw();
  return {
    node,
    update(recipe, uses) {
      if (s.recipe?.id !== recipe.id) {
        Object.assign(s, { open: false, undo: null, sending: false });
        newest.drop();
        setText(problem, '');
      }
      s.recipe = recipe;
      if (s.sending) return; // a plan from before turns nothing back
      s.kept = uses;
      known.set(recipe.id, uses);
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
