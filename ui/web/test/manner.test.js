import assert from 'node:assert/strict';
import { test } from 'node:test';
import { trouble } from '../format.js';
import { factGroups, seconds, standing, whole } from '../manner.js';
import { heard, initial, reduce } from '../state.js';
import { sentences } from '../view/banner.js';
import { keptOut } from '../view/stranger.js';
import { golden } from './golden.js';

const at = (message, ms) => ({ ...message, at_ms: ms });
const healthy = { type: 'health', scale: 'found', identity: 'the scale', problems: [], stranger: '' };
const weight = (change = {}) => ({ ...golden('weight'), age_ms: 0, ...change });
const state = (...messages) => [{ type: 'link', open: true }, healthy, ...messages].reduce((s, m) => reduce(s, at(m, 100)), initial());
const stands = (s, facts = null, nowMS = 150) => standing(s, heard(s, nowMS), facts);
const row = (name, s, facts) => factGroups(s, facts).flatMap((g) => g.rows).find((r) => r.name === name);

test('a weight stands still or moves', () => {
  assert.deepEqual(stands(state(weight({ still: true }))), { tone: 'still', word: 'Stands still', advice: '' });
  assert.equal(stands(state(weight({ still: false }))).tone, 'moving');
});

test('a scale whose mark of motion is worth nothing is said to be one', () => {
  const facts = golden('scale');
  const unmarked = { ...facts, manner: { ...facts.manner, unmarked: true } };
  const still = stands(state(weight({ still: true })), unmarked);
  assert.equal(still.word, 'Stands still');
  assert.match(still.advice, /calls itself moving all the time, so the bench judges by its noise/);
  assert.equal(stands(state(weight({ still: true })), facts).advice, '');
});

test('each trouble says what would bring the weight back', () => {
  for (const [name, say] of Object.entries({
    over: /^Take something off/, under: /pan in its place/, zero: /^Take everything off the pan: .* press zero/, firstZero: /^Take everything off the pan/,
    tare: /stands still/, count: /back to grams/, noValue: /look at what the scale itself shows/,
  })) {
    const how = stands(state(weight({ valid: false, trouble: name })));
    assert.equal(how.tone, 'trouble', name);
    assert.match(how.advice, say, name);
    assert.match(how.word, /^[A-Z]/, name);
  }
  assert.equal(trouble('a later one').word, 'no weight from the scale');
});

test('a silent scale may have switched itself off; one that was never there did not', () => {
  const lost = state({ ...healthy, scale: 'lost' }, weight({ valid: false, trouble: 'lost' }));
  assert.match(stands(lost).advice, /on key/);
  assert.match(stands(state({ ...healthy, scale: 'never' })).advice, /plugged in/);
  const gone = stands(lost, { ...golden('scale'), last_refused: null, absent: true });
  assert.equal(gone.word, 'The port is gone');
  assert.doesNotMatch(gone.advice, /key/, 'no key brings a cable back');
  assert.match(stands(reduce(lost, at({ type: 'link', open: false }, 200))).word, /bench can not be reached/);
});

test('lines that are refused just now are the reason', () => {
  const facts = { ...golden('scale'), last_refused: { age_ms: 400, bytes: '', reason: 'the scale changed its unit from g to oz: set it back on the scale' } };
  const s = state(weight({ still: true }));
  assert.match(stands(s, facts, 900).advice, /^The scale changed its unit from g to oz/);
  assert.equal(stands(s, facts, 150).tone, 'still', 'readings come all the same');
  assert.equal(stands(s, { ...facts, last_refused: { ...facts.last_refused, age_ms: 9000 } }, 900).tone, 'still');
  assert.match(stands({ ...s, health: { ...healthy, stranger: 'It shows 1 g steps.' } }).word, /Another scale/);
});

