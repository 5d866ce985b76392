// What the undercoat greys work with: the form, the picture of the fitted line,
// what a grey looks like on a screen. The fit itself is made by the bench. Pure.

import { decimal } from './format.js';
import { parseFigure } from './decide.js';

const THIN = '\u202f';
const LEAST_ROWS = 4;
const MOST_ROWS = 40;

/** A grey of CIE L* as a screen would show it, "#919191" (sRGB, IEC 61966-2-1). */
export function greyHex(l) {
  const bound = Math.min(100, Math.max(0, l));
  const y = bound > 8 ? ((bound + 16) / 116) ** 3 : (bound * 27) / 24389;
  const v = y <= 0.0031308 ? 12.92 * y : 1.055 * y ** (1 / 2.4) - 0.055;
  return `#${Math.round(255 * v).toString(16).padStart(2, '0').repeat(3)}`;
}

/** The shop's steps as typed, "light 82, middle 60": {steps} or {problem} with a sentence. */
export function parseSteps(text) {
  const steps = [];
  for (const piece of text.split(/;|,(?!\d)/)) {
    if (piece.trim() === '') continue;
    const found = /^(.*\S)\s*[\s=:]\s*(\d+(?:[.,]\d+)?)$/.exec(piece.trim());
    const l = found === null ? null : parseFigure(found[2], 1, 99);
    if (l === null) return { problem: `“${piece.trim()}” is no step: write its name and its L*, light 82, middle 60.` };
    const name = found[1].replace(/[\s=:]+$/, '');
    if (steps.some((s) => s.name.toLowerCase() === name.toLowerCase())) return { problem: `There are two steps of the name ${name}.` };
    steps.push({ name, l });
  }
  return { steps };
}

/** Steps as they would be typed. */
export function stepsText(steps) {
  return steps.map((s) => `${s.name} ${s.l}`).join(', ');
}

/** An empty form, or that of undercoats that are kept. */
export function firstGrey(kept) {
  if (kept === null) {
    return { id: '', revision: '', original: null, name: '', like: '', light: '', lightDensity: '', dark: '', darkDensity: '', rows: padRows([{ dark: '0', l: '' }]), steps: '', confirm: false };
  }
  const s = kept.system;
  return {
    id: kept.id, revision: kept.revision, original: s, name: s.name, like: s.like_id ?? '', light: s.light.name, lightDensity: '', dark: s.dark.name, darkDensity: '',
    rows: padRows(s.cards.map((c) => ({ dark: String(c.dark_percent), l: String(c.l) }))), steps: stepsText(s.steps), confirm: false,
  };
}

/** The rows of a form with one to spare at the end, and never fewer than four. */
export function padRows(rows) {
  const out = [...rows];
  while (out.length < LEAST_ROWS || (out.length < MOST_ROWS && !blank(out.at(-1)))) out.push({ dark: '', l: '' });
  return out;
}

const blank = (row) => row.dark.trim() === '' && row.l.trim() === '';
// The first row is there as a hint: until its L* is typed it says nothing.
const unfilled = (row) => row.l.trim() === '' && (blank(row) || row.dark.trim() === '0');

/** Why the form can not be kept, "" if it can. Too few drawdowns are no reason. */
export function greyTrouble(form) {
  if (form.name.trim() === '') return 'Give the two undercoats a name together, such as that of their system.';
  if (form.light.trim() === '' || form.dark.trim() === '') return 'Name both undercoats as their tins do.';
  for (const [i, row] of form.rows.entries()) {
    if (unfilled(row)) continue;
    if (parseFigure(row.dark, 0, 100) === null) return `Drawdown ${i + 1}: how much of the dark one, 0 to 100${THIN}% of the volume?`;
    if (parseFigure(row.l, 1, 99) === null) return `Drawdown ${i + 1}: which L* did it dry to, 1 to 99?`;
  }
  return parseSteps(form.steps).problem ?? '';
}

/** What a form still lacks for a grey, "" if it has enough. */
export function greyHint(form) {
  const shares = new Set(form.rows.filter((r) => !unfilled(r)).map((r) => r.dark.trim()));
  if (shares.size >= 3) return '';
  const left = 3 - shares.size;
  return `${left === 3 ? 'Three' : left === 2 ? 'Two more' : 'One more'} of your own drawdowns${left === 1 ? ' makes' : ' make'} a grey: such as the light one alone, a mix, and the dark one alone.`;
}

