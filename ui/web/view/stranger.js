// Another scale than the one that is known answers: it is kept out until a
// person takes it on, and that asks a second time.

import { el, onChange, setText, show } from './dom.js';

const CONFIRM_MS = 12000;

/** The region; commands.take sends what was decided. */
export function makeStranger(rim, commands, guard) {
  const said = el('p', { class: 'sentence', role: 'alert' });
  const inside = el('div', {});
  const node = el('section', { class: 'stranger', 'aria-label': 'Another scale answers' }, inside, said);
  let asking = ''; // the sentence that the first press was decided on
  let askedAtMS = 0;
  const set = (sentence) => {
    asking = sentence;
    askedAtMS = rim.now();
    guard.changed();
  };
  const take = async (sentence) => {
    set('');
    const answer = await commands.take(sentence);
    setText(said, answer.ok ? '' : answer.sentence);
  };
  const draw = onChange((sentence, confirm) => inside.replaceChildren(...(confirm ? confirmation(sentence, guard, take, () => set('')) : offer(sentence, guard, () => set(sentence)))));
  return {
    node,
    update(stranger, nowMS) {
      show(node, stranger !== '' || said.textContent !== '');
      if (asking !== stranger || nowMS - askedAtMS > CONFIRM_MS) asking = '';
      if (stranger === '') inside.replaceChildren();
      draw(`${stranger}|${asking}`, stranger, asking !== '');
      show(inside, stranger !== '');
    },
  };
}

// What is different; what to do about it stands here as buttons.
function difference(sentence) {
  return sentence.split(/(?<=\.) (?=[A-Z])/)[0];
}

function offer(sentence, guard, press) {
  return [
    el('p', { class: 'stranger-told', text: difference(sentence) }),
    el('p', { text: 'Its readings are kept out. If it hangs here by mistake, plug in the one before: that is let in by itself.' }),
    el('button', { type: 'button', class: 'choice stranger-take', text: 'Use this scale from now on', on: { click: guard.press(press) } }),
  ];
}

function confirmation(sentence, guard, yes, no) {
  const heading = el('p', { class: 'confirm-head', text: 'Use this scale from now on?', tabindex: '-1' });
  queueMicrotask(() => heading.focus());
  return [el('div', { class: 'confirm', role: 'group', 'aria-label': 'Use this scale from now on: are you sure?' },
    el('button', { type: 'button', class: 'choice yes', text: 'Yes, use it', on: { click: guard.press(() => yes(sentence)) } }),
    el('div', { class: 'confirm-text' }, heading, el('p', { text: difference(sentence) }), el('p', { text: 'From then on the one before is the stranger.' })),
    el('button', { type: 'button', class: 'choice no', text: 'No, keep it out', on: { click: guard.press(no) } }))];
}
