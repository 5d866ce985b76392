// Words and numbers as a person reads them. Pure: no document, no clock.

import { place } from './state.js';

const MINUS = '\u2212';
const THIN = '\u202f'; // a narrow space that does not break, between number and unit

/** A number with fixed decimals, a real minus sign, and never a minus zero. */
export function decimal(value, decimals) {
  if (!Number.isFinite(value)) return '–';
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** Grams with their unit. */
export function grams(value, decimals) {
  return decimal(value, decimals) + THIN + 'g';
}

/** Grams with a sign in front, for a difference. */
export function signedGrams(value, decimals) {
  const text = decimal(value, decimals);
  return (text.startsWith(MINUS) || Number(text) === 0 ? text : '+' + text) + THIN + 'g';
}

/** Millilitres: whole ones from 10 on, a tenth below; "" where not known. */
export function millilitres(value) {
  if (!(value > 0)) return '';
  return decimal(value, value < 9.95 ? 1 : 0) + THIN + 'ml';
}

/** The age of a number: "now", "0.4 s", "12 s", "3 min". */
export function age(ms) {
  if (!Number.isFinite(ms)) return 'never';
  if (ms < 150) return 'now';
  if (ms < 9950) return (ms / 1000).toFixed(1) + THIN + 's';
  if (ms < 99500) return Math.round(ms / 1000) + THIN + 's';
  return Math.round(ms / 60000) + THIN + 'min';
}

/** How long ago, in a sentence: "just now", "0.4 s ago", "never". Whole seconds once they matter. */
export function ago(ms) {
  if (!Number.isFinite(ms)) return 'never';
  if (ms < 150) return 'just now';
  return `${age(ms < 1000 ? ms : Math.floor(ms / 1000) * 1000)} ago`;
}

/** A clock that runs down: "12:05" minutes and seconds, "1 h 02 min" above two hours. */
export function countdown(ms) {
  const s = Math.max(0, Math.floor(ms / 1000));
  if (s >= 7200) return `${Math.floor(s / 3600)} h ${String(Math.floor((s % 3600) / 60)).padStart(2, '0')} min`;
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
}

/** What is left of the pot life of a view at a Unix time, null without a clock. */
export function potLife(view, unixMS) {
  if (view === null || !view.pot_life_min || !view.reactive_ms) return null;
  const leftMS = view.reactive_ms + view.pot_life_min * 60000 - unixMS;
  return { leftMS, over: leftMS <= 0, short: leftMS < view.pot_life_min * 60000 * 0.2 };
}

/** Why there is no weight, {word, advice, more}: a few words, what to do about it in a sentence, and what else is worth knowing. */
export function trouble(name) {
  return {
    over: { word: 'more than the scale can weigh', advice: 'Take something off: there is more on the scale than it can weigh.', more: '' },
    under: { word: 'below what the scale can weigh', advice: 'Is the pan in its place? Then press zero with nothing on it.', more: 'The scale stands below its range.' },
    zero: { word: 'the scale could not take its zero', advice: 'Take everything off the pan: the scale could not take its zero.', more: 'With the pan empty it shows a weight again; then press zero.' },
    firstZero: { word: 'the scale found no zero', advice: 'Take everything off the pan: the scale could not take its zero when it was switched on.', more: 'With the pan empty it shows a weight again.' },
    tare: { word: 'the scale could not take its tare', advice: 'Wait until the weight stands still, then press tare again.', more: '' },
    count: { word: 'the scale counts, it does not weigh', advice: 'Set the scale back to grams: it shows pieces or per cent.', more: '' },
    noValue: { word: 'the scale answers without a weight', advice: 'Wait a moment: the scale shows no weight now.', more: 'If it stays like this, look at what the scale itself shows.' },
  }[name] ?? { word: 'no weight from the scale', advice: '', more: '' };
}

/** Why there is no weight, in a few words. */
export function troubleText(name) {
  return trouble(name).word;
}

/** How a layer stands to its line: a word and a symbol, so that colour is never alone. */
export function lineText(line) {
  return {
    short: { word: 'short of the line', symbol: '▽' },
    on: { word: 'on the line', symbol: '✓' },
    past: { word: 'past the line', symbol: '△' },
  }[line] ?? { word: 'not poured', symbol: '·' };
}

/**
 * The one large number of the bench: {label, digits, unit}. What it means
 * depends on the phase: the weight on the scale, grams to go to the line, or
 * grams in the cup.
 */
export function mainNumber(view, weight, h) {
  if (weight === null || !h.valid) {
    return { label: troubleText(weight === null ? '' : weight.trouble), digits: '– –', unit: 'g' };
  }
  const at = place(view);
  const show = (label, value) => ({ label, digits: decimal(value, view === null ? 1 : view.decimals), unit: 'g' });
  if (at === 'stir') return show('in the cup', weight.net_g);
  if (at !== 'pour' && at !== 'decide') return show('on the scale', weight.shown_g);
  if (!h.matches) return { label: 'still to go', digits: '– –', unit: 'g' };
  if (!(view.components[view.current].target_g > 0)) return show('poured so far', weight.amount_g);
  const text = decimal(Math.abs(weight.to_go_g), view.decimals);
  const past = weight.to_go_g < 0 && Number(text) !== 0;
  if (!past) return { label: 'still to go', digits: text, unit: 'g' };
  const label = weight.line === 'past' ? 'past the line' : 'over, within tolerance';
  return { label, digits: text, unit: 'g' };
}

/**
 * What the hand should do now: {tone, word, detail}. The tone names colour,
 * shape and sound: wait, pour, ease, stop, on, past or lost. Null where there
 * is nothing to do with the hand.
 */
export function cue(view, weight, h) {
  const at = place(view);
  const stuck = weight !== null && !h.valid && !h.lost ? trouble(weight.trouble).advice : '';
  if (at === 'tare') return { tone: 'wait', word: stuck === '' ? 'Hands off' : 'Wait', detail: stuck || 'until the scale stands at zero' };
  if (at === 'decide') return { tone: 'past', word: 'Past the line', detail: 'no hurry: nothing else happens until you choose' };
  if (at !== 'pour') return null;
  if (h.lost && !h.waits) return { tone: 'lost', word: 'Stop pouring', detail: 'the scale can not be heard' };
  if (weight === null || !h.valid || !h.matches) return { tone: 'wait', word: 'Wait', detail: stuck };
  if (weight.line === 'past') return { tone: 'past', word: 'Past the line', detail: 'stop; let it stand still' };
  if (weight.line === 'on') return { tone: 'on', word: 'On the line', detail: 'hands off, it is taken by itself' };
  return {
    pour: { tone: 'pour', word: 'Pour', detail: '' },
    ease: { tone: 'ease', word: 'Ease off', detail: 'a thin stream now' },
    stop: { tone: 'stop', word: 'Stop', detail: 'what is in the air still comes down' },
  }[weight.cue] ?? { tone: 'wait', word: 'Wait', detail: '' };
}

/** A sentence whose ratios, and numbers with their units, are not torn apart at the end of a line. */
export function unbroken(text) {
  return text.replaceAll(' : ', '\u00a0:\u00a0').replaceAll('± ', '±\u00a0').replace(/(\d) (?=(?:g|ml|min|%)(?![\w]))/g, '$1\u00a0');
}

/**
 * How a consequence is marked: "yes" and "no" for what fits the cup and what
 * does not, "off" for what is written down as outside, "pour" for grams that
 * are poured next, "" for the rest. The words stay the bench's; the mark only
 * makes them seen from further away.
 */
export function consequenceMark(text) {
  if (/^Does not fit\b/.test(text)) return 'no';
  if (/^Fits\b/.test(text)) return 'yes';
  if (/\boutside its\b/.test(text)) return 'off';
  return /^\+[\d.]+\s*g\b/.test(text) ? 'pour' : '';
}

/** A headline in three pieces, [before, grams, after], so that its grams can stand large; grams is "" if it names none. */
export function headlineParts(text) {
  const found = /\d[\d.]*\s?g\b/.exec(text);
  if (found === null) return [text, '', ''];
  return [text.slice(0, found.index), found[0], text.slice(found.index + found[0].length)];
}

/** The role of a component in a word. */
export function roleText(role) {
  return { base: 'base', hardener: 'hardener', reducer: 'reducer', additive: 'additive' }[role] ?? role;
}

/**
 * What a screen reader should say between two moments, "" for nothing: phases
 * and where the layer stands, never every weight.
 */
export function announcement(before, after) {
  const head = (s) => (s.view === null ? '' : s.view.headline);
  const key = (s) => (s.view === null ? '' : [s.view.batch, s.view.state, s.view.phase, s.view.current, s.view.hold].join('|'));
  if (key(before) !== key(after)) return [head(after), after.view === null ? '' : after.view.detail].filter(Boolean).join('. ');
  const at = place(after.view);
  const line = (s) => (s.weight === null || !s.weight.valid ? '' : s.weight.line);
  if (at === 'pour' && line(before) !== line(after) && (line(after) === 'on' || line(after) === 'past')) {
    return line(after) === 'on' ? 'On the line' : 'Past the line';
  }
  return '';
}

/** What a row of the book achieved, in a line; "" where nothing is known. */
export function achievedShort(batch) {
  const ratios = batch.components.map((c) => c.ratio_text).filter(Boolean);
  const parts = ratios.length > 0 ? [`achieved ${ratios.join(', ')}`] : [];
  if (batch.index > 0) parts.push(`index ${decimal(batch.index, 2)}`);
  return parts.join(' · ');
}

/** Words for how a batch ended. */
export function outcomeText(outcome, onTheLine) {
  if (outcome === 'complete') return onTheLine ? 'on the line' : 'off its line';
  return { stopped: 'stopped', aborted: 'aborted' }[outcome] ?? outcome;
}

/** A day and time in short, from Unix milliseconds. */
export function when(unixMS) {
  if (!(unixMS > 0)) return '';
  const d = new Date(unixMS);
  const two = (n) => String(n).padStart(2, '0');
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${two(d.getHours())}:${two(d.getMinutes())}`;
}
