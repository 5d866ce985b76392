import assert from 'node:assert/strict';
import { test } from 'node:test';
import * as f from '../format.js';
import { heard, initial, reduce } from '../state.js';
import { golden } from './golden.js';

const plain = (text) => text.replaceAll('\u202f', ' ');

function state(view, weight) {
  let s = reduce(initial(), { type: 'link', open: true, at_ms: 0 });
  s = reduce(s, { ...golden('health'), scale: 'found', problems: [], at_ms: 0 });
  s = reduce(s, { ...view, at_ms: 0 });
  if (weight !== null) s = reduce(s, { ...golden('weight'), age_ms: 0, ...weight, at_ms: 0 });
  return s;
}
const number = (view, weight) => {
  const s = state(view, weight);
  const n = f.mainNumber(s.view, s.weight, heard(s, 0));
  return `${n.digits} ${n.unit}, ${n.label}`;
};
const cueOf = (view, weight, ms = 0) => {
  const s = state(view, weight);
  return f.cue(s.view, s.weight, heard(s, ms))?.tone;
};

test('grams have the decimals of the scale, a real minus and no minus zero', () => {
  assert.equal(plain(f.grams(41.7, 1)), '41.7 g');
  assert.equal(plain(f.grams(41.7, 2)), '41.70 g');
  assert.equal(plain(f.grams(41.7, 0)), '42 g');
  assert.equal(plain(f.grams(-3.14, 1)), '−3.1 g');
  assert.equal(plain(f.grams(-0.04, 1)), '0.0 g');
  assert.equal(plain(f.grams(NaN, 1)), '– g');
  assert.equal(plain(f.signedGrams(0.3, 1)), '+0.3 g');
  assert.equal(plain(f.signedGrams(-0.3, 1)), '−0.3 g');
  assert.equal(plain(f.signedGrams(0.04, 1)), '0.0 g');
});

test('millilitres that are not known are not shown', () => {
  assert.deepEqual([0, NaN, undefined].map(f.millilitres), ['', '', '']);
  assert.deepEqual([4.21, 9.96, 100.09].map((x) => plain(f.millilitres(x))), ['4.2 ml', '10 ml', '100 ml']);
});

test('ages in plain language', () => {
  const want = { 40: 'now', 400: '0.4 s', 9900: '9.9 s', 12000: '12 s', 99000: '99 s', 180000: '3 min' };
  for (const [ms, text] of Object.entries(want)) assert.equal(plain(f.age(Number(ms))), text);
  assert.equal(f.age(Infinity), 'never');
});

test('a countdown never goes below nothing', () => {
  assert.equal(f.countdown(725000), '12:05');
  assert.equal(f.countdown(-4), '0:00');
  assert.equal(f.countdown(7_380_000), '2 h 03 min');
});

test('the pot life runs from the moment the hardener went in', () => {
  const view = golden('view_complete');
  assert.ok(view.reactive_ms > 0 && view.pot_life_min === 60);
  assert.equal(f.potLife(golden('view_pour'), view.reactive_ms), null);
  assert.deepEqual(f.potLife(view, view.reactive_ms), { leftMS: 3600000, over: false, short: false });
  assert.deepEqual(f.potLife(view, view.reactive_ms + 50 * 60000), { leftMS: 600000, over: false, short: true });
  assert.equal(f.potLife(view, view.reactive_ms + 3600000).over, true);
});

test('the one number is what is still to go', () => {
  const view = golden('view_pour');
  assert.equal(number(view, {}), '74.1 g, still to go');
  assert.equal(number(view, { to_go_g: 0.6, line: 'on' }), '0.6 g, still to go');
  assert.equal(number(view, { to_go_g: -0.6, line: 'on' }), '0.6 g, over, within tolerance');
  assert.equal(number(view, { to_go_g: -5.6, line: 'past' }), '5.6 g, past the line');
  assert.equal(number(view, { to_go_g: -0.04, line: 'on' }), '0.0 g, still to go');
});

test('the number of each other picture says what it is', () => {
  const pour = golden('view_pour');
  assert.equal(number({ ...pour, phase: 'cup' }, { shown_g: 31.4 }), '31.4 g, on the scale');
  assert.equal(number({ ...pour, phase: 'stir' }, { net_g: 762.2 }), '762.2 g, in the cup');
  assert.equal(number(golden('view_held'), { shown_g: -31.4, seq: 5 }), '−31.4 g, on the scale');
  assert.equal(number(golden('view_decide'), { seq: 5, to_go_g: -5.6, line: 'past' }), '5.6 g, past the line');
  const asPoured = { ...pour, components: pour.components.map((c) => ({ ...c, target_g: 0 })) };
  assert.equal(number(asPoured, { amount_g: 183.2, to_go_g: 0 }), '183.2 g, poured so far');
});

