import assert from 'node:assert/strict';
import { test } from 'node:test';
import { emptyTrail, follow, TRAIL_MS, trailPicture } from '../trail.js';

const state = (t, g, still = false) => ({ readingAtMS: t, weight: { valid: g !== null, shown_g: g ?? 0, still } });
const fed = (list) => list.reduce((trail, [t, g, still]) => follow(trail, state(t, g, still)), emptyTrail());
const numbers = (d) => d.match(/-?\d+(\.\d+)?/g).map(Number);

test('a minute is remembered and no more, however fast the scale', () => {
  let trail = emptyTrail();
  for (let t = 0; t < 3 * TRAIL_MS; t += 12) trail = follow(trail, state(t, t / 1000));
  assert.ok(trail.points.length <= TRAIL_MS / 60 + 2, `${trail.points.length} points`);
  assert.ok(trail.points.length > 500);
  assert.ok(trail.points[0].t >= 2 * TRAIL_MS - 100);
  assert.equal(trail.points.at(-1).t, 3 * TRAIL_MS - 12, 'the newest is never left out');
});

test('what is not new changes nothing', () => {
  const trail = fed([[100, 1], [200, 2]]);
  assert.equal(follow(trail, state(200, 2)), trail);
  assert.equal(follow(trail, state(150, 9)), trail, 'an older one');
  assert.equal(follow(trail, { readingAtMS: null, weight: null }), trail);
});

test('the line runs from a minute ago to now, up for more weight', () => {
  const trail = fed([[0, 0], [2000, 50], [4000, 100, true]]);
  const p = trailPicture(trail, 4000, 0.1, 600, 150);
  const [x0, y0, x1, y1, x2, y2] = numbers(p.d);
  assert.ok(x0 < x1 && x1 < x2 && x2 <= 600 && x2 > 580);
  assert.ok(y0 > y1 && y1 > y2, 'SVG counts downwards');
  assert.ok(Math.abs((x2 - x0) - 600 * 4000 / TRAIL_MS) < 2);
  assert.ok(p.low < 0 && p.high > 100);
  assert.deepEqual([p.head.x.toFixed(1), p.head.y.toFixed(1)], [x2.toFixed(1), y2.toFixed(1)]);
});

test('silence and readings without a weight leave gaps', () => {
  const pieces = (list) => trailPicture(fed(list), 9000, 0.1, 600, 150).d.match(/M/g).length;
  assert.equal(pieces([[0, 1], [500, 1], [1000, 1]]), 1);
  assert.equal(pieces([[0, 1], [500, 1], [4000, 1], [4500, 1]]), 2);
  assert.equal(pieces([[0, 1], [500, null], [1000, 1], [1100, 1]]), 2);
  assert.equal(trailPicture(fed([[0, 1], [500, 1]]), 9000, 0.1, 600, 150).head, null, 'nothing is there now');
});

test('the band is one division around where it last stood still', () => {
  const p = trailPicture(fed([[0, 20, true], [200, 20.1, true], [400, 20.3, false]]), 400, 0.1, 600, 150);
  const perGram = 150 / (p.high - p.low);
  assert.ok(Math.abs(p.band.height - 0.1 * perGram) < 1e-6);
  const middle = p.band.y + p.band.height / 2;
  assert.ok(Math.abs(middle - (p.high - 20.1) * perGram) < 1e-6);
  assert.equal(trailPicture(fed([[0, 1], [200, 2]]), 300, 0.1, 600, 150).band, null, 'it never stood still');
  assert.equal(trailPicture(fed([[0, 1, true], [200, 2]]), 300, 0, 600, 150).band, null, 'no division is known');
  assert.ok(trailPicture(fed([[0, 0, true], [200, 5000]]), 300, 0.1, 600, 150).band.height >= 2, 'it is always seen');
});

test('a flicker of one division does not look like a storm', () => {
  const p = trailPicture(fed([[0, 20], [200, 20.1], [400, 20]]), 400, 0.1, 600, 150);
  assert.ok(p.high - p.low >= 1.2 - 1e-9);
  assert.equal(trailPicture(emptyTrail(), 0, 0.1, 600, 150), null);
  assert.equal(trailPicture(fed([[0, 5]]), 10, 0.1, 600, 150), null, 'one point is no line');
});
