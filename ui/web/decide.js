// What a person decides an amount on, in words and figures. Pure: no document,
// no clock.

import { decimal } from './format.js';
import { day } from './stock.js';

const THIN = '\u202f';

// What a job is assumed to be put on with; area and part are said each time.
const ASSUMED = ['coats', 'dry_um', 'transfer', 'loss', 'dead_ml'];

/**
 * The job that an area starts with: as the recipe was put on last, or its usual
 * film with the usual assumptions.
 */
export function firstJob(recipe, settings) {
  const used = settings?.jobs?.[recipe.id];
  if (used !== undefined) {
    return { part: '', area_m2: used.area_m2, ...Object.fromEntries(ASSUMED.map((name) => [name, used[name]])), ml: 0 };
  }
  const panel = settings?.panels?.find((p) => p.area_m2 >= 1) ?? { area_m2: 1, transfer: 0.65 };
  return {
    part: '', area_m2: panel.area_m2, coats: recipe.usual_coats ?? 2, dry_um: recipe.usual_dry_um ?? 30,
    transfer: panel.transfer, loss: settings?.usual_loss ?? 0.05, dead_ml: settings?.usual_dead_ml ?? 30, ml: 0,
  };
}

/** The job on a part of the picker; an amount that was typed for another area goes. */
export function onPart(job, panel) {
  return { ...job, part: panel.name, area_m2: panel.area_m2, transfer: panel.transfer, ml: 0 };
}

/** A figure as typed, a comma counting as a point; null if it is none between least and most. */
export function parseFigure(text, least, most) {
  const clean = text.trim().replace(',', '.');
  if (!/^\d+(\.\d*)?$/.test(clean)) return null;
  const value = Number(clean);
  return value >= least && value <= most ? value : null;
}

/** A step up or down from a value to the next whole step within the bounds. */
export function nextStep(value, step, least, most) {
  const size = Math.abs(step);
  const ratio = value / size;
  const next = step > 0 ? Math.floor(ratio + 1e-6) + 1 : Math.ceil(ratio - 1e-6) - 1;
  return Number(Math.min(most, Math.max(least, next * size)).toFixed(4));
}

/** Says that a job is assumed as the recipe was put on last, "" where it is not, or not any more. */
export function usedText(job, used) {
  if (used === undefined || ASSUMED.some((name) => job[name] !== used[name])) return '';
  const coats = used.coats === 1 ? '1 coat' : `${used.coats} coats`;
  return `Assumed as last time, ${day(used.since_ms)}: ${coats} of ${decimal(used.dry_um, 0)}${THIN}µm.`;
}

/** The assumptions of a job in a line. */
export function assumedText(job) {
  const percent = (x) => `${decimal(100 * x, 0)}${THIN}%`;
  return `${percent(job.transfer)} stays on the part, ${percent(job.loss)} lost, ${decimal(job.dead_ml, 0)}${THIN}ml stays in cup and hose`;
}

/** An amount that was used before, in words for its card; "" for one without a figure. */
export function lastText(last) {
  if (last === undefined || last.kind === 'as-poured') return '';
  if (last.kind === 'area') return last.amount?.area_m2 > 0 ? `last time ${decimal(last.amount.area_m2, 1)}${THIN}m²` : '';
  return `last time ${last.amount} ${last.kind === 'volume' ? 'ml' : 'g'}`;
}

/**
 * How sure the ratio would be: {lines, enough, way}. way is the amount that
 * would do, {text, kind, amount}, null where the batch is large enough.
 */
export function sureFact(plan) {
  const s = plan.sure;
  if (!s.known) return { lines: s.why_not === '' ? [] : [s.why_not], enough: null, way: null };
  const amount = s.would_do_ml > 0 ? s.would_do_ml : s.would_do_g;
  const cup = s.next_cup_ml > 0 ? `next cup ${decimal(s.next_cup_ml, 0)}${THIN}ml` : '';
  const way = s.would_do_text === '' ? null : { text: s.would_do_text, cup, kind: s.would_do_kind, amount };
  return { lines: s.sentences, enough: s.enough, way };
}

/** The cup that would do for a batch that is large enough, in words. */
export function cupFact(plan) {
  const ml = plan.sure.next_cup_ml;
  return plan.sure.enough && ml > 0 && ml !== plan.cup_usable_ml ? `a cup of ${decimal(ml, 0)}${THIN}ml holds it` : '';
}

/** A VOC with its ±, rounded up so that it never looks surer than it is; without one where none is known. */
export function vocText(gl, plusMinus) {
  const unit = `${THIN}g/l`;
  return plusMinus > 0 ? `${decimal(gl, 0)} ± ${decimal(Math.ceil(plusMinus), 0)}${unit}` : `${decimal(gl, 0)}${unit}`;
}

