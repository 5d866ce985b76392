// The cup in section. Pure: volumes in, heights out. A cup is a frustum: the
// height of a layer follows from its true volume, so that the drawing stands
// where the paint stands in a real tapered cup.

/**
 * A tapered cup of a capacity, with bottom and top radius and height in any
 * unit of length. heightAt gives the level of a volume, radiusAt the inner
 * radius at a height. What is more than the capacity stands at the rim.
 */
export function frustum(capacity, bottom, top, height) {
  const slope = (top - bottom) / height;
  const cubes = top ** 3 - bottom ** 3;
  return {
    radiusAt: (h) => bottom + slope * h,
    heightAt(volume) {
      const share = Math.min(1, Math.max(0, volume / capacity));
      if (Math.abs(slope) < 1e-9) return share * height;
      return (Math.cbrt(bottom ** 3 + share * cubes) - bottom) / slope;
    },
  };
}

// As poured has no plan to size the cup by, so the drawing grows in steps.
const STEPS_ML = [250, 500, 1000, 2000, 5000, 10000, 30000, 100000];

/**
 * What stands in the cup and where it shall go: layers from the bottom up,
 * marks for every line to come, and the line that is poured to now. amountG is
 * the live amount of the current component, or null to draw only what was
 * accepted. The unit is ml; where a density is not known it is g, because no
 * density is ever assumed, and the drawing must say so.
 */
export function stack(view, amountG) {
  const unit = view.components.every((c) => c.density_g_ml > 0) ? 'ml' : 'g';
  const size = (c, g) => (unit === 'ml' ? g / c.density_g_ml : g);
  const layers = [];
  let level = 0;
  const lay = (index, amount, live) => {
    if (!(amount > 0)) return;
    const c = view.components[index];
    layers.push({ index, role: c.role, from: level, to: level + amount, live });
    level += amount;
  };
  view.components.forEach((c, i) => lay(i, size(c, c.poured_g), false));
  const accepted = level;
  const current = view.components[view.current];
  if (amountG !== null && current !== undefined) {
    lay(view.current, Math.max(0, size(current, amountG - current.poured_g)), true);
  }
  const line = lineOf(view, accepted, size);
  const marks = marksOf(view, line, accepted, size);
  const need = Math.max(level, line === null ? 0 : line.high, ...marks.map((m) => m.at));
  return { unit, layers, top: level, line, marks, ...cupFor(view, unit, need) };
}

// The line stands on top of all else in the cup: whatever was accepted of the
// other components, and the target of this one.
function lineOf(view, accepted, size) {
  const c = view.components[view.current];
  if (c === undefined || !(c.target_g > 0)) return null;
  const others = accepted - size(c, c.poured_g);
  const at = others + size(c, c.target_g);
  const tolerance = size(c, c.tolerance_g);
  return { index: view.current, at, low: Math.max(0, at - tolerance), high: at + tolerance };
}

// The lines of the components that follow, each on top of the one before.
function marksOf(view, line, accepted, size) {
  if (line === null) return [];
  const marks = [];
  let at = line.at;
  view.components.forEach((c, i) => {
    if (i === view.current || c.poured_g > 0 || !(c.target_g > 0)) return;
    at += size(c, c.target_g);
    marks.push({ index: i, at });
  });
  return marks;
}

// The usable volume of the shop's cup is drawn where it helps; where the mix
// is far smaller, the drawing shows a smaller cup, so that layers can be seen.
function cupFor(view, unit, need) {
  const usable = unit === 'ml' ? view.cup_usable_ml : 0;
  const planned = view.components.length > 0 && view.components.every((c) => c.target_g > 0);
  if (usable > 0 && need > usable) return { capacity: need * 1.1, usable };
  if (usable > 0 && (!planned || usable < need * 1.9)) return { capacity: usable * 1.06, usable };
  if (planned) return { capacity: Math.max(need, 1) * 1.3, usable: 0 };
  return { capacity: STEPS_ML.find((s) => s > need * 1.15) ?? need * 1.3, usable: 0 };
}

/**
 * Moves labels apart so that none covers another: wanted positions in, in any
 * order, positions out, at least gap apart and between low and high as far as
 * there is room, each as near to its place as its neighbours let it.
 */
export function spread(wanted, gap, low, high) {
  const order = wanted.map((at, i) => ({ at, i })).sort((a, b) => a.at - b.at || a.i - b.i);
  let floor = low;
  for (const label of order) {
    label.at = Math.max(label.at, floor);
    floor = label.at + gap;
  }
  let ceiling = high;
  for (const label of order.reverse()) {
    label.at = Math.min(label.at, ceiling);
    ceiling = label.at - gap;
  }
  const out = [];
  for (const label of order) out[label.i] = label.at;
  return out;
}

/**
 * One step of the drawn level towards the real one: most of the way in a tenth
 * of a second, and exactly there when nearly there.
 */
export function approach(drawn, real, elapsedMS) {
  const next = real + (drawn - real) * Math.exp(-elapsedMS / 60);
  return Math.abs(next - real) < 0.02 ? real : next;
}

/** Points of a trace as a path in a box, from {t, g} in order of time. */
export function tracePath(points, width, height) {
  if (points.length < 2) return '';
  const t0 = points[0].t;
  const span = Math.max(1, points[points.length - 1].t - t0);
  const top = Math.max(1e-9, ...points.map((p) => p.g));
  const xy = points.map((p) => {
    const x = ((p.t - t0) / span) * width;
    const y = height - (Math.max(0, p.g) / top) * height;
    return `${x.toFixed(1)} ${y.toFixed(1)}`;
  });
  return 'M' + xy.join('L');
}
