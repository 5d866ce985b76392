import assert from 'node:assert/strict';
import { test } from 'node:test';
import { approach, frustum, spread, stack, tracePath } from '../geometry.js';
import { golden } from './golden.js';

const near = (got, want, eps, what) => assert.ok(Math.abs(got - want) <= eps, `${what}: got ${got}, want ${want}`);

// The volume under a height, by slices: a second way to the same number.
function volumeBySlices(cup, height, slices = 20000) {
  let sum = 0;
  for (let i = 0; i < slices; i++) sum += cup.radiusAt(((i + 0.5) / slices) * height) ** 2;
  return (sum * Math.PI * height) / slices;
}

test('a level stands where its volume fills a tapered cup', () => {
  const cup = frustum(1000, 92, 124, 372);
  const full = volumeBySlices(cup, 372);
  for (const volume of [1, 60, 250, 500, 999, 1000]) {
    near(volumeBySlices(cup, cup.heightAt(volume)) / full, volume / 1000, 1e-6, `${volume} ml`);
  }
});

test('a straight cup fills evenly and no level leaves the cup', () => {
  const cup = frustum(800, 100, 100, 400);
  near(cup.heightAt(200), 100, 1e-9, 'quarter');
  assert.equal(cup.heightAt(900), 400);
  assert.equal(cup.heightAt(-5), 0);
});

test('layers stand at their true volumes, the live one on top', () => {
  const s = stack(golden('view_pour'), 53.5);
  assert.equal(s.unit, 'ml');
  assert.deepEqual(s.layers.map((l) => [l.index, l.live]), [[0, false], [1, true]]);
  near(s.layers[0].to, 568.3 / 1.42, 1e-9, 'base');
  near(s.layers[1].to - s.layers[1].from, 50, 1e-9, 'hardener');
  near(s.line.at, 568.3 / 1.42 + 100, 1e-9, 'line');
  near(s.line.high - s.line.at, 3.21 / 1.07, 1e-9, 'tolerance');
  assert.deepEqual(s.marks.map((m) => m.index), [2]);
  near(s.marks[0].at, 568.3 / 1.42 + 200, 1e-9, 'mark');
});

test('the liquid meets the line exactly when nothing is to go', () => {
  const s = stack(golden('view_pour'), 107);
  near(s.top, s.line.at, 1e-9, 'top');
});

test('a top-up stands on top of all that is in the cup', () => {
  const view = golden('view_complete');
  view.current = 0;
  view.components[0].target_g = 602.4;
  view.components[2].poured_g = 0;
  const s = stack(view, 590);
  assert.deepEqual(s.layers.map((l) => l.index), [0, 1, 0]);
  near(s.layers[2].to - s.layers[2].from, (590 - 568.3) / 1.42, 1e-9, 'top-up');
  near(s.line.at, 602.4 / 1.42 + 107.1 / 1.07, 1e-9, 'line');
});

test('an amount below nothing draws nothing, and without a live amount only what was accepted is drawn', () => {
  assert.equal(stack(golden('view_pour'), -31.4).layers.length, 1);
  assert.equal(stack(golden('view_pour'), null).layers.length, 1);
});

test('where a density is not known the drawing is by weight', () => {
  const view = golden('view_pour');
  view.components[2].density_g_ml = 0;
  const s = stack(view, 50);
  assert.equal(s.unit, 'g');
  near(s.line.at, 568.3 + 107, 1e-9, 'line');
  assert.equal(s.usable, 0);
});

test('the usable volume is drawn where it helps, and always when it is passed', () => {
  const view = golden('view_pour');
  assert.equal(stack(view, 0).usable, 1100);
  view.cup_usable_ml = 5000;
  const small = stack(view, 0);
  assert.equal(small.usable, 0);
  assert.ok(small.capacity < 1000 && small.capacity > 600);
  view.cup_usable_ml = 500;
  const over = stack(view, 0);
  assert.equal(over.usable, 500);
  assert.ok(over.capacity > 600);
});

test('everything fits the drawing', () => {
  for (const name of ['view_pour', 'view_decide', 'view_held', 'view_complete']) {
    for (const usable of [0, 100, 700, 1100, 9000]) {
      for (const amount of [null, 0, 50, 107, 500]) {
        const s = stack({ ...golden(name), cup_usable_ml: usable }, amount);
        const most = Math.max(s.top, s.line === null ? 0 : s.line.high, ...s.marks.map((m) => m.at));
        assert.ok(s.capacity > most, `${name} ${usable} ${amount}`);
      }
    }
  }
});

test('as poured has no line and the cup grows in steps', () => {
  const view = golden('view_pour');
  view.cup_usable_ml = 0;
  view.current = 0;
  for (const c of view.components) Object.assign(c, { target_g: 0, poured_g: 0 });
  const s = stack(view, 100);
  assert.equal(s.line, null);
  assert.deepEqual(s.marks, []);
  assert.equal(s.capacity, stack(view, 150).capacity);
  assert.ok(stack(view, 400).capacity > s.capacity);
});

test('labels keep apart, in order, and stay inside where there is room', () => {
  const out = spread([100, 102, 101, 300], 40, 20, 400);
  const sorted = [...out].sort((a, b) => a - b);
  for (let i = 1; i < sorted.length; i++) assert.ok(sorted[i] - sorted[i - 1] >= 40 - 1e-9);
  assert.ok(out[0] < out[2] && out[2] < out[1] && out[1] < out[3]);
  assert.deepEqual(spread([390, 395], 40, 20, 400), [360, 400]);
  assert.deepEqual(spread([50, 200], 40, 20, 400), [50, 200]);
  assert.deepEqual(spread([], 40, 20, 400), []);
});

test('the drawn level reaches the real one and never passes it', () => {
  let level = 0;
  for (let ms = 0; ms < 1000; ms += 16) {
    const next = approach(level, 100, 16);
    assert.ok(next >= level && next <= 100);
    level = next;
  }
  assert.equal(level, 100);
});

test('a trace becomes a path in its box', () => {
  assert.equal(tracePath([], 10, 10), '');
  assert.equal(tracePath([{ t: 0, g: 0 }, { t: 5, g: 10 }, { t: 10, g: -3 }], 100, 50), 'M0.0 50.0L50.0 0.0L100.0 50.0');
});
