import assert from 'node:assert/strict';
import { test } from 'node:test';
import { initial, reduce } from '../state.js';
import { goOnText, notedText } from '../view/broken.js';
import { makeBanner, sentences } from '../view/banner.js';
import { makeWalkWatch, NO_WALKS, resting } from '../walks.js';
import { golden } from './golden.js';
import { guard, slowBench, spread } from './paper.js';

spread();

const at = (message, ms) => ({ ...message, at_ms: ms });
const open = reduce(initial(), { type: 'link', open: true, at_ms: 0 });
const cut = (state) => reduce(state, { type: 'link', open: false, at_ms: 1000 });
const density = { kind: 'density', place: 'shelf', what: 'the measuring of the density of Quay hardener', said: 'The measuring of the density of Quay hardener was broken off.', done: false };

test('a bench that can not be reached is said to keep what is under way there, and nothing else', () => {
  const walks = { ...NO_WALKS, going: [density] };
  assert.deepEqual(sentences(cut(open), 9000), ['The bench can not be reached. This page is trying again.']);
  assert.deepEqual(sentences(cut(open), 9000, 'shelf', walks), ['The bench can not be reached. What the measuring of the density of Quay hardener has noted is kept there; this page is trying again.']);
  const pouring = reduce(open, at(golden('view_pour'), 100));
  assert.deepEqual(sentences(cut(pouring), 9000, 'shelf', walks), ['The bench can not be reached. The batch is safe there; this page is trying again.']);
});

test('what was broken off is said at every other place, and not over a batch', () => {
  const walks = { ...NO_WALKS, broken: [density], going: [{ kind: 'check', place: 'scale', what: 'the check of the scale', said: 'The check of the scale is finished and waits to be kept.', done: true }] };
  assert.deepEqual(resting(open, walks, 'bench').map((n) => `${n.text} ${n.way}`), [
    'The measuring of the density of Quay hardener was broken off. Go to Shelf',
    'The check of the scale is finished and waits to be kept. Go to Scale']);
  assert.deepEqual(resting(open, walks, 'shelf').map((n) => n.place), ['scale']);
  assert.deepEqual(resting(open, { ...NO_WALKS, going: [density] }, 'bench'), [], 'what is under way is not broken off');
  assert.deepEqual(resting(reduce(open, at(golden('view_pour'), 100)), walks, 'bench'), []);
});

test('a disk that does not keep what was weighed is said', () => {
  assert.deepEqual(sentences(open, 9000, 'shelf', { ...NO_WALKS, unkept: 'What was weighed could not be written down yet.' }), ['What was weighed could not be written down yet.']);
});

test('the card says when it noted something last, and what is decided by going on', () => {
  const broken = { noted_unix_ms: new Date(2026, 10, 26, 14, 5).getTime(), ago_text: '12 minutes ago', asks: '' };
  assert.equal(notedText(broken), 'Last noted 2026-11-26 14:05, 12 minutes ago.');
  assert.equal(notedText({ ...broken, ago_text: '' }), 'Last noted 2026-11-26 14:05.');
  assert.equal(goOnText(broken), 'The pan is empty: go on');
  assert.equal(goOnText({ ...broken, asks: 'Another scale answers now.' }), 'The pan is empty: go on all the same');
});

test('the walks are asked for at once, before the stream is open, and again as soon as it is', async () => {
  const b = slowBench();
  const watch = makeWalkWatch(b.rim);
  watch.update(initial(), b.ms);
  await b.on('/api/walks').lose();
  b.ms += 16;
  watch.update(initial(), b.ms);
  assert.equal(b.asked.length, 0);
  watch.update(open, b.ms);
  await b.on('/api/walks').answer({ going: [], broken: [density], unkept: '' });
  assert.deepEqual(watch.now().broken, [density]);
});

test('an answer that was overtaken lets no place begin', async () => {
  const b = slowBench();
  const watch = makeWalkWatch(b.rim);
  watch.update(initial(), b.ms);
  const [first] = b.asked;
  watch.update(open, b.ms + 16);
  assert.equal(b.asked.length, 1, 'what is on its way is not asked for twice');
  let came = false;
  watch.withKnown(async () => 'shelf')().then(() => { came = true; });
  watch.update(open, b.ms + 3016);
  const idle = reduce(open, at({ ...golden('view_pour'), batch: '', state: 'idle' }, 100));
  await first.answer({ going: [], broken: [], unkept: '' });
  watch.update(idle, b.ms + 3032);
  await b.settle();
  assert.equal(came, false);
  await b.on('/api/walks').answer({ going: [], broken: [density], unkept: '' });
  watch.update(idle, b.ms + 3048);
  await b.settle();
  assert.deepEqual([came, watch.now().broken], [true, [density]]);
});

test('what a place asks for comes to it after what is known of walks and of a batch, and after two seconds all the same', async () => {
  const viewed = reduce(open, at(golden('view_pour'), 100));
  const place = async () => {
    const b = slowBench();
    const watch = makeWalkWatch(b.rim);
    watch.update(initial(), b.ms);
    const p = { b, watch, came: false };
    watch.withKnown(b.rim.fetch)('/api/shelf').then(() => { p.came = true; });
    await b.on('/api/shelf').answer({ recipes: [] });
    assert.equal(p.came, false);
    return p;
  };
  const told = await place();
  await told.b.on('/api/walks').answer({ going: [], broken: [density], unkept: '' });
  told.watch.update(open, told.b.ms);
  await told.b.settle();
  assert.equal(told.came, false, 'whether a batch is mixed is not known yet');
  told.watch.update(viewed, told.b.ms);
  await told.b.settle();
  assert.equal(told.came, true);
  const slow = await place();
  await slow.b.pass(2000);
  assert.equal(slow.came, true);
  const b = slowBench();
  const lost = makeWalkWatch(b.rim).withKnown(b.rim.fetch)('/api/shelf');
  await Promise.all([assert.rejects(lost, /no network/), b.on('/api/shelf').lose()]);
});

test('a line that comes or goes passes presses over for a moment, one that stays does not, also while the bench is not reached', () => {
  let moved = 0;
  const banner = makeBanner({ ...guard, changed: () => { moved++; } });
  const [, rests] = banner.nodes;
  const see = (state, walks) => {
    moved = 0;
    banner.update(state, 100, 'bench', walks);
    return [rests.hidden, moved];
  };
  const walks = { ...NO_WALKS, broken: [density] };
  const idle = reduce(open, at({ ...golden('view_pour'), batch: '', state: 'idle' }, 100));
  see(idle, NO_WALKS);
  assert.deepEqual(see(open, walks), [true, 0], 'a batch may be mixed: that is not known yet');
  assert.deepEqual(see(idle, walks), [false, 1]);
  assert.equal(rests.textContent, 'The measuring of the density of Quay hardener was broken off.Go to Shelf ›');
  assert.deepEqual(see(idle, walks), [false, 0]);
  assert.deepEqual(see(cut(idle), walks), [false, 0]);
  assert.deepEqual(see(idle, NO_WALKS), [true, 1]);
});
