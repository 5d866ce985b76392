import assert from 'node:assert/strict';
import { test } from 'node:test';
import { initial, reduce } from '../state.js';
import { goOnText, notedText } from '../view/broken.js';
import { sentences } from '../view/banner.js';
import { NO_WALKS, resting } from '../walks.js';
import { golden } from './golden.js';

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
