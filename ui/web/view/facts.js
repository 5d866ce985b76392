// What an amount is decided on: how sure the ratio would be, VOC, the shop's
// temperature, the index. Calm while all is well; a mark and a word where not.

import { indexFact, shopFact, sureFact, vocBases, vocFact } from '../decide.js';
import { unbroken } from '../format.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeStages } from './stages.js';
import { makeStepper } from './stepper.js';
import { makeUses } from './uses.js';

const SETTLE_MS = 450;
const MARKS = { yes: '✓', no: '△', ask: '?', '': '' };

/**
 * The region. take(way) sets the amount that would do; changed() asks for the
 * plan anew after something of the shop was set.
 */
export function makeFacts(rim, guard, commands, take, changed) {
  const state = { open: '', way: null, plan: null, recipe: null };
  const sure = makeSure(guard, () => state.way !== null && take(state.way));
  const cards = {};
  const toggle = (name) => () => {
    state.open = state.open === name ? '' : name;
    guard.changed();
    draw();
  };
  for (const [name, label] of [['voc', 'VOC'], ['shop', 'Shop'], ['index', 'Index']]) cards[name] = makeCard(guard, name, label, toggle(name));
  const more = { voc: makeVOC(rim, guard, commands, changed), shop: makeShop(rim, guard, commands, changed), index: makeIndex() };
  const draw = () => {
    const facts = state.plan === null ? {} : { voc: vocFact(state.plan), shop: shopFact(state.plan), index: indexFact(state.plan) };
    for (const [name, card] of Object.entries(cards)) {
      const fact = facts[name] ?? null;
      card.update(fact, state.open === name);
      show(more[name].node, state.open === name && fact !== null);
      if (fact !== null && state.open === name) more[name].update(state.plan, state.recipe);
    }
  };
  const node = el('div', { class: 'decides' }, sure.node,
    el('div', { class: 'decide-cards' }, cards.voc.node, cards.shop.node, cards.index.node),
    more.voc.node, more.shop.node, more.index.node);
  return {
    node,
    /** Another recipe: what was said of the one before is none of it. */
    reset() {
      Object.assign(state, { open: '', way: null, plan: null });
      sure.update(null);
      draw();
    },
    /** A plan that waits leaves what is shown, and shows that it is of before; one that was refused shows only the shop's temperature. */
    update(plan, recipe) {
      setAttr(node, 'data-waiting', plan === null);
      if (plan === null) return;
      state.plan = plan.ok === true ? plan : null;
      state.recipe = recipe;
      const fact = state.plan === null ? null : sureFact(state.plan);
      state.way = fact?.way ?? null;
      sure.update(fact);
      draw();
    },
  };
}

function makeSure(guard, press) {
  // What the first sentence says is decided on; the others open on a touch.
  const lines = el('div', { class: 'sure-lines' });
  const why = el('button', { type: 'button', class: 'sure-why', text: 'why', 'aria-label': 'Why it is so sure', on: { click: guard.press(() => {
    open = !open;
    guard.changed();
    turn();
  }) } });
  let open = false;
  const turn = () => {
    setAttr(node, 'data-open', open);
    setAttr(why, 'aria-expanded', String(open));
  };
  const way = el('button', { type: 'button', class: 'sure-way', on: { click: guard.press(press) } });
  const mark = el('span', { class: 'sure-mark', 'aria-hidden': 'true' });
  const node = el('section', { class: 'sure', 'aria-label': 'How sure the ratio is' }, mark, lines, why, way);
  const draw = onChange((fact) => {
    lines.replaceChildren(...fact.lines.map((text, i) => el('p', { class: i === 0 ? 'sure-first' : 'sure-rest', text: unbroken(text) })));
    show(why, fact.lines.length > 1);
    way.replaceChildren(el('span', { text: fact.way?.text ?? '' }), el('small', { text: fact.way?.cup ?? '' }));
    show(way, fact.way !== null);
    setAttr(node, 'data-enough', fact.enough === null ? 'unknown' : fact.enough ? 'yes' : 'no');
    setText(mark, fact.enough === null ? '?' : fact.enough ? '✓' : '△');
  });
  return {
    node,
    update(fact) {
      show(node, fact !== null && fact.lines.length > 0);
      if (fact !== null) draw(JSON.stringify(fact), fact);
    },
  };
}

