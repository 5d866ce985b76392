// The foot: what comes before this page, and, where the scale is simulated,
// hands to pour with: the painter's, or one's own.

import { makeNewest } from '../newest.js';
import { el, setAttr, setText, show } from './dom.js';

// While a pouring button is held, the jug is tipped again before the last tip
// has run out.
const TIP_MS = 180;
// A refusal of the simulated bench stays for a while.
const SAID_MS = 8000;

/** The footer; commands.demo drives the simulated bench. */
export function makeFooter(commands, guard, rim) {
  const said = el('span', { class: 'demo-said', role: 'status' });
  const hand = el('span', { class: 'demo-hand', role: 'status' });
  const first = el('p', { class: 'first', text: 'The product sheet and local rules come first.' });
  const buttons = [];
  let saidAtMS = 0;
  const say = (text) => {
    setText(said, text);
    saidAtMS = rim.now();
  };
  // Whose hand it was that this page asked for last. Whoever pours by hand
  // takes the jug from the painter.
  const holds = (painter) => {
    setText(hand, painter ? 'the painter pours' : 'you pour');
    for (const b of buttons) if (b.dataset.demo === 'pour') setAttr(b, 'data-on', painter);
  };
  const newest = makeNewest();
  const ask = async (body) => {
    const counts = newest.ask();
    const answer = await commands.demo(body);
    if (!counts()) return answer.ok;
    say(answer.ok ? '' : answer.sentence);
    if (answer.ok) holds(body.do === 'pour');
    return answer.ok;
  };
  const button = (body, label) => el('button', { type: 'button', class: 'plain', 'data-demo': body.do, text: label, on: { click: guard.press(() => ask(body)) } });
  buttons.push(
    button({ do: 'cup' }, 'Cup on'),
    button({ do: 'lift' }, 'Cup off'),
    holdButton('Hold to pour', 14, ask, rim),
    holdButton('Hold to dribble', 1.5, ask, rim),
    button({ do: 'pour' }, 'Painter, pour'),
    button({ do: 'pause' }, 'Painter, pause'));
  const demo = el('div', { class: 'demo', role: 'group', 'aria-label': 'Simulated scale' },
    el('p', { class: 'demo-mark' }, el('strong', { text: 'simulated' }), hand), ...buttons);
  const node = el('footer', { class: 'footer' }, demo, said, first);
  return {
    node,
    update(state, nowMS) {
      show(demo, state.hello !== null && state.hello.demo);
      if (nowMS - saidAtMS > SAID_MS) setText(said, '');
      show(first, said.textContent === '');
    },
  };
}

// A button that pours as long as it is held, by finger, mouse or key.
function holdButton(label, flow, ask, rim) {
  let held = false;
  let presses = 0;
  // Each press has its own jug: one that is let go and pressed again before the
  // answer is there pours once.
  const tip = async (mine) => {
    if (!held || mine !== presses) return;
    const poured = await ask({ do: 'tip', flow_g_s: flow });
    if (mine !== presses) return;
    if (!poured) held = false;
    if (held) rim.setTimeout(() => tip(mine), TIP_MS);
  };
  const begin = (event) => {
    event.preventDefault();
    if (held) return;
    held = true;
    tip(++presses);
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
