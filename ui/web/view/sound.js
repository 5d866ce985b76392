// Sound: off until somebody turns it on, and never needed.

import { cue } from '../format.js';
import { heard, place } from '../state.js';
import { sound } from '../tone.js';
import { el, setAttr, setText, svg } from './dom.js';

const SAID = { on: [[660, 0], [990, 0.14]], past: [[330, 0], [262, 0.16]], lost: [[220, 0], [220, 0.2], [220, 0.4]] };
const VOLUME = 0.25;

/** The button for sound and what plays it. */
export function makeSound(guard) {
  const label = el('span', {});
  const wave = svg('path', { d: 'M16.500 8.500a5 5 0 0 1 0 7M19 6a8.500 8.500 0 0 1 0 12', class: 'wave' });
  const cross = svg('path', { d: 'M16 9l6 6M22 9l-6 6', class: 'cross' });
  const button = el('button', { type: 'button', class: 'sound', 'aria-pressed': 'false' },
    svg('svg', { viewBox: '0 0 24 24', 'aria-hidden': 'true' }, svg('path', { d: 'M3 9v6h4l6 5V4L7 9z' }), wave, cross), label);
  const player = { context: null, on: false, wanted: false, nextMS: 0, last: 'silent' };
  const draw = () => {
    setAttr(button, 'aria-pressed', player.on ? 'true' : 'false');
    setText(label, player.on ? 'Sound on' : 'Sound off');
  };
  button.addEventListener('click', guard.press(async () => {
    player.wanted = !player.wanted;
    player.on = player.on && player.wanted;
    draw();
    if (!player.wanted || !await wake(player)) {
      player.wanted = player.on;
      return;
    }
    player.on = player.wanted; // pressed again while the browser woke its sound up: off
    if (player.on) play(player.context, 660, 0, 0.08);
    draw();
  }));
  draw();
  return {
    button,
    update(state, nowMS) {
      if (!player.on) return;
      const { view, weight } = state;
      const h = heard(state, nowMS);
      const c = cue(view, weight, h);
      const target = view === null || view.components.length === 0 ? 0 : view.components[view.current].target_g;
      // A held batch waits for a person: that is worth a call, once.
      const tone = place(view) === 'held' ? 'lost' : c === null ? 'none' : c.tone;
      hear(player, sound(tone, weight === null ? 0 : weight.to_go_g, target), nowMS);
    },
  };
}

// A browser may have no sound or forbid it: then the button stays off.
async function wake(player) {
  try {
    player.context ??= new AudioContext();
    await player.context.resume();
    return player.context.state === 'running';
  } catch {
    return false;
  }
}

function hear(player, s, nowMS) {
  if (s.kind === 'blip') {
    if (nowMS < player.nextMS) return;
    player.nextMS = nowMS + s.everyMS;
    play(player.context, s.hz, 0, 0.06);
  } else if (s.kind !== player.last && SAID[s.kind] !== undefined) {
    for (const [hz, at] of SAID[s.kind]) play(player.context, hz, at, 0.13);
  }
  player.last = s.kind;
}

function play(context, hz, afterS, lengthS) {
  const at = context.currentTime + afterS;
  const tone = context.createOscillator();
  const loud = context.createGain();
  tone.type = 'triangle';
  tone.frequency.value = hz;
  loud.gain.setValueAtTime(0, at);
  loud.gain.linearRampToValueAtTime(VOLUME, at + 0.008);
  loud.gain.linearRampToValueAtTime(0, at + lengthS);
  tone.connect(loud).connect(context.destination);
  tone.start(at);
  tone.stop(at + lengthS + 0.02);
}
