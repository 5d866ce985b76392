import assert from 'node:assert/strict';
import { test } from 'node:test';
import { busy, heard, initial, outdated, place, reduce } from '../state.js';
import { golden, names } from './golden.js';

const at = (message, ms) => ({ ...message, at_ms: ms });
const open = reduce(initial(), { type: 'link', open: true, at_ms: 0 });
const fold = (state, ...messages) => messages.reduce(reduce, state);

test('every example of the stream is understood', () => {
  const all = names();
  assert.ok(all.length >= 10, `only ${all.length} examples`);
  for (const name of all) {
    const message = golden(name);
    if (message.type === undefined) continue; // an answer, not part of the stream
    const after = reduce(open, at(message, 100));
    assert.notEqual(after, open, name);
    assert.equal(after[message.type].type, message.type, name);
  }
});

test('a message of a later version changes nothing', () => {
  assert.equal(reduce(open, at({ type: 'weather' }, 1)), open);
});

test('no message changes the state before it', () => {
  const before = fold(open, at(golden('hello'), 1), at(golden('view_pour'), 2), at(golden('weight'), 3));
  const frozen = JSON.stringify(before);
  fold(before, at(golden('view_complete'), 4), at(golden('weight'), 500), at(golden('health'), 5), { type: 'link', open: false, at_ms: 6 });
  assert.equal(JSON.stringify(before), frozen);
});

test('each example view asks for its picture', () => {
  const want = { view_none: 'choose', view_pour: 'pour', view_decide: 'decide', view_held: 'held', view_complete: 'ended' };
  for (const [name, picture] of Object.entries(want)) assert.equal(place(golden(name)), picture, name);
  assert.equal(place(null), 'choose');
  assert.equal(place({ ...golden('view_pour'), phase: 'cup' }), 'cup');
  assert.equal(place({ ...golden('view_pour'), phase: 'stir' }), 'stir');
});

test('an ended batch stays on screen until it is put aside, a running one can not be', () => {
  const ended = golden('view_complete');
  assert.equal(place(ended, 'another'), 'ended');
  assert.equal(place(ended, ended.batch), 'choose');
  const running = golden('view_pour');
  assert.equal(place(running, running.batch), 'pour');
});

test('busy is running or held', () => {
  const got = ['view_none', 'view_pour', 'view_decide', 'view_held', 'view_complete'].map((n) => busy(golden(n)));
  assert.deepEqual(got, [false, true, true, true, false]);
});

const reading = (ms, age = 0) => at({ ...golden('weight'), age_ms: age }, ms);
const live = (state, ms) => heard(fold(state, at({ ...golden('health'), scale: 'found', problems: [] }, 0)), ms);

test('a number ages, turns grey after 300 ms and is lost after 1 s', () => {
  const s = fold(open, at(golden('view_pour'), 0), reading(1000));
  for (const [ms, stale, lost] of [[1000, false, false], [1300, false, false], [1301, true, false], [2000, true, false], [2001, true, true]]) {
    const h = live(s, ms);
    assert.deepEqual([h.stale, h.lost, h.ageMS], [stale, lost, ms - 1000], `${ms}`);
  }
});

test('a reading that comes late is as old as it says', () => {
  const s = fold(open, at(golden('view_pour'), 0), reading(1000, 250));
  assert.equal(live(s, 1000).ageMS, 250);
  assert.equal(live(s, 1051).stale, true);
});

test('the same reading sent again does not make the number young', () => {
  const s = fold(open, at(golden('view_pour'), 0), reading(1000), reading(1250, 250), reading(1500, 500), reading(1750, 750));
  assert.equal(live(s, 1750).ageMS, 750);
  assert.equal(live(s, 1750).stale, true);
  assert.equal(s.periodMS, 100);
});

test('a slow scale is not stale between two of its readings', () => {
  let s = fold(open, at(golden('view_pour'), 0));
  for (let ms = 0; ms <= 20000; ms += 500) s = reduce(s, reading(ms));
  assert.ok(Math.abs(s.periodMS - 500) < 10, `${s.periodMS}`);
  assert.equal(live(s, 20600).stale, false);
  assert.equal(live(s, 21600).stale, true);
  assert.equal(live(s, 22100).lost, false);
  assert.equal(live(s, 22700).lost, true);
});

test('a gap is no period', () => {
  const s = fold(open, reading(0), reading(100), reading(9000));
  assert.ok(s.periodMS <= 100, `${s.periodMS}`);
});

test('a closed stream, a lost scale and a lost weight are each lost', () => {
  const s = fold(open, at(golden('view_pour'), 0), reading(1000));
  assert.equal(live(s, 1000).lost, false);
  assert.equal(live(reduce(s, { type: 'link', open: false, at_ms: 1000 }), 1000).lost, true);
  assert.equal(heard(reduce(s, at(golden('health'), 1000)), 1000).lost, true);
  assert.equal(live(reduce(s, at({ ...golden('weight'), trouble: 'lost', valid: false }, 1100)), 1100).lost, true);
});

test('a weight of another version does not belong to the view', () => {
  const view = golden('view_pour');
  assert.equal(live(fold(open, at(view, 0), reading(10)), 10).matches, true);
  assert.equal(live(fold(open, at({ ...view, seq: view.seq + 1 }, 0), reading(10)), 10).matches, false);
});

test('before anything was heard the number is lost', () => {
  const h = heard(initial(), 5);
  assert.deepEqual([h.ageMS, h.stale, h.lost, h.valid, h.matches], [Infinity, true, true, false, false]);
});

test('only another major version is outdated', () => {
  const hello = golden('hello');
  assert.equal(outdated(open), false);
  assert.equal(outdated(reduce(open, at(hello, 0))), false);
  assert.equal(outdated(reduce(open, at({ ...hello, protocol: [hello.protocol[0], 99] }, 0))), false);
  assert.equal(outdated(reduce(open, at({ ...hello, protocol: [hello.protocol[0] + 1, 0] }, 0))), true);
});
