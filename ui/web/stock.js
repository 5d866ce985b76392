// What the Shelf place works with: a ratio as the tin prints it, the form of a
// recipe, where a density came from. Pure.

import { decimal } from './format.js';
import { figuresBody, TOLERANCE, typedFigures } from './sheet.js';

/** The roles that components get by their usual order on a tin. */
const ORDER = ['base', 'hardener', 'reducer', 'additive'];
const MOST_COMPONENTS = 8;

export const ROLES = ORDER;
/** What a percentage can be of, as the tin means it. */
export const OFS = [
  { value: 'first', label: 'of A', note: 'the first tin alone' },
  { value: 'parts', label: 'of A+B', note: 'all that is in parts' },
  { value: 'whole', label: 'of the mix', note: 'the finished mix' },
];

/**
 * A ratio as typed, "4:1:1" or "2:1 + 10 %": {shares: [{parts} or {percent}]},
 * or {problem} with a sentence. A comma counts as a point.
 */
export function parseRatio(text) {
  const clean = text.replaceAll(',', '.').trim();
  if (clean === '') return { problem: 'Type the ratio as it stands on the tin: 4:1:1, or 2:1 + 10 %.' };
  const shares = [];
  for (const piece of clean.split(/[:+/]/)) {
    const found = /^\s*(\d+(?:\.\d+)?)\s*(%?)\s*$/.exec(piece);
    if (found === null || Number(found[1]) === 0) return { problem: `“${piece.trim() || text.trim()}” is no part of a ratio: write 4:1:1, or 2:1 + 10 %.` };
    shares.push(found[2] === '%' ? { percent: Number(found[1]) } : { parts: Number(found[1]) });
  }
  if (shares.length < 2) return { problem: 'One number is no ratio: write 4:1:1, or 2:1 + 10 %.' };
  if (shares.length > MOST_COMPONENTS) return { problem: `A mix has at most ${MOST_COMPONENTS} components.` };
  if (shares[0].parts === undefined) return { problem: 'The first component is given in parts: write 2:1 + 10 %.' };
  return { shares };
}

/** The ratio of a recipe as it would be typed. */
export function ratioText(components) {
  return components.map((c, i) => {
    const one = c.percent > 0 ? `${c.percent} %` : String(c.parts);
    if (i === 0) return one;
    return (c.percent > 0 || components[i - 1].percent > 0 ? ' + ' : ':') + one;
  }).join('');
}

/** An empty form, or that of a recipe of the shelf. */
export function firstForm(shelved) {
  if (shelved === null) {
    return { id: '', revision: '', original: null, name: '', ratio: '', basis: 'volume', pot: '', rows: [], confirm: false, note: '', from: '', mix: {}, mixGiven: {} };
  }
  const r = shelved.recipe;
  return {
    id: shelved.id, revision: shelved.revision, original: r, name: r.name, ratio: ratioText(r.components), basis: r.basis,
    pot: r.pot_life_min > 0 ? String(r.pot_life_min) : '', confirm: false,
    note: r.note ?? '', from: '', mix: typedFigures(shelved.figures), mixGiven: typedFigures(shelved.figures),
    rows: r.components.map((c, i) => ({
      name: c.name, role: c.role, kind: c.content?.kind ?? '', of: c.of ?? '', density: '', original: c, named: true,
      figures: typedFigures(shelved.components?.[i]?.figures), given: typedFigures(shelved.components?.[i]?.figures),
    })),
  };
}

/** The rows after the ratio was typed anew: what was filled in stays where it was. */
export function fitRows(rows, shares) {
  return shares.map((share, i) => {
    const row = rows[i] ?? { name: '', role: roleAt(shares, i), kind: '', of: '', density: '', original: null, named: false, figures: {}, given: {} };
    return { ...row, share };
  });
}

function roleAt(shares, i) {
  if (shares[i].percent !== undefined && i > 0) return 'reducer';
  return ORDER[Math.min(i, ORDER.length - 1)];
}

/** The name that a component has while nobody gave it one. */
export function usualName(form, i) {
  const product = form.name.trim();
  const { role } = form.rows[i];
  const twins = form.rows.slice(0, i).filter((r) => r.role === role).length;
  const number = twins > 0 ? ` ${twins + 1}` : '';
  if (role === 'base') return product === '' ? `Base${number}` : product + number;
  return product === '' ? role[0].toUpperCase() + role.slice(1) + number : `${product}, ${role}${number}`;
}

/** Whose figures a tab holds: {role, name}, the name where it is another than the usual one. */
export function tabOf(form, i) {
  const { role, name } = form.rows[i];
  const same = form.rows.filter((r) => r.role === role);
  const number = same.length > 1 ? ` ${same.indexOf(form.rows[i]) + 1}` : '';
  return { role: role[0].toUpperCase() + role.slice(1) + number, name: name.trim() === usualName(form, i) ? '' : name.trim() };
}

/** Why the form can not be put on the shelf, "" if it can. */
export function formTrouble(form) {
  if (form.name.trim() === '') return 'Give it the name that stands on the tin.';
  const ratio = parseRatio(form.ratio);
  if (ratio.problem !== undefined) return ratio.problem;
  if (form.rows.some((r) => r.share?.percent !== undefined && r.of === '')) return 'Percent of what? Choose what the sheet says: they are different amounts.';
  if (!/^\d{0,4}$/.test(form.pot.trim())) return 'The pot life is a whole number of minutes, or empty.';
  return '';
}

