// Answers that come late or swapped at the other places of the page.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { initial, reduce } from '../state.js';
import { makeBench } from '../view/bench.js';
import { makeBook } from '../view/book.js';
import { makeFooter } from '../view/footer.js';
import { makeLines } from '../view/lines.js';
import { makeSound } from '../view/sound.js';
import { makeStranger } from '../view/stranger.js';
import { golden } from './golden.js';
import { guard, slowBench, spread } from './paper.js';

spread();

test('the book that could not be read is asked for again, and an older refusal says nothing', async () => {
  const b = slowBench();
  const book = makeBook(b.rim);
  const said = () => book.node.querySelector('.sentence').textContent;
  book.open();
  const older = b.on('/api/book');
  book.open();
  await b.asked.find((a) => a !== older).answer({ batches: [] });
  await older.lose();
  assert.match(said(), /first batch/);
  book.open();
  await b.on('/api/book').lose();
  assert.match(said(), /could not be reached. Asking again/);
  await b.pass(3000);
  await b.on('/api/book').answer({ batches: [] });
  assert.match(said(), /first batch/);
});

test('a jug that is tipped again before the answer pours once', async () => {
  const b = slowBench();
  const footer = makeFooter(makeCommands(b.rim), guard, b.rim);
  const hold = footer.node.querySelector('[data-demo="tip-14"]');
  hold.fire('pointerdown');
  hold.fire('pointerup');
  hold.fire('pointerdown');
  await b.settle();
  while (b.asked.length > 0) await b.asked[0].answer({ ok: true });
  await b.pass(200);
  assert.equal(b.asked.length, 1);
});

test('an older answer says nothing of whose hand pours', async () => {
  const b = slowBench();
  const footer = makeFooter(makeCommands(b.rim), guard, b.rim);
  for (const verb of ['pour', 'pause']) footer.node.querySelector(`[data-demo="${verb}"]`).fire('click');
  await b.on('/api/demo', 'pause').answer({ ok: true });
  await b.on('/api/demo', 'pour').answer({ ok: true });
  assert.equal(footer.node.querySelector('.demo-hand').textContent, 'you pour');
});

test('a scale that is being taken on says so, is taken on once, and a refusal goes with what it was about', async () => {
  const b = slowBench();
  const place = makeStranger(b.rim, makeCommands(b.rim), guard);
  const see = (stranger) => place.update({ stranger }, b.ms);
  const press = async (selector) => {
    place.node.querySelector(selector).fire('click');
    await b.settle();
    see('It shows 1 g steps.');
  };
  see('It shows 1 g steps.');
  await press('.stranger-take');
  await press('.yes');
  const take = place.node.querySelector('.stranger-take');
  assert.deepEqual([take.textContent, take.disabled], ['One moment …', true]);
  await b.asked[0].answer({ ok: false, sentence: 'Look again.' }, 409);
  see('It shows 1 g steps.');
  assert.match(place.node.textContent, /Look again\./);
  assert.equal(place.node.querySelector('.stranger-take').disabled, false);
  see('');
  assert.ok(place.node.hidden, 'nothing is said of a scale that is gone');
});

test('lines that are on their way when the view is told to stand still do not come in', async () => {
  const b = slowBench();
  const lines = makeLines(b.rim, guard);
  lines.open(true);
  lines.update(b.ms);
  lines.node.querySelector('.lines-hold').fire('click');
  await b.on('/api/scale/lines').answer({ next: 1, missed: false, lines: [{ at_ms: 0, bytes: '', kind: 'read' }] });
  assert.equal(lines.node.querySelectorAll('.line').length, 0);
});

test('sound that is turned off again while it wakes up stays off', async () => {
  let wake;
  globalThis.AudioContext = class {
    state = 'suspended';
    resume() { return new Promise((done) => { wake = () => { this.state = 'running'; done(); }; }); }
  };
  const { button } = makeSound(guard);
  button.fire('click');
  button.fire('click');
  wake();
  await new Promise((done) => { setImmediate(done); });
  assert.equal(button.getAttribute('aria-pressed'), 'false');
});

test('the same decision pressed again while it is on its way is sent once', async () => {
  const b = slowBench();
  const bench = makeBench({ ...b.rim, reducedMotion: () => true }, makeCommands(b.rim), guard);
  const state = [golden('hello'), golden('view_pour')].reduce((s, m) => reduce(s, { ...m, at_ms: b.ms, unix_ms: 0 }), initial());
  bench.update(state, b.ms);
  const hold = bench.node.querySelector('[data-do="hold"]');
  hold.fire('click');
  hold.fire('click');
  bench.hold(state);
  await b.settle();
  assert.equal(b.asked.filter((a) => a.body?.do === 'hold').length, 1);
  await b.on('/api/command', 'hold').answer({ ok: false, code: 'stale', sentence: 'Look again.' }, 409);
  assert.equal(bench.node.querySelector('.notice').textContent, 'Look again.');
  hold.fire('click');
  await b.settle();
  b.on('/api/command', 'hold');
});