/** VOC on a card: {value, word, mark}; mark is "yes", "no" or "ask", and never stands without the word. */
export function vocFact(plan) {
  const v = plan.voc;
  const { stages } = v;
  // In stages the topcoat's limit is that of all of them; what is nearer to its own governs.
  if (stages.limit !== null && (v.limit === null || stages.spare_g_l <= v.spare_g_l)) {
    return { value: vocText(stages.g_l, stages.plus_minus_g_l), ...toLimit(stages, `${stages.over.length + 1} stages, `) };
  }
  if (!v.known) return { value: 'not known', word: 'why', mark: 'ask' };
  if (v.limit === null) return { value: vocText(v.regulatory_g_l, v.regulatory_plus_minus_g_l), word: 'no limit chosen', mark: 'ask' };
  return { value: vocText(v.figure_g_l, v.figure_plus_minus_g_l), ...toLimit(v, '') };
}

// Where a figure stands to its limit, in a word.
function toLimit(x, before) {
  if (x.too_near) return { word: `${before}too near to call`, mark: 'ask' };
  return { word: `${before}${decimal(Math.abs(x.spare_g_l), 0)} ${x.within ? 'below limit' : 'above limit'}`, mark: x.within ? 'yes' : 'no' };
}

/** The four bases of a VOC, [words, figure with its ±] each. */
export function vocBases(voc) {
  return [
    ['of the material', vocText(voc.material_g_l, voc.material_plus_minus_g_l)],
    ['less water and exempt solvent', vocText(voc.regulatory_g_l, voc.regulatory_plus_minus_g_l)],
    ['less water, exempt solvent counting', vocText(voc.european_g_l, voc.european_plus_minus_g_l)],
    ['of the whole product', vocText(voc.european_whole_g_l, voc.european_whole_plus_minus_g_l)],
  ];
}

/** The shop's temperature on a card; a warning about it marks it. */
export function shopFact(plan) {
  const { shop } = plan;
  if (!shop.set) return { value: '? °C', word: 'as in the sheets', mark: '' };
  const value = `${decimal(shop.c, Number.isInteger(shop.c) ? 0 : 1)}${THIN}°C`;
  return shop.notes.length > 0 ? { value, word: 'look at the notes', mark: 'ask' } : { value, word: 'densities moved', mark: 'yes' };
}

/** The index on a card, null where nothing is to be said of it. */
export function indexFact(plan) {
  const x = plan.index;
  if (x.known) return { value: decimal(x.index, 2), word: `${decimal(x.low, 2)} to ${decimal(x.high, 2)}`, mark: '' };
  return x.why_not === '' ? null : { value: 'not known', word: 'why', mark: 'ask' };
}

/** Limits by their tables, [set, limits] each, in their order. */
export function limitSets(limits) {
  const sets = new Map();
  for (const l of limits) sets.set(l.set, [...(sets.get(l.set) ?? []), l]);
  return [...sets];
}

/** Where the limits of a table come from and of when they are, a sentence for each source; those of the shop's own say so themselves. */
export function limitSources(limits) {
  const sources = new Map();
  for (const l of limits.filter((x) => !x.own)) {
    const from = `${l.source}, ${l.date}`;
    sources.set(from, [...(sources.get(from) ?? []), l.category]);
  }
  const [first, ...rest] = [...sources].sort(([, a], [, b]) => b.length - a.length);
  if (first === undefined) return [];
  return [`From: ${first[0]}.`, ...rest.map(([from, categories]) => `${categories.join(', ')}: ${from}.`)];
}

/** The uses that no limit is called any more. */
export function goneUses(uses, limits) {
  return uses.filter((name) => !limits.some((l) => l.name === name));
}

/** What goes over a base, {mid, second, clear} of ids, from the list that the bench keeps. */
export function slotsOf(over) {
  const mids = over.slice(0, -1);
  return { mid: mids[0] ?? '', second: mids[1] ?? '', clear: over.at(-1) ?? '' };
}

/** What can stand in a slot, {fits, others}: others do not say what they are, or are a clear that may be tinted. What can not stand there is in neither. */
export function offeredFor(slot, recipes) {
  const fit = slot === 'clear' ? 'clear' : 'colour';
  const maybe = slot === 'clear' ? [''] : ['', 'clear'];
  return { fits: recipes.filter((r) => r.stage === fit), others: recipes.filter((r) => maybe.includes(r.stage ?? '')) };
}

/** The list for the bench, the clear last; why says what is missing. */
export function overOf({ mid, second, clear }) {
  const mids = [mid, second].filter((id) => id !== '');
  if (clear === '' && mids.length > 0) return { over: [], why: 'Choose the clear too: without it there are no stages to count.' };
  return { over: clear === '' ? [] : [...mids, clear], why: '' };
}

/** What stands under the category on a limit's button. */
export function limitDetail(limit) {
  return `${decimal(limit.g_l, 0)}${THIN}g/l ${limit.basis}${limit.own ? ', your own' : ''}`;
}
