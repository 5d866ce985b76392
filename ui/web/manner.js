// How the scale stands and how it behaves, in words. Pure. What is not
// measured yet is said to be so, and never filled in.

import { ago, decimal, grams, trouble } from './format.js';

const NOT_YET = { value: 'not measured yet', note: 'put something on and wait', known: false };
// A refused line is what a person is told about the scale for so long.
const REFUSED_MS = 3000;

/**
 * How the scale stands now: {tone, word, advice}. The tone is waiting, still,
 * moving, trouble or lost; the advice says what to do, "" where nothing is to be done.
 */
export function standing(state, h, facts) {
  if (h.waits) return { tone: 'waiting', word: 'Waiting for the bench', advice: '' };
  if (!state.link.open) return { tone: 'lost', word: 'The bench can not be reached', advice: 'This page is trying again.' };
  const kept = state.health?.stranger ?? '';
  if (kept !== '') return { tone: 'trouble', word: 'Another scale answers', advice: '' };
  if ((state.health?.other_unit ?? '') !== '') return { tone: 'trouble', word: 'Shows another unit', advice: 'Set it back on the scale.' };
  const refused = facts?.last_refused ?? null;
  if (h.lost || state.weight === null) return lost(state, facts);
  if (!h.valid) {
    const { word, advice, more } = trouble(state.weight.trouble);
    return { tone: 'trouble', word: upper(word), advice: [advice, more].filter(Boolean).join(' ') };
  }
  if (refused !== null && refused.age_ms < REFUSED_MS && h.stale) return { tone: 'trouble', word: 'What comes can not be read', advice: upper(refused.reason) + '.' };
  const advice = facts?.manner?.unmarked ? 'The scale calls itself moving all the time, so the bench judges by its noise whether it stands still.' : '';
  return state.weight.still ? { tone: 'still', word: 'Stands still', advice } : { tone: 'moving', word: 'Moves', advice };
}

function lost(state, facts) {
  const refused = facts?.last_refused ?? null;
  if (refused !== null && refused.age_ms < REFUSED_MS) {
    return { tone: 'lost', word: 'What comes can not be read', advice: upper(refused.reason) + '.' };
  }
  if (facts?.absent) {
    return { tone: 'lost', word: 'The port is gone', advice: 'Its cable or adaptor is unplugged: plug it in again, and the bench goes on by itself.' };
  }
  if (state.health?.scale === 'lost') {
    return { tone: 'lost', word: 'The scale can not be heard', advice: 'Press its on key: many scales switch themselves off when nothing moves on them for some minutes, and most let that be turned off. If it is on, look at the cable.' };
  }
  return { tone: 'lost', word: 'No scale has been heard yet', advice: 'Is it switched on, set to send, and plugged in?' };
}

/** The facts about the scale, in groups of {title, rows}; a row is {name, value, note, known}. */
export function factGroups(state, facts) {
  return [
    { title: 'Connection', rows: connection(state, facts) },
    { title: 'How it behaves', rows: behaviour(facts) },
    { title: 'Since the start', rows: counts(facts) },
  ];
}

function connection(state, facts) {
  const identity = facts?.identity || state.health?.identity || '';
  const row = (name, value, note = '') => ({ name, value: value || 'not known', note, known: value !== '' });
  const asked = facts === null ? '' : facts.polled ? 'asked for each weight' : facts.asked ? 'asked to send' : 'sends by itself';
  return [
    row('Scale', { found: 'found', lost: 'lost', never: 'not heard yet' }[state.health?.scale] ?? '', asked),
    row('Port', identity, facts?.settings ?? ''),
    row('Line shape', facts?.shape ?? ''),
    row('Step', facts !== null && facts.division_g > 0 ? grams(facts.division_g, facts.decimals) : '', stepNote(facts)),
  ];
}

function stepNote(facts) {
  if (facts === null) return '';
  const unit = facts.unit !== '' && facts.unit !== 'g' ? `it shows ${facts.unit}, which is worked out in grams` : '';
  const from = { setting: 'as it was set', decimals: 'from its last decimal' }[facts.division_from] ?? '';
  return [from, unit].filter(Boolean).join('; ');
}

function behaviour(facts) {
  const m = facts?.manner ?? { rate_per_s: 0, period_ms: 0, noise_g: 0, stills: 0, settle_ms: 0, lag_ms: 0, steps: 0, jumps: false };
  const from = (n, one, many) => `from ${n} ${n === 1 ? one : many}`;
  return [
    m.rate_per_s > 0
      ? { name: 'Rate', value: `${rate(m.rate_per_s)} a second`, note: `a reading every ${Math.round(m.period_ms)} ms`, known: true }
      : { name: 'Rate', ...NOT_YET, note: 'wait for a few readings' },
    m.stills > 0
      ? { name: 'Noise', value: noise(m.noise_g, facts.division_g), note: from(m.stills, 'stretch of stillness', 'stretches of stillness'), known: true }
      : { name: 'Noise', ...NOT_YET },
    m.settle_ms > 0
      ? { name: 'Settles in', value: seconds(m.settle_ms), note: from(m.steps, 'change of load', 'changes of load'), known: true }
      : { name: 'Settles in', ...NOT_YET },
    lag(m),
  ];
}

function lag(m) {
  if (m.lag_ms > 0) return { name: 'Display', value: `runs ${seconds(m.lag_ms)} behind the pour`, note: 'the cue to stop comes sooner by that', known: true };
  if (m.jumps) return { name: 'Display', value: 'follows a change at once', note: 'how far it lags in a slow pour can not be told from that', known: true };
  return { name: 'Display', ...NOT_YET, note: 'put something on and wait' };
}

function noise(noiseG, divisionG) {
  if (noiseG > 0) return grams(noiseG, noiseG >= 1 ? 1 : noiseG >= 0.1 ? 2 : 3);
  return divisionG > 0 ? 'less than its step shows' : 'none seen';
}

function counts(facts) {
  if (facts === null) return [{ name: 'Read', value: 'not known', note: '', known: false }];
  const refused = facts.last_refused;
  const times = (n) => (n === 0 ? 'never' : n === 1 ? 'once' : `${n} times`);
  return [
    { name: 'Readings', value: whole(facts.good_frames), note: facts.last_frame_age_ms < 0 ? 'none yet' : facts.last_frame_age_ms < 1000 ? 'the last one just now' : `the last one ${ago(facts.last_frame_age_ms)}`, known: true },
    { name: 'Refused', value: whole(facts.refused_frames), note: refused === null ? '' : `${refused.reason}, ${ago(refused.age_ms)}`, known: true },
    { name: 'Came back', value: times(facts.reconnects), note: facts.reconnects > 0 ? 'after it could not be heard' : '', known: true },
  ];
}

/** A length of time in seconds with a tenth: "1.3 s", "0.05 s" for what is short. */
export function seconds(ms) {
  return `${decimal(ms / 1000, ms < 95 ? 2 : 1)}\u202fs`;
}

function rate(perS) {
  return decimal(perS, perS < 9.5 && Math.abs(perS - Math.round(perS)) > 0.05 ? 1 : 0);
}

/** A count with narrow spaces between its thousands. */
export function whole(n) {
  return String(n).replace(/\B(?=(\d{3})+$)/g, '\u202f');
}

function upper(text) {
  return text === '' ? '' : text[0].toUpperCase() + text.slice(1);
}
