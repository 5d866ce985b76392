// A scale that answers and is kept out: another one than the one that is known, or
// the known one in another unit. A person may take it as it is, and that asks a
// second time.

import { makeOnce } from '../newest.js';
import { el, onChange, setAttr, setText, show } from './dom.js';

const CONFIRM_MS = 12000;

const KINDS = {
  stranger: {
    name: 'Another scale answers',
    way: 'Its readings are kept out. If it hangs here by mistake, plug in the one before: that is let in by itself.',
    take: 'Use this scale from now on', sure: 'Use this scale from now on?',
    then: 'From then on the one before is the stranger.', yes: 'Yes, use it', no: 'No, keep it out',
  },
  unit: {
    name: 'The scale shows another unit',
    way: 'Its readings are kept out. Set it back on the scale, and it is let in by itself.',
    take: 'Keep it as it is', sure: 'Keep the scale as it is?',
    then: 'Look at the display of the scale first: were it in a unit that is not named here, every weight would be wrong.',
    yes: 'Yes, keep it', no: 'No, keep it out',
  },
};

/** What is kept out, of a health message: the kind and the sentence on it, "" where nothing is. Pure. */
export function keptOut(health) {
  const stranger = health?.stranger ?? '';
  const unit = health?.other_unit ?? '';
  return stranger !== '' || unit === '' ? { kind: 'stranger', sentence: stranger } : { kind: 'unit', sentence: unit };
}

/** The region; commands.take sends what was decided. */
export function makeStranger(rim, commands, guard) {
  const said = el('p', { class: 'sentence', role: 'alert' });
  const inside = el('div', {});
  const node = el('section', { class: 'stranger', 'aria-label': KINDS.stranger.name }, inside, said);
  let asking = ''; // the sentence that the first press was decided on
  let askedAtMS = 0;
  const set = (sentence) => {
    asking = sentence;
    askedAtMS = rim.now();
    guard.changed();
  };
  const once = makeOnce();
  const take = (sentence) => once.run('take', async () => {
    set('');
    const answer = await commands.take(sentence);
    setText(said, answer.ok ? '' : answer.sentence);
    saidOn = sentence;
  });
  let saidOn = ''; // the sentence that a refusal was about
  const draw = onChange((kept, confirm, busy) => inside.replaceChildren(...(confirm ? confirmation(kept, guard, take, () => set('')) : offer(kept, guard, () => set(kept.sentence), busy))));
  return {
    node,
    update(health, nowMS) {
      const kept = keptOut(health);
      if (kept.sentence === '' && saidOn !== '') { // it is gone, and so is what was said of it
        saidOn = '';
        setText(said, '');
      }
      show(node, kept.sentence !== '' || said.textContent !== '');
      setAttr(node, 'aria-label', KINDS[kept.kind].name);
      if (asking !== kept.sentence || nowMS - askedAtMS > CONFIRM_MS) asking = '';
      if (kept.sentence === '') inside.replaceChildren();
      draw(`${kept.kind}|${kept.sentence}|${asking}|${once.busy()}`, kept, asking !== '', once.busy());
      show(inside, kept.sentence !== '');
    },
  };
}

// What is different; what to do about it stands here as buttons.
function difference(sentence) {
  return sentence.split(/(?<=\.) (?=[A-Z])/)[0];
}

function offer({ kind, sentence }, guard, press, busy) {
  return [
    el('p', { class: 'stranger-told', text: difference(sentence) }),
    el('p', { text: KINDS[kind].way }),
    el('button', { type: 'button', class: 'choice stranger-take', disabled: busy, text: busy ? 'One moment …' : KINDS[kind].take, on: { click: guard.press(press) } }),
  ];
}

function confirmation({ kind, sentence }, guard, yes, no) {
  const words = KINDS[kind];
  const heading = el('p', { class: 'confirm-head', text: words.sure, tabindex: '-1' });
  queueMicrotask(() => heading.focus());
  return [el('div', { class: 'confirm', role: 'group', 'aria-label': words.sure.replace('?', ': are you sure?') },
    el('button', { type: 'button', class: 'choice yes', text: words.yes, on: { click: guard.press(() => yes(sentence)) } }),
    el('div', { class: 'confirm-text' }, heading, el('p', { text: difference(sentence) }), el('p', { text: words.then })),
    el('button', { type: 'button', class: 'choice no', text: words.no, on: { click: guard.press(no) } }))];
}