function makeCard(guard, name, label, press) {
  const value = el('strong', { class: 'decide-value' });
  const word = el('span', { class: 'decide-word' });
  const node = el('button', { type: 'button', class: 'decide', 'data-fact': name, on: { click: guard.press(press) } },
    el('span', { class: 'decide-label', text: label }), value, word);
  return {
    node,
    update(fact, open) {
      show(node, fact !== null);
      if (fact === null) return;
      setText(value, fact.value);
      setAttr(value, 'data-long', fact.value.length > 7);
      setText(word, [MARKS[fact.mark], fact.word].filter(Boolean).join(' '));
      setAttr(node, 'data-mark', fact.mark);
      setAttr(node, 'aria-expanded', open ? 'true' : 'false');
    },
  };
}

function makeVOC(rim, guard, commands, changed) {
  const uses = makeUses(rim, guard, commands, changed);
  const stages = makeStages(rim, guard, commands, changed);
  const said = el('div', { class: 'more-said' });
  const node = el('section', { class: 'decide-more', 'aria-label': 'VOC' }, said, uses.node, stages.node);
  const draw = onChange((voc) => {
    const bases = !voc.known ? [] : [el('table', { class: 'bases' }, el('tbody', {}, ...vocBases(voc).map(([words, figure]) => el('tr', {},
      el('th', { scope: 'row', text: words }), el('td', { class: 'n', text: figure })))))];
    const from = [voc.limit, voc.stages.limit].filter((l) => l !== null).map((l) => `Limit from: ${l.source}, ${l.date}.`);
    const together = voc.stages.over.length === 0 ? [] : [voc.stages.why_not || voc.stages.text, voc.stages.limit_why_not];
    const words = [voc.why_not || voc.text, ...together, voc.limit_why_not, voc.reducer_text].filter(Boolean);
    said.replaceChildren(...words.map((text) => el('p', { text: unbroken(text) })), ...bases,
      ...[voc.plus_minus_counts, ...from, voc.not_a_finding].filter(Boolean).map((text) => el('p', { class: 'more-small', text })));
  });
  return {
    node,
    update(plan, recipe) {
      draw(JSON.stringify(plan.voc), plan.voc);
      uses.update(recipe, plan.voc.uses);
      stages.update(recipe, plan.voc.stages.over);
    },
  };
}

function makeIndex() {
  const node = el('section', { class: 'decide-more', 'aria-label': 'Index' });
  const draw = onChange((text) => node.replaceChildren(el('p', { text }),
    el('p', { class: 'more-small', text: 'The groups of the isocyanate over those that the resin needs; it is worked out from the sheets.' })));
  return { node, update: (plan) => draw(plan.index.text || plan.index.why_not, plan.index.text || plan.index.why_not) };
}

function makeShop(rim, guard, commands, changed) {
  const problem = el('p', { class: 'sentence', role: 'alert' });
  const said = el('div', { class: 'more-said' });
  let wanted = 0;
  let turned = false; // a figure of a person's that the bench has not answered yet
  const send = async (celsius, waitMS) => {
    const mine = ++wanted;
    turned = true;
    if (waitMS > 0) await rim.sleep(waitMS); // a figure is typed digit by digit
    if (mine !== wanted) return;
    const answer = await commands.settings({ do: 'shop', shop_c: celsius });
    if (mine !== wanted) return;
    turned = false;
    setText(problem, answer.ok ? '' : answer.sentence);
    if (answer.ok) changed();
  };
  const stepper = makeStepper(guard, { name: 'shop_c', label: 'Temperature of the paint', unit: '°C', step: 1, least: 0, most: 50 }, (v) => {
    stepper.set(v);
    send(v, SETTLE_MS);
  }, () => { wanted++; turned = false; }); // the start of a figure that is none is not sent either
  const none = el('button', { type: 'button', class: 'plain', 'data-shop': 'none', text: 'Not set', on: { click: guard.press(() => {
    stepper.set(20, true);
    send(null, 0);
  }) } });
  const node = el('section', { class: 'decide-more', 'aria-label': 'Temperature of the paint' }, el('div', { class: 'shop-row' }, stepper.node, none), said, problem);
  const draw = onChange((shop) => {
    if (!turned) stepper.set(shop.set ? shop.c : 20); // a plan of before turns nothing back
    setAttr(none, 'aria-pressed', shop.set ? 'false' : 'true');
    const words = shop.set ? [...shop.shift, ...shop.notes] : ['Each density counts at the temperature that its source gives. Set what a thermometer in the tin says.'];
    said.replaceChildren(...words.map((text) => el('p', { text: unbroken(text) })));
  });
  return { node, update: (plan) => draw(JSON.stringify(plan.shop), plan.shop) };
}