/** The body that keeps a form. */
export function greyBody(form) {
  const number = (text) => Number(text.trim().replace(',', '.'));
  const tin = (name, typed, old) => ({ name: name.trim(), density: typed.trim() === '' && old !== undefined ? old.density : {} });
  const system = {
    id: form.id, name: form.name.trim(), light: tin(form.light, form.lightDensity, form.original?.light), dark: tin(form.dark, form.darkDensity, form.original?.dark),
    cards: form.rows.filter((r) => !unfilled(r)).map((r) => ({ dark_percent: number(r.dark), l: number(r.l) })), steps: parseSteps(form.steps).steps ?? [],
  };
  if (form.like !== '') system.like_id = form.like;
  const body = { do: 'put', id: form.id, revision: form.revision, system };
  if (form.lightDensity.trim() !== '') body.light_density = form.lightDensity.trim();
  if (form.darkDensity.trim() !== '') body.dark_density = form.darkDensity.trim();
  if (form.confirm) body.confirm = true;
  return body;
}

/** The lightness to begin with: the middle one of the shop's steps that can be mixed, or the middle of what was drawn down. */
export function firstWanted(kept) {
  const { fit, system } = kept;
  if (!fit.ok) return 60;
  const within = system.steps.map((s) => s.l).filter((l) => l <= fit.lightest_lstar && l >= fit.darkest_lstar).sort((a, b) => b - a);
  if (within.length > 0) return within[Math.floor((within.length - 1) / 2)];
  return Math.round((fit.lightest_lstar + fit.darkest_lstar) / 2);
}

/** The path that asks for a grey. */
export function shadePath(id, l, ml) {
  return `/api/grey/shade?${new URLSearchParams({ id, l: String(l), ml: String(ml) })}`;
}

/** The two undercoats and what goes in with them, in a line. */
export function pairText(kept) {
  const pair = `${kept.light.name} and ${kept.dark.name}`;
  if (kept.like_name !== '') return `${pair}, mixed like ${kept.like_name}`;
  return kept.system.like_id ? `${pair}; what they were mixed like is off the shelf` : pair;
}

/** What undercoats still lack, for their card; "" where a grey can be asked. */
export function lackText(kept) {
  if (!kept.fit.ok) return kept.system.cards.length < 3 ? `${kept.system.cards.length} of 3 drawdowns` : 'the drawdowns do not fit';
  const missing = [kept.light, kept.dark].filter((t) => !(t.density_g_ml > 0)).length;
  return missing === 0 ? '' : missing === 1 ? '1 density not known' : '2 densities not known';
}

/**
 * What to draw, in a box {left, right, top, bottom}: the line and its band as
 * paths, the drawdowns, what was not measured, and the wanted grey with its
 * band, null where it can not be mixed. L* runs from 0 to 100, the share from 0
 * to 100 per cent.
 */
export function greyPicture(kept, wanted, shade, box) {
  const x = (percent) => box.left + ((box.right - box.left) * percent) / 100;
  const y = (l) => box.bottom - ((box.bottom - box.top) * Math.min(100, Math.max(0, l))) / 100;
  const at = (percent, l) => `${x(percent).toFixed(1)} ${y(l).toFixed(1)}`;
  const { fit } = kept;
  const path = (points) => (points.length === 0 ? '' : `M${points.map(([p, l]) => at(p, l)).join('L')}`);
  const out = {
    line: path(fit.line),
    band: fit.line.length === 0 ? '' : `${path([...fit.line.map(([p, l, u]) => [p, l + u]), ...[...fit.line].reverse().map(([p, l, u]) => [p, l - u])])}Z`,
    cards: kept.system.cards.map((c) => ({ x: x(c.dark_percent), y: y(c.l), l: c.l })),
    unmeasured: fit.ok ? [[0, fit.low_percent], [fit.high_percent, 100]].filter(([a, b]) => b - a > 0.5).map(([a, b]) => ({ x: x(a), width: x(b) - x(a) })) : [],
    wantedY: y(wanted), mark: null,
  };
  if (shade !== null) {
    const { dark_percent: p, dark_u: pu, u_lstar: u } = shade;
    const top = y(wanted + u);
    const from = x(Math.max(0, p - pu));
    out.mark = { x: x(p), y: y(wanted), top, tall: y(wanted - u) - top, from, wide: x(Math.min(100, p + pu)) - from };
  }
  return out;
}

/** The picture in words, for who does not see it. */
export function pictureText(kept, wanted, shade) {
  const { fit } = kept;
  if (!fit.ok) return `${kept.system.cards.length} drawdowns and no line through them yet.`;
  const line = `The fitted line falls from L* ${decimal(fit.lightest_lstar, 1)} at ${decimal(fit.low_percent, 0)} per cent of the dark one to L* ${decimal(fit.darkest_lstar, 1)} at ${decimal(fit.high_percent, 0)} per cent.`;
  return shade === null ? line : `${line} L* ${wanted} is at ${decimal(shade.dark_percent, 1)} per cent.`;
}

/** The share in large figures. */
export function shareText(shade) {
  return `${decimal(shade.dark_percent, 1)}${THIN}% dark`;
}
