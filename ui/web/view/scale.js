// The scale: whether it is heard, what it says, what it is.

import { ago, decimal, troubleText } from '../format.js';
import { heard } from '../state.js';
import { el, setAttr, setText } from './dom.js';

/** The place of the scale. */
export function makeScale() {
  const digits = el('span', { class: 'scale-digits' });
  const state = el('p', { class: 'scale-state' });
  const facts = ['Connection', 'Scale', 'Last heard', 'Time between readings', 'Weight', 'Step', 'Program'].map((name) => ({ name, value: el('dd', {}) }));
  const problems = el('div', { class: 'scale-problems' });
  const cautions = el('div', { class: 'cautions' });
  const node = el('section', { class: 'scale-place', 'aria-labelledby': 'scale-title' },
    el('h1', { id: 'scale-title', class: 'place-title', text: 'Scale' }),
    el('div', { class: 'scale-live' }, el('div', { class: 'number-row' }, digits, el('span', { class: 'number-unit', text: 'g' })), state),
    el('dl', { class: 'facts' }, ...facts.map((f) => el('div', {}, el('dt', { text: f.name }), f.value))), problems, cautions);
  return {
    node,
    open() {},
    update(s, nowMS) {
      const h = heard(s, nowMS);
      const shown = s.weight !== null && h.valid;
      setText(digits, shown ? decimal(s.weight.shown_g, s.view === null ? 1 : s.view.decimals) : '– –');
      setAttr(digits, 'data-stale', h.stale);
      setText(state, h.lost ? 'The scale can not be heard.' : !shown ? troubleText(s.weight === null ? '' : s.weight.trouble) : s.weight.still ? 'stands still' : 'moves');
      const values = [
        { found: 'found', lost: 'lost', never: 'not heard yet' }[s.health?.scale] ?? 'not known',
        s.health?.identity || 'not known',
        h.ageMS < 1000 ? 'just now' : ago(h.ageMS),
        s.readingAtMS === null ? 'not known' : `about ${Math.round(s.periodMS / 10) * 10} ms`,
        !shown ? 'none' : s.weight.still ? 'still' : 'moving',
        s.view !== null && s.view.division_g > 0 ? `${s.view.division_g} g` : 'known once a batch runs',
        s.hello === null ? '' : `gramcup ${s.hello.version}`,
      ];
      facts.forEach((f, i) => setText(f.value, values[i]));
      const text = (s.health?.problems ?? []).join('\n');
      if (problems.dataset.text !== text) {
        problems.dataset.text = text;
        problems.replaceChildren(...text.split('\n').filter(Boolean).map((line) => el('p', { class: 'sentence', text: line })));
      }
      const said = (s.hello?.cautions ?? []).join('\n');
      if (cautions.dataset.text !== said) {
        cautions.dataset.text = said;
        cautions.replaceChildren(...said.split('\n').filter(Boolean).map((line) => el('p', { text: line })));
      }
    },
  };
}
