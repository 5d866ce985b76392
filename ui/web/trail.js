// The last minute of the weight as a thin line. Pure: the time comes with each
// call, and the page is not touched here.

/** How long the line remembers. */
export const TRAIL_MS = 60000;
// Readings closer together than this become one point: a screen has no more
// than a thousand columns for them.
const POINT_MS = 60;
// A silence longer than this leaves a gap in the line.
const GAP_MS = 2500;
// The picture never shows less than this many divisions, so that a scale that
// flickers by one does not look like a storm.
const LEAST_DIVISIONS = 12;
const HEAD_ROOM = 0.985;

/** An empty trail: points of {t, g} in order, g null where there is no weight, and the weight that last stood still. */
export function emptyTrail() {
  return { points: [], restG: null };
}

/** The trail with what a state of the page says now; the same trail where nothing is new. */
export function follow(trail, state) {
  const { weight, readingAtMS } = state;
  const last = trail.points.at(-1);
  if (weight === null || readingAtMS === null) return trail;
  const g = weight.valid ? weight.shown_g : null;
  if (last !== undefined && (readingAtMS < last.t || (readingAtMS === last.t && g === last.g))) return trail;
  const kept = trail.points.filter((p) => p.t > readingAtMS - TRAIL_MS);
  const before = kept.at(-2);
  if (before !== undefined && last.t - before.t < POINT_MS && (last.g === null) === (before.g === null)) kept.pop();
  kept.push({ t: readingAtMS, g });
  return { points: kept, restG: g !== null && weight.still ? g : trail.restG };
}

/**
 * What to draw of a trail at a time, in a box: the line as a path, where its
 * head is ({x, y} or null), the band of one division around the weight that
 * last stood still ({y, height} or null), and the weights at the box's edges.
 * Null where there is nothing to draw. The head stays whole: now is a little
 * before the right edge.
 */
export function trailPicture(trail, nowMS, divisionG, width, height) {
  const seen = trail.points.filter((p) => p.t > nowMS - TRAIL_MS);
  const weights = seen.filter((p) => p.g !== null).map((p) => p.g);
  if (weights.length < 2) return null;
  const { low, high } = edges(weights, trail.restG, divisionG);
  const x = (t) => width * HEAD_ROOM * (1 - (nowMS - t) / TRAIL_MS);
  const y = (g) => height * (1 - (g - low) / (high - low));
  let d = '';
  let before = null;
  for (const p of seen) {
    if (p.g !== null) d += `${before === null || p.t - before > GAP_MS ? 'M' : 'L'}${x(p.t).toFixed(1)} ${y(p.g).toFixed(1)}`;
    before = p.g === null ? null : p.t;
  }
  const head = seen.at(-1);
  return {
    d, low, high,
    head: head.g === null || nowMS - head.t > GAP_MS ? null : { x: x(head.t), y: y(head.g) },
    band: trail.restG === null || !(divisionG > 0) ? null : band(y, trail.restG, divisionG),
  };
}

function edges(weights, restG, divisionG) {
  const all = restG === null ? weights : [...weights, restG];
  const low = Math.min(...all);
  const high = Math.max(...all);
  const least = LEAST_DIVISIONS * (divisionG > 0 ? divisionG : 0.1);
  const span = Math.max((high - low) * 1.16, least);
  const middle = (low + high) / 2;
  return { low: middle - span / 2, high: middle + span / 2 };
}

// Two pixels of it are always seen, however far the weight went.
function band(y, restG, divisionG) {
  const top = y(restG + divisionG / 2);
  const tall = Math.max(2, y(restG - divisionG / 2) - top);
  return { y: y(restG) - tall / 2, height: tall };
}
