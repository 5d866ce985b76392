// The foot: what comes before this page, and the simulated painter where the
// scale is simulated.

import { el, setText, show } from './dom.js';

/** The footer; commands.demo drives the simulated painter. */
export function makeFooter(commands, guard) {
  const said = el('span', { class: 'demo-said', role: 'status' });
  const button = (what, label) => el('button', {
    type: 'button', class: 'plain', text: label, on: { click: guard.press(async () => {
      const answer = await commands.demo(what);
      setText(said, answer.ok ? '' : answer.sentence);
    }) },
  });
  const demo = el('div', { class: 'demo', role: 'group', 'aria-label': 'Simulated scale' },
    el('span', { class: 'demo-mark', text: 'simulated scale' }), button('pour', 'Let the simulated painter pour'), button('pause', 'Pause'), said);
  const node = el('footer', { class: 'footer' }, demo, el('p', { class: 'first', text: 'The product sheet and local rules come first.' }));
  return {
    node,
    update: (state) => show(demo, state.hello !== null && state.hello.demo),
  };
}
