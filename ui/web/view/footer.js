// The foot: what comes before this page, and, where the scale is simulated,
// hands to pour with: the painter's, or one's own.

import { el, setText, show } from './dom.js';

// While a pouring button is held, the jug is tipped again before the last tip
// has run out.
const TIP_MS = 180;

/** The footer; commands.demo drives the simulated bench. */
export function makeFooter(commands, guard, rim) {
  const said = el('span', { class: 'demo-said', role: 'status' });
  const ask = async (body) => {
    const answer = await commands.demo(body);
    setText(said, answer.ok ? '' : answer.sentence);
    return answer.ok;
  };
  const button = (body, label) => el('button', { type: 'button', class: 'plain', 'data-demo': body.do, text: label, on: { click: guard.press(() => ask(body)) } });
  const hands = [
    button({ do: 'cup' }, 'Cup on'),
    button({ do: 'lift' }, 'Cup off'),
    holdButton('Hold to pour', 14, ask, rim),
    holdButton('Hold to dribble', 1.5, ask, rim),
  ];
  const demo = el('div', { class: 'demo', role: 'group', 'aria-label': 'Simulated scale' },
    el('span', { class: 'demo-mark', text: 'simulated' }), ...hands, button({ do: 'pour' }, 'Painter, pour'), button({ do: 'pause' }, 'Painter, pause'), said);
  const node = el('footer', { class: 'footer' }, demo, el('p', { class: 'first', text: 'The product sheet and local rules come first.' }));
  return {
    node,
    update: (state) => show(demo, state.hello !== null && state.hello.demo),
  };
}

// A button that pours as long as it is held, by finger, mouse or key.
function holdButton(label, flow, ask, rim) {
  let held = false;
  const tip = async () => {
    if (!held) return;
    if (!await ask({ do: 'tip', flow_g_s: flow })) held = false;
    if (held) rim.setTimeout(tip, TIP_MS);
  };
  const begin = (event) => {
    event.preventDefault();
    if (held) return;
    held = true;
    tip();
  };
  const end = () => { held = false; };
  const isPress = (event) => event.key === ' ' || event.key === 'Enter';
  return el('button', {
    type: 'button', class: 'plain hold', 'data-demo': `tip-${flow}`, text: label, 'aria-label': `${label}, ${flow} grams a second`,
    on: {
      pointerdown: begin, pointerup: end, pointercancel: end, pointerleave: end, blur: end,
      keydown: (event) => isPress(event) && begin(event), keyup: (event) => isPress(event) && end(),
      contextmenu: (event) => event.preventDefault(),
    },
  });
}
