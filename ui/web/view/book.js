// The book: batches that ended, each with its trace.

import { achievedShort, grams, lineText, millilitres, outcomeText, signedGrams, unbroken, when } from '../format.js';
import { tracePath } from '../geometry.js';
import { makeNewest } from '../newest.js';
import { ask } from '../shelf.js';
import { el, setAttr, setText, svg } from './dom.js';

const AGAIN_MS = 3000;
const TRACE = { width: 240, height: 64 };

/** The place of the book; open() asks for it anew. */
export function makeBook(rim) {
  const problem = el('p', { class: 'sentence' });
  const list = el('ol', { class: 'batches' });
  const node = el('section', { class: 'book', 'aria-labelledby': 'book-title' }, el('h1', { id: 'book-title', class: 'place-title', text: 'Book' }), problem, list);
  const newest = makeNewest();
  return {
    node,
    async open() {
      const counts = newest.ask();
      try {
        const { batches } = await ask(rim.fetch, '/api/book?limit=20');
        if (!counts()) return;
        setText(problem, batches.length === 0 ? 'Nothing has been written down yet: the first batch will stand here when it ends.' : '');
        const items = batches.map(item);
        list.replaceChildren(...items.map((i) => i.node));
        for (const i of items) { // one after the other: the bench has better to do
          if (!counts()) return;
          await i.load(rim.fetch);
        }
      } catch (err) {
        if (!counts()) return;
        setText(problem, `${err.message} Asking again.`);
        rim.setTimeout(() => { if (counts()) this.open(); }, AGAIN_MS);
      }
    },
    update() {},
  };
}

function item(batch) {
  const path = svg('path', { class: 'trace-line' });
  const trace = svg('svg', { viewBox: `0 -3 ${TRACE.width} ${TRACE.height + 6}`, class: 'trace', role: 'img', 'aria-label': 'Weight in the cup over time', preserveAspectRatio: 'none' },
    svg('path', { d: `M0 ${TRACE.height}H${TRACE.width}`, class: 'trace-base' }), path);
  const good = batch.outcome === 'complete' && batch.on_the_line;
  const outcome = outcomeText(batch.outcome, batch.on_the_line);
  const total = [grams(batch.total_g, 1), millilitres(batch.total_ml)].filter(Boolean).join(' · ');
  const node = el('li', { class: 'batch', 'data-good': good ? 'yes' : 'no' },
    el('div', { class: 'batch-head' },
      el('h2', { text: batch.recipe }),
      el('p', { text: [when(batch.ended_ms), total].filter(Boolean).join(', ') }),
      batch.job_text ? el('p', { text: `for ${batch.job_text}` }) : null,
      el('p', { class: 'batch-outcome' }, el('span', { text: good ? '✓ ' : batch.outcome === 'complete' ? '△ ' : '■ ', 'aria-hidden': 'true' }), el('span', { text: batch.level_ups > 0 ? `${outcome}, levelled up` : outcome }))),
    el('div', {}, el('ul', { class: 'batch-lines' }, ...batch.components.map(line)), el('p', { class: 'batch-achieved', text: achievedShort(batch) })),
    trace);
  return {
    node,
    async load(fetch) {
      const answer = await ask(fetch, `/api/book/trace?batch=${encodeURIComponent(batch.batch)}`).catch(() => ({ points: [] }));
      const d = tracePath(answer.points.map(([t, g]) => ({ t, g })), TRACE.width, TRACE.height);
      setAttr(path, 'd', d);
      setAttr(trace, 'data-empty', d === ''); // a batch may end before anything was weighed
    },
  };
}

function line(c) {
  const poured = c.poured_g > 0;
  const { symbol, word } = lineText(poured ? c.line : '');
  return el('li', { 'data-line': c.line },
    el('span', { class: 'symbol', text: symbol, title: word, role: 'img', 'aria-label': word }),
    el('span', { class: 'batch-name', text: c.name }),
    el('span', { class: 'n', text: poured ? grams(c.poured_g, 1) : '' }),
    el('span', { class: 'n faint', text: poured && c.target_g > 0 ? signedGrams(c.error_g, 1) : '' }),
    c.provenance ? el('small', { class: 'batch-from', text: unbroken(c.provenance) }) : null);
}
