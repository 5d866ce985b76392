// The head of every place: which bench this is, where one can go, the clock
// of the pot life, sound, and whether the scale is heard.

import { age, countdown, potLife } from '../format.js';
import { busy, heard } from '../state.js';
import { el, setAttr, setText, show } from './dom.js';

export const PLACES = [
  { id: 'bench', label: 'Bench' },
  { id: 'shelf', label: 'Shelf' },
  { id: 'book', label: 'Book' },
  { id: 'scale', label: 'Scale' },
];

/** The header; soundButton stands in it. */
export function makeHeader(rim, soundButton) {
  const station = el('span', { class: 'station' });
  const links = PLACES.map((p) => el('a', { href: `#${p.id}`, class: 'nav-link', 'data-place': p.id, text: p.label }));
  const clock = el('div', { class: 'clock', title: 'From the product sheet, at 20 °C' });
  const clockTime = el('strong', { class: 'clock-time' });
  clock.append(el('span', { class: 'clock-label', text: 'pot life' }), clockTime, el('span', { class: 'clock-source', text: 'from the sheet, at 20 °C' }));
  const dot = el('span', { class: 'dot', 'aria-hidden': 'true' });
  const alive = el('span', { class: 'alive-text' });
  const node = el('header', { class: 'header' },
    el('nav', { class: 'nav', 'aria-label': 'Places' }, ...links), station, clock, el('div', { class: 'alive' }, dot, alive), soundButton);
  return {
    node,
    update(state, nowMS, at) {
      setText(station, state.hello === null ? 'gramcup' : state.hello.station);
      setAttr(station, 'title', station.textContent); // a long name may be cut
      for (const link of links) {
        setAttr(link, 'aria-current', link.dataset.place === at ? 'page' : null);
        setAttr(link, 'data-busy', link.dataset.place === 'bench' && at !== 'bench' && busy(state.view));
      }
      drawClock(clock, clockTime, potLife(state.view, rim.unixNow() + state.clockMS));
      const [sign, word] = standing(state, heard(state, nowMS));
      setAttr(dot, 'data-state', sign);
      setText(alive, word);
    },
  };
}

// The sign and the word of how the scale is heard.
function standing(state, h) {
  if (h.waits) return ['waiting', 'waiting'];
  if (!state.link.open) return ['lost', 'no bench'];
  if (h.lost) return ['lost', 'scale lost'];
  return h.stale ? ['stale', `${age(h.ageMS)} old`] : ['live', 'scale live'];
}

function drawClock(clock, time, pot) {
  show(clock, pot !== null);
  if (pot === null) return;
  setAttr(clock, 'data-state', pot.over ? 'over' : pot.short ? 'short' : 'runs');
  setText(time, pot.over ? 'over' : countdown(pot.leftMS));
}