test('without a weight there is no number', () => {
  const view = golden('view_pour');
  assert.equal(number(view, null), '– – g, no weight from the scale');
  assert.equal(number(view, { valid: false, trouble: 'over' }), '– – g, more than the scale can weigh');
  assert.equal(number(view, { valid: false, trouble: 'lost' }), '– – g, no weight from the scale');
});

test('a weight of another version gives no number to pour to', () => {
  assert.equal(number(golden('view_pour'), { seq: 3 }), '– – g, still to go');
});

test('the cue follows the bench, and the line comes before it', () => {
  const view = golden('view_pour');
  for (const tone of ['pour', 'ease', 'stop', 'wait']) assert.equal(cueOf(view, { cue: tone, line: 'short' }), tone);
  assert.equal(cueOf(view, { cue: 'stop', line: 'on' }), 'on');
  assert.equal(cueOf(view, { cue: 'stop', line: 'past' }), 'past');
  assert.equal(cueOf(view, { cue: 'a later word', line: 'short' }), 'wait');
  assert.equal(cueOf(golden('view_decide'), {}), 'past');
  assert.equal(cueOf(golden('view_held'), {}), undefined);
  assert.equal(cueOf(golden('view_none'), {}), undefined);
});

test('a lost scale never says pour', () => {
  assert.equal(cueOf(golden('view_pour'), { cue: 'pour' }, 900), 'pour');
  assert.equal(cueOf(golden('view_pour'), { cue: 'pour' }, 1100), 'lost');
});

test('a line is told by word and symbol, each its own', () => {
  const all = ['open', 'short', 'on', 'past'].map(f.lineText);
  assert.equal(new Set(all.map((l) => l.word)).size, 4);
  assert.equal(new Set(all.map((l) => l.symbol)).size, 4);
});

test('phases and lines are said aloud, weights are not', () => {
  const pour = golden('view_pour');
  const a = state(pour, { line: 'short', amount_g: 10 });
  assert.equal(f.announcement(a, state(pour, { line: 'short', amount_g: 50 })), '');
  assert.equal(f.announcement(a, state(pour, { line: 'on' })), 'On the line');
  assert.equal(f.announcement(a, state(pour, { line: 'past' })), 'Past the line');
  const held = golden('view_held');
  assert.ok(f.announcement(a, state(held, {})).startsWith(held.headline));
  assert.equal(f.announcement(a, state({ ...pour, seq: 9 }, { line: 'short' })), '');
});

test('an outcome has a word', () => {
  assert.equal(f.outcomeText('complete', true), 'on the line');
  assert.equal(f.outcomeText('complete', false), 'off its line');
  assert.equal(f.outcomeText('aborted', false), 'aborted');
});

test('a moment is written shortly', () => {
  assert.match(f.when(1_760_000_000_000), /^2025-10-0\d \d\d:\d\d$/);
  assert.equal(f.when(0), '');
});

test('how long ago is a phrase at every age', () => {
  assert.equal(f.ago(60), 'just now');
  assert.equal(plain(f.ago(400)), '0.4 s ago');
  assert.equal(plain(f.ago(2900)), '2.0 s ago');
  assert.equal(plain(f.ago(12345)), '12 s ago');
  assert.equal(f.ago(Infinity), 'never');
});

test('a consequence is marked by what it says, and only then', () => {
  assert.equal(f.consequenceMark('Fits this cup'), 'yes');
  assert.equal(f.consequenceMark('Does not fit this cup: 205 ml over its usable 650 ml'), 'no');
  assert.equal(f.consequenceMark('Slate hardener: +42.5 %, outside its ±3 %, and written down so'), 'off');
  assert.equal(f.consequenceMark('+80.1 g Ballast high build'), 'pour');
  for (const text of ['61 ml more, 190 ml in all', '1.58 more in material', 'The ratio becomes 4.94 : 1.58 : 1', '']) {
    assert.equal(f.consequenceMark(text), '', text);
  }
});

test('the grams of a headline are found, and nothing else is', () => {
  assert.deepEqual(f.headlineParts('Slate hardener is 10.5 g past'), ['Slate hardener is ', '10.5 g', ' past']);
  assert.deepEqual(f.headlineParts('Stir, then take the cup'), ['Stir, then take the cup', '', '']);
  assert.deepEqual(f.headlineParts('2 garages'), ['2 garages', '', '']);
});

test('a ratio and a number with its unit stay on one line', () => {
  assert.equal(f.unbroken('4 : 1 : 1 by volume'), '4\u00a0:\u00a01\u00a0:\u00a01 by volume');
  assert.equal(f.unbroken('58 % more to use in 30 min pot life'), '58\u00a0% more to use in 30\u00a0min pot life');
  assert.equal(f.unbroken('3 good cups'), '3 good cups');
});