test('what is measured is said in words, with what it comes from', () => {
  const facts = golden('scale');
  const s = state();
  assert.equal(row('Rate', s, facts).value, '10 a second');
  assert.equal(row('Noise', s, facts).value, '0.041\u202fg');
  assert.equal(row('Noise', s, facts).note, 'from 9 stretches of stillness');
  assert.equal(row('Settles in', s, facts).value, '1.3\u202fs');
  assert.equal(row('Display', s, facts).value, 'runs 0.3\u202fs behind the pour');
  assert.equal(row('Port', s, facts).note, '9600 baud, 8n1');
  assert.equal(row('Step', s, facts).value, '0.1\u202fg');
  assert.equal(row('Readings', s, facts).value, '18\u202f240');
  assert.match(row('Refused', s, facts).note, /carriage return .*, 1\.0\u202fs ago/);
  assert.equal(row('Came back', s, facts).value, '2 times');
});

test('what is not measured is never made up', () => {
  const facts = golden('scale');
  const none = { ...facts, manner: { period_ms: 0, rate_per_s: 0, noise_g: 0, stills: 0, settle_ms: 0, lag_ms: 0, steps: 0, jumps: false } };
  for (const about of [none, null]) {
    for (const name of ['Rate', 'Noise', 'Settles in', 'Display']) {
      const r = row(name, state(), about);
      assert.equal(r.known, false, name);
      assert.match(r.value, /not measured yet/, name);
      assert.doesNotMatch(r.value + r.note, /\d/, name);
    }
  }
  const quiet = { ...none, manner: { ...none.manner, stills: 3 } };
  assert.equal(row('Noise', state(), quiet).value, 'less than its step shows');
  assert.match(row('Display', state(), { ...none, manner: { ...none.manner, steps: 4, jumps: true } }).value, /at once/);
  assert.equal(row('Port', reduce(initial(), { type: 'x' }), null).value, 'not known');
});

test('another unit is said', () => {
  assert.match(row('Step', state(), { ...golden('scale'), unit: 'oz' }).note, /shows oz/);
  assert.doesNotMatch(row('Step', state(), golden('scale')).note, /shows/);
});

test('the banner says everywhere what stays until somebody does something', () => {
  const zero = state(weight({ valid: false, trouble: 'zero' }));
  assert.deepEqual(sentences(zero, 150, 'bench'), [trouble('zero').advice]);
  assert.deepEqual(sentences(zero, 150, 'scale'), [], 'the place of the scale says it itself');
  assert.deepEqual(sentences(state(weight({ valid: false, trouble: 'over' })), 150, 'bench'), []);
  const pouring = state(golden('view_pour'), weight({ valid: false, trouble: 'over' }));
  assert.deepEqual(sentences(pouring, 150, 'bench'), [trouble('over').advice]);
  assert.deepEqual(sentences(state(golden('view_pour'), weight({ valid: false, trouble: 'tare' })), 150, 'bench'), [], 'it passes at once');
});

test('a scale in another unit can be kept as it is', () => {
  assert.deepEqual(keptOut(null), { kind: 'stranger', sentence: '' });
  assert.deepEqual(keptOut({ ...healthy, stranger: 'Another one.' }), { kind: 'stranger', sentence: 'Another one.' });
  const unit = { ...healthy, scale: 'lost', problems: ['It shows oz.'], other_unit: 'It shows oz.' };
  assert.deepEqual(keptOut(unit), { kind: 'unit', sentence: 'It shows oz.' });
  assert.equal(stands(state(unit)).word, 'Shows another unit');
  assert.deepEqual(sentences(state(unit), 150, 'scale'), [], 'the place of the scale says it itself');
  assert.deepEqual(sentences(state(unit), 150, 'bench'), ['It shows oz.']);
});

test('the place of the scale tells of a stranger itself', () => {
  const s = state({ ...healthy, scale: 'lost', problems: ['Another scale answers.', 'The disk is full.'], stranger: 'Another scale answers.' });
  assert.deepEqual(sentences(s, 150, 'bench'), ['Another scale answers.', 'The disk is full.']);
  assert.deepEqual(sentences(s, 150, 'scale'), ['The disk is full.']);
});

test('short times and large counts can be read', () => {
  assert.equal(seconds(50), '0.05\u202fs');
  assert.equal(seconds(1340), '1.3\u202fs');
  assert.deepEqual([0, 999, 1000, 1234567].map(whole), ['0', '999', '1\u202f000', '1\u202f234\u202f567']);
});
