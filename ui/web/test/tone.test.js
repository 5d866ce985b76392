import assert from 'node:assert/strict';
import { test } from 'node:test';
import { sound } from '../tone.js';

test('pitch rises and blips come faster as the line comes near', () => {
  let before = sound('pour', 34, 100);
  assert.equal(before.kind, 'blip');
  for (const left of [25, 15, 8, 3, 0]) {
    const now = sound('ease', left, 100);
    assert.ok(now.hz > before.hz && now.everyMS < before.everyMS, `${left}`);
    before = now;
  }
  assert.equal(sound('stop', 12, 100).hz, before.hz);
});

test('far from the line, and where there is none, it is silent', () => {
  assert.equal(sound('pour', 90, 100).kind, 'silent');
  assert.equal(sound('pour', 0, 0).kind, 'silent');
  assert.equal(sound('wait', 5, 100).kind, 'silent');
  assert.equal(sound('none', 5, 100).kind, 'silent');
});

test('on, past and lost are said once each in their own way', () => {
  for (const tone of ['on', 'past', 'lost']) assert.equal(sound(tone, 0, 100).kind, tone);
});
