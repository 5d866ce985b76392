import assert from 'node:assert/strict';
import { test } from 'node:test';
import { chosenCup, cupChoices, cupOffers, cupSteps, markText, notedText } from '../cups.js';

const cups = [{ id: 'cup-1', name: 'Blue tub', top_ml: 361.4 }, { id: 'cup-2', name: 'White beaker', top_ml: 95 }];
const filling = { step: 'fill', noted_g: 0, noted_ml: 0, waits: '', still: true, height_mm: 60, levels: [{ height_mm: 30, ml: 100.2 }], enough: false };

test('a cup by its size stands before the measured ones', () => {
  assert.deepEqual(cupChoices(cups), [['', 'Round, by its size'], ['cup-1', 'Blue tub, 361 ml'], ['cup-2', 'White beaker, 95 ml']]);
});

test('a cup that is off the list is chosen no more', () => {
  assert.equal(chosenCup('cup-2', cups), 'cup-2');
  assert.equal(chosenCup('cup-2', cups.slice(0, 1)), '');
  assert.equal(chosenCup('', cups), '');
});

test('a mark says how well it stands, rounded up, or that there is none', () => {
  assert.deepEqual(markText({ mark_mm: 61.84, mark_expanded_u_mm: 0.712 }), ['61.8\u202fmm', '±\u202f0.8']);
  assert.deepEqual(markText({ mark_mm: 35.245, mark_expanded_u_mm: 0 }), ['35.2\u202fmm', '']);
  assert.deepEqual(markText({ mark_mm: 0, mark_expanded_u_mm: 0 }), ['–', '']);
});

test('a filling that is noted is said in grams and millilitres', () => {
  assert.equal(notedText({ ...filling, noted_g: 230, noted_ml: 230.41 }, 1), '230.0\u202fg of water, that is 230.4\u202fml');
  assert.equal(notedText(filling, 1), 'stands still');
  assert.equal(notedText({ ...filling, still: false }, 1), 'moves');
  assert.equal(notedText({ ...filling, waits: 'The scale is lost.' }, 1), '');
});

test('what can be pressed follows the walk', () => {
  const verbs = (w, confirm = '') => cupOffers(w, confirm).map(([verb]) => verb);
  assert.deepEqual(verbs({ ...filling, step: 'cup', levels: [] }), ['cancel']);
  assert.deepEqual(verbs({ ...filling, levels: [] }), ['back', 'cancel']);
  assert.deepEqual(verbs(filling), ['back', 'again', 'cancel']);
  assert.deepEqual(cupOffers({ ...filling, noted_g: 230 }, '')[0], ['next', 'It stands at 60 mm: take it', 'start']);
  assert.deepEqual(verbs({ ...filling, noted_g: 230, enough: true }), ['next', 'enough', 'back', 'again', 'cancel']);
  assert.equal(cupOffers(filling, '')[0][1], 'Take 30 mm back');
  assert.deepEqual(verbs({ ...filling, step: 'done', enough: true }), ['keep', 'back', 'again', 'cancel']);
  for (const asked of ['cancel', 'again', 'next']) assert.equal(verbs(filling, asked)[0], 'no', 'the way that loses nothing comes first');
});

test('the heights stand as steps', () => {
  assert.deepEqual(cupSteps(filling), [{ text: 'empty cup', how: 'past' }, { text: '30 mm', how: 'past' }, { text: '60 mm', how: 'now' }]);
  assert.deepEqual(cupSteps({ ...filling, step: 'cup', levels: [] }), [{ text: 'empty cup', how: 'now' }]);
});
