// What came of a batch: asked, poured and error of each component.

import { grams, lineText, millilitres, signedGrams, unbroken } from '../format.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

/** The region of an ended batch; another(batch) puts it aside. */
export function makeEnded(guard, another) {
  const mark = el('span', { class: 'ended-mark', 'aria-hidden': 'true' });
  const title = el('h1', { class: 'place-title', tabindex: '-1' });
  const detail = el('p', { class: 'work-detail' });
  const rows = el('tbody', {});
  const foot = el('p', { class: 'plan-total' });
  let batch = '';
  const node = el('section', { class: 'ended', 'aria-label': 'The finished batch' },
    el('div', { class: 'ended-head' }, mark, el('div', {}, title, detail)),
    el('table', { class: 'result' },
      el('caption', { class: 'unseen', text: 'What was asked and what was poured' }),
      el('thead', {}, el('tr', {}, ...['', 'component', 'asked', 'poured', 'error', 'line'].map((text) => el('th', { scope: 'col', text, class: ['asked', 'poured', 'error'].includes(text) ? 'n' : '' })))),
      rows),
    el('div', { class: 'ended-foot' }, foot,
      el('button', { type: 'button', class: 'start', text: 'Pour another', on: { click: guard.press(() => another(batch)) } })));
  const draw = onChange((view) => {
    setText(title, view.headline);
    setText(detail, unbroken([`${view.recipe}, ${view.ratio}`, !view.job_text ? '' : `For ${view.job_text}`, view.detail].filter(Boolean).join('. ')));
    setAttr(node, 'data-outcome', view.state !== 'complete' ? 'ended' : view.on_the_line ? 'on' : 'off');
    setText(mark, view.state !== 'complete' ? '■' : view.on_the_line ? '✓' : '△');
    rows.replaceChildren(...view.components.map((c) => row(c, view.decimals)));
    const poured = view.components.reduce((sum, c) => sum + c.poured_g, 0);
    const known = view.components.every((c) => c.density_g_ml > 0);
    const ml = known ? view.components.reduce((sum, c) => sum + c.poured_ml, 0) : 0;
    setText(foot, `In the cup ${[grams(poured, view.decimals), millilitres(ml)].filter(Boolean).join(' · ')}${view.level_ups > 0 ? ', levelled up' : ''}${view.index_text ? ` · ${view.index_text}` : ''}`);
    show(foot, poured > 0);
  });
  return {
    node,
    update(state) {
      batch = state.view.batch;
      draw(JSON.stringify(state.view), state.view);
    },
  };
}

function row(c, decimals) {
  const poured = c.poured_g > 0;
  const asked = c.target_g > 0;
  const { word, symbol } = lineText(poured ? c.line : '');
  return el('tr', { 'data-line': poured ? c.line : 'open' },
    el('td', { class: `swatch ${c.role}` }, el('span', {})),
    el('th', { scope: 'row' }, el('span', { text: c.name }),
      el('small', {}, `${c.role}, ${c.share}`, c.ratio_text ? el('span', { class: 'achieved', text: unbroken(`, achieved ${c.ratio_text}`) }) : ''),
      c.provenance ? el('small', { class: 'provenance', text: unbroken(c.provenance) }) : null),
    el('td', { class: 'n', text: asked ? grams(c.target_g, decimals) : '' }),
    el('td', { class: 'n strong', text: poured ? grams(c.poured_g, decimals) : '' }),
    el('td', { class: 'n', text: poured && asked ? signedGrams(c.poured_g - c.target_g, decimals) : '' }),
    el('td', { class: 'line-word' }, el('span', { class: 'symbol', text: symbol, 'aria-hidden': 'true' }), el('span', { text: c.kept ? `${word}, kept` : word })));
}
