// What the head says of the scale, and where it stands.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { cue } from '../format.js';
import { standing } from '../manner.js';
import { heard, initial, reduce } from '../state.js';
import { makeHeader } from '../view/header.js';
import { golden } from './golden.js';
import { slowBench, spread } from './paper.js';

spread();

const later = (state, ...messages) => messages.reduce((s, m) => reduce(s, { ...m, at_ms: 5000, unix_ms: 0 }), state);
const link = (open) => ({ type: 'link', open });
const health = (scale) => ({ ...golden('health'), scale });

function head() {
  const header = makeHeader(slowBench().rim, document.createElement('button'));
  return (state) => {
    header.update(state, 5000, 'bench');
    return [header.node.querySelector('.alive-text').textContent, header.node.querySelector('.dot').dataset.state];
  };
}

test('before anything came that could tell, no scale is called lost', () => {
  const says = head();
  const open = later(initial(), link(true));
  const waiting = ['waiting', 'waiting'];
  assert.deepEqual(says(initial()), waiting);
  assert.deepEqual(says(open), waiting);
  assert.deepEqual(says(later(open, golden('hello'), golden('view_pour'), health('found'))), waiting);
  assert.deepEqual(says(later(open, health('lost'))), ['scale lost', 'lost']);
  assert.deepEqual(says(later(open, golden('weight'))), ['scale live', 'live']);
  assert.deepEqual(says(later(open, { ...golden('weight'), trouble: 'lost', valid: false })), ['scale lost', 'lost']);
  assert.deepEqual(says(later(open, link(false))), ['no bench', 'lost']);
});

test('nor at the cup, nor at the place of the scale', () => {
  const open = later(initial(), link(true));
  const pouring = later(open, golden('view_pour'));
  assert.equal(cue(pouring.view, pouring.weight, heard(pouring, 5000)).word, 'Wait');
  const lost = later(pouring, health('lost'));
  assert.equal(cue(lost.view, lost.weight, heard(lost, 5000)).word, 'Stop pouring');
  assert.deepEqual([initial(), open].map((s) => standing(s, heard(s, 5000), null).word), ['Waiting for the bench', 'Waiting for the bench']);
  assert.equal(standing(lost, heard(lost, 5000), null).word, 'The scale can not be heard');
});

test('the places stand before the name, which comes later', () => {
  const header = makeHeader(slowBench().rim, document.createElement('button'));
  const [nav, station] = header.node.children;
  assert.deepEqual([nav.tagName, station.getAttribute('class')], ['NAV', 'station']);
  header.update(initial(), 0, 'bench');
  assert.equal(station.textContent, 'gramcup');
  header.update(later(initial(), golden('hello')), 0, 'bench');
  assert.equal(station.textContent, golden('hello').station);
});
