// What the check of the scale works with. Pure.

import { decimal, signedGrams } from './format.js';

/** How far out of the band a dot may be drawn, in limits. */
export const MOST = 2;

/** How many decimals a step has: 0.1 g one, 1 g none, 0.05 g two. */
export function decimalsOf(stepG) {
  if (!(stepG > 0)) return 1;
  const [, fraction = ''] = stepG.toFixed(6).replace(/0+$/, '').split('.');
  return fraction.length;
}

/** What a place of a reading is called. */
export function placeText(place) {
  return { empty: 'empty', middle: 'middle', front: 'front', right: 'right', back: 'back', left: 'left' }[place] ?? place;
}

/**
 * The readings as dots: at 0 to 1 from left to right, off from -MOST to MOST
 * in limits of their own kind, how "in", "out" or, for a corner that is not
 * judged, "noted".
 */
export function dots(walk) {
  const sided = (r) => !['empty', 'middle'].includes(r.place);
  return walk.readings.map((r, i) => {
    const limit = r.place === 'empty' ? walk.zero_limit_g : walk.limit_g;
    const ratio = limit > 0 ? (r.shown_g - r.expected_g) / limit : 0;
    return {
      at: (i + 0.5) / walk.of,
      off: Math.max(-MOST, Math.min(MOST, ratio)),
      cut: Math.abs(ratio) > MOST,
      kind: r.place === 'empty' ? 'empty' : 'weight',
      how: sided(r) && walk.corners_note !== '' ? 'noted' : Math.abs(ratio) <= 1 + 1e-9 ? 'in' : 'out',
    };
  });
}

/** A reading in words: "middle 1000.1 g, +0.1 g off". */
export function readingText(r, decimals) {
  const shown = `${decimal(r.shown_g, decimals)}\u202fg`;
  return { place: placeText(r.place), shown, off: r.place === 'empty' ? '' : signedGrams(r.shown_g - r.expected_g, decimals) };
}

/** Grams as typed: a comma counts as a point, "" is none (0); null if it is no number. */
export function parseGrams(text) {
  const clean = text.trim().replace(',', '.');
  if (clean === '') return 0;
  if (!/^\d+(\.\d{0,6})?$/.test(clean)) return null;
  const value = Number(clean);
  return value <= 1000000 ? value : null;
}

/** The path that asks for the check, and for the weights that fit a plate. */
export function checkPath(plate) {
  if (plate === null) return '/api/scale/check';
  const query = new URLSearchParams({ capacity_g: String(plate.capacity), interval_e_g: String(plate.interval), class: plate.class });
  return `/api/scale/check?${query}`;
}

/** What a start command asks for; what is not given is left out. */
export function startOf(form) {
  const start = { weight_nominal_g: form.nominal, weight_class: form.weightClass };
  if (form.plate.capacity > 0) start.capacity_g = form.plate.capacity;
  if (form.plate.interval > 0) start.interval_e_g = form.plate.interval;
  if (form.plate.class !== '') start.class = form.plate.class;
  if (form.id.trim() !== '') start.weight_id = form.id.trim();
  if (form.corners) start.corners = true;
  return start;
}

/** The form as it begins: what the last check of this scale had. */
export function firstForm(state) {
  const last = state.last;
  return {
    plate: { capacity: state.plate.capacity_g, interval: state.plate.interval_e_g, class: state.plate.class },
    nominal: last === null ? 0 : last.weight_nominal_g,
    weightClass: last === null ? '' : last.weight_class,
    id: last === null ? '' : last.weight_id,
    corners: false,
  };
}

/** Why a check can not be started with the form, "" if it can. */
export function formTrouble(form, state) {
  if (state.not_now !== '') return state.not_now;
  if (state.missing !== '') return state.missing;
  const row = state.advice.find((a) => a.weight_nominal_g === form.nominal);
  if (row === undefined) return 'Choose the weight that is at hand.';
  if (row.coarsest_class === '') return `No ${row.name} weight is good enough for this scale: take a larger one.`;
  if (form.weightClass === '') return 'Choose the class that is engraved on the weight or stands on its certificate.';
  if (!row.fits.includes(form.weightClass)) return `A ${row.name} weight for this scale has to be of class ${row.coarsest_class} or finer.`;
  return '';
}

/** How one says where the limit comes from. */
export function limitText(walk, state, decimals) {
  const guess = walk.class_guessed ? ' (a guess from capacity and step)' : '';
  return `Allowed: ± ${decimal(walk.limit_g, Math.max(decimals, decimalsOf(walk.limit_g)))}\u202fg. Class ${walk.class}${guess}; ${state.limit_source}.`;
}
