// The picture of the last minute: the weight as a thin line, and around where
// it last stood still a band of one division. People look rather than read.

import { grams } from '../format.js';
import { emptyTrail, follow, trailPicture } from '../trail.js';
import { el, setAttr, setText, show, svg } from './dom.js';

const BOX = { width: 600, height: 150 };
// It moves on so often; where less motion is wished for, seldom.
const DRAW_MS = 120;
const DRAW_CALM_MS = 1000;

/** The picture; rim.reducedMotion tells whether less motion is wished for. */
export function makeTrail(rim) {
  const band = svg('rect', { class: 'trail-band', x: 0, width: BOX.width });
  const line = svg('path', { class: 'trail-line' });
  const head = svg('path', { class: 'trail-head' });
  const high = el('span', { class: 'trail-high' });
  const low = el('span', { class: 'trail-low' });
  const told = el('span', { class: 'trail-division' });
  const none = el('p', { class: 'trail-none', text: 'The weight of the last minute is drawn here.' });
  const node = el('figure', { class: 'trail' },
    el('div', { class: 'trail-box' },
      svg('svg', { viewBox: `0 0 ${BOX.width} ${BOX.height}`, class: 'trail-drawing', preserveAspectRatio: 'none', role: 'img', 'aria-label': 'The weight over the last minute' }, band, line, head),
      high, low, none),
    el('figcaption', { class: 'trail-foot' }, el('span', { text: 'a minute ago' }), told, el('span', { text: 'now' })));
  let trail = emptyTrail();
  let drawnMS = -Infinity;
  return {
    node,
    /** Takes note of every state, also while another place is on screen. */
    follow(state) {
      trail = follow(trail, state);
    },
    update(nowMS, divisionG, decimals) {
      if (nowMS - drawnMS < (rim.reducedMotion() ? DRAW_CALM_MS : DRAW_MS)) return;
      drawnMS = nowMS;
      const p = trailPicture(trail, nowMS, divisionG, BOX.width, BOX.height);
      show(none, p === null);
      setAttr(line, 'd', p === null ? null : p.d);
      setAttr(head, 'd', p === null || p.head === null ? null : `M${p.head.x.toFixed(1)} ${p.head.y.toFixed(1)}h0.01`);
      setAttr(band, 'y', p?.band ? p.band.y.toFixed(1) : 0);
      setAttr(band, 'height', p?.band ? p.band.height.toFixed(1) : 0);
      setText(high, p === null ? '' : grams(p.high, decimals));
      setText(low, p === null ? '' : grams(p.low, decimals));
      setText(told, p?.band ? `the band is one step, ${grams(divisionG, decimals)}` : '');
    },
  };
}