/** What is typed for a density, as the bench takes it: the tin's ratio by weight, a density, or nothing new. */
export function densityBody(text) {
  const clean = text.trim();
  if (clean === '') return {};
  return /^[\d.,\s]+:[\d.,\s]+$/.test(clean) ? { by_weight: clean } : { typed: clean };
}

/** The body that puts a form on the shelf; what the form does not show stays as it was. */
export function putBody(form) {
  const components = form.rows.map((row, i) => {
    const { density, content, ...rest } = row.original ?? { tolerance: TOLERANCE[row.role], density: {} };
    const c = { ...rest, name: row.name.trim() || usualName(form, i), role: row.role, density: row.density.trim() === '' ? density : {} };
    const filled = { ...content };
    delete filled.kind;
    if (row.kind !== '') filled.kind = row.kind;
    if (Object.keys(filled).length > 0) c.content = filled;
    delete c.parts;
    delete c.percent;
    delete c.of;
    if (row.share.percent !== undefined) Object.assign(c, { percent: row.share.percent, of: row.of });
    else c.parts = row.share.parts;
    return c;
  });
  const recipe = { ...(form.original ?? { id: '' }), name: form.name.trim(), basis: form.basis, components };
  delete recipe.pot_life_min;
  if (Number(form.pot) > 0) recipe.pot_life_min = Number(form.pot);
  delete recipe.note;
  if (form.note.trim() !== '') recipe.note = form.note.trim();
  const body = { do: 'put', id: form.id, revision: form.revision, recipe, densities: form.rows.map((r) => densityBody(r.density)), ...figuresBody(form) };
  if (form.confirm) body.confirm = true;
  return body;
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** A day, "25 Nov 2026", "" where not known. */
export function day(unixMS) {
  if (!(unixMS > 0)) return '';
  const d = new Date(unixMS);
  return `${d.getDate()} ${MONTHS[d.getMonth()]} ${d.getFullYear()}`;
}

// A density as typed in the unit in which it is shown.
const IN_G_ML = /^\d+(?:[.,](\d*))?\s*(?:g\/ml|kg\/l)?(?:,.*)?$/i;

// The decimals of a density: those that its ± is worth, else those that were
// typed, else two or three as the figure has them.
function densityDecimals(c) {
  if (c.density_u_g_ml > 0) return 3;
  const typed = IN_G_ML.exec(c.density_as_given ?? '');
  if (typed !== null) return Math.min(4, typed[1]?.length ?? 0);
  return (c.density_as_given ?? '') === '' && Math.round(1000 * c.density_g_ml) % 10 === 0 ? 2 : 3;
}

/** A density as it is shown: {known, value, from}. From says where it came from, when, and how sure it is. */
export function densityOf(c, basis) {
  if (!(c.density_g_ml > 0)) {
    return { known: false, value: 'not known', from: basis === 'volume' ? 'pour by marks, or measure it' : 'not needed by weight' };
  }
  const value = `${decimal(c.density_g_ml, densityDecimals(c))}\u202fg/ml`;
  const measured = c.density_source.startsWith('weighed here');
  const from = [measured ? 'weighed here' : c.density_source || 'no source', day(c.density_since_ms)];
  if (c.density_u_g_ml > 0) from.push(`±\u202f${decimal(2 * c.density_u_g_ml, 3)}`);
  else {
    if (!measured && c.density_as_given !== '' && !IN_G_ML.test(c.density_as_given)) from.push(c.density_as_given.split(', ')[0]);
    from.push('±\u202fnot given');
  }
  return { known: true, measured, value, from: from.filter(Boolean).join(', ') };
}

/** How many densities a recipe lacks that it needs. */
export function lacking(r) {
  return r.basis === 'volume' ? r.components.filter((c) => !(c.density_g_ml > 0)).length : 0;
}

/** A cup as typed, {bottom, top, high} in millimetres, as the bench takes it; "" if it is none yet. */
export function cupText(cup) {
  const mm = (text) => (/^\d+([.,]\d*)?$/.test(text.trim()) ? text.trim().replace(',', '.') : '');
  const [bottom, top, high] = [mm(cup.bottom), mm(cup.top), mm(cup.high)];
  if (bottom === '' || high === '') return '';
  return top === '' || top === bottom ? `${bottom}x${high}` : `${bottom}/${top}x${high}`;
}

/** The path of the marks in a cup, or with kind ".svg" or ".pdf" of the strip. */
export function stripPath(id, ml, cup, kind = '') {
  return `/api/strip${kind}?${new URLSearchParams({ recipe: id, ml: String(ml), cup })}`;
}

/** A fraction in per cent with two figures, upwards; "" where not known. */
export function percentText(fraction) {
  if (!(fraction > 0)) return '–';
  const p = fraction * 100;
  const digits = Math.max(0, 1 - Math.floor(Math.log10(p)));
  const up = Math.ceil(p * 10 ** digits - 1e-9) / 10 ** digits;
  return `±\u202f${decimal(up, digits)}\u202f%`;
}

/** Which way of pouring holds the ratio best, in a sentence. */
export function bestWay(answer) {
  const worst = (name) => Math.max(0, ...answer.components.map((c) => c[name]));
  const eye = Math.min(worst('stick_error'), worst('cup_mark_error'));
  if (answer.why_no_scale !== '') return 'The scale can not help yet: a density is missing. Pour by these marks, or measure it.';
  const scale = worst('scale_error');
  const times = eye / scale;
  if (times >= 1.5) return `By weight this batch is about ${times >= 10 ? Math.round(times) : decimal(times, 1)} times surer than by eye.`;
  return 'By eye and by weight are about as sure here: a measured density would make the scale surer.';
}
