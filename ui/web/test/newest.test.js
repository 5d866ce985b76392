import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeNewest, makeOnce, makeOrder, makeSteps } from '../newest.js';

test('of two askings only the newest counts', () => {
  const n = makeNewest();
  const first = n.ask();
  assert.equal(first(), true);
  const second = n.ask();
  assert.deepEqual([first(), second()], [false, true]);
  n.drop();
  assert.equal(second(), false);
});

test('an answer that another one has overtaken counts only if its version is newer', () => {
  const order = makeOrder();
  let now = null;
  const take = (counts, version, pressed) => {
    const yes = counts({ version }, now, pressed);
    if (yes) now = { version };
    return yes;
  };
  assert.equal(take(order.began(), 3), true, 'the first one');
  let [poll, press] = [order.began(), order.began()];
  assert.deepEqual([take(press, 4, true), take(poll, 3)], [true, false], 'the poll left before the press');
  [poll, press] = [order.began(), order.began()];
  assert.deepEqual([take(poll, 7), take(press, 6, true)], [true, false], 'the poll has seen what came after the press');
  [poll, press] = [order.began(), order.began()];
  assert.deepEqual([take(press, 8, true), take(poll, 9)], [true, true], 'and may be the later one');
  [poll, press] = [order.began(), order.began()];
  assert.deepEqual([take(poll, 9), take(press, 9, true)], [true, true], 'the same version: the press knows more');
  [poll, press] = [order.began(), order.began()];
  assert.deepEqual([take(press, 9, true), take(poll, 9)], [true, false]);
  assert.equal(take(order.began(), 0), true, 'a bench that was started anew');
});

test('the same press is not sent twice at a time, another one is', async () => {
  const once = makeOnce();
  const done = [];
  const waits = [];
  const slow = (what) => once.run(what, () => new Promise((end) => { done.push(what); waits.push(end); }));
  const first = slow('keep');
  assert.equal(await slow('keep'), undefined);
  slow('back');
  assert.deepEqual([done, once.busy()], [['keep', 'back'], true]);
  waits[0]('kept');
  assert.equal(await first, 'kept');
  slow('keep');
  assert.deepEqual(done, ['keep', 'back', 'keep']);
  const failing = makeOnce();
  await assert.rejects(failing.run('x', async () => { throw new Error('no'); }), /no/);
  assert.equal(failing.busy(), false, 'nothing stays busy');
});

test('who has gone on is not where he was', () => {
  const steps = makeSteps();
  const [one, two] = [steps.here(), steps.here()];
  assert.deepEqual([one(), two()], [true, true]);
  steps.moved();
  assert.deepEqual([one(), two(), steps.here()()], [false, false, true]);
});
