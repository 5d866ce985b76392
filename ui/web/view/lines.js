// What the scale sends, as it comes: the bytes beside what was read from them,
// the newest at the bottom. It asks the bench only while it is open and on
// screen.

import { byteTokens, lineRead, timeOfDay } from '../bytes.js';
import { ask } from '../shelf.js';
import { el, setAttr, setText, show } from './dom.js';

/** So many lines stand in the document at most. */
export const LINES_MOST = 200;
const ASK_MS = 400;
const ASK_AGAIN_MS = 2000; // after the bench could not be reached

/** The raw view; rim holds what the browser gives, guard keeps off presses that were not meant. */
export function makeLines(rim, guard) {
  const list = el('ol', { class: 'lines', 'aria-label': 'What the scale sends, the newest at the bottom' });
  const problem = el('p', { class: 'sentence' });
  const hold = el('button', { type: 'button', class: 'plain lines-hold', 'aria-pressed': 'false', text: 'Stand still' });
  const node = el('div', { class: 'lines-box', id: 'scale-lines' },
    el('div', { class: 'lines-head' },
      el('p', { class: 'lines-told', text: 'Everything that came, byte for byte, with the control characters by their names, and what was read from each line.' }), hold),
    list, problem);
  const l = { next: 0, first: true, asking: false, dueMS: 0, held: false };
  hold.addEventListener('click', guard.press(() => {
    l.held = !l.held;
    setAttr(hold, 'aria-pressed', String(l.held));
    setText(hold, l.held ? 'Go on' : 'Stand still');
  }));
  show(node, false);
  return {
    node,
    /** Unfolds or folds it. */
    open(on) {
      show(node, on);
      l.dueMS = 0;
    },
    isOpen: () => !node.hidden,
    /** Called with every frame of the screen, and so only while the place is on it. */
    update(nowMS) {
      if (node.hidden || l.held || l.asking || nowMS < l.dueMS) return;
      l.asking = true;
      look(rim, l, list, problem).finally(() => {
        l.asking = false;
      });
    },
  };
}

async function look(rim, l, list, problem) {
  try {
    const answer = await ask(rim.fetch, `/api/scale/lines?after=${l.next}`);
    if (l.held) return; // pressed while these were on their way; they are asked for again afterwards
    l.dueMS = rim.now() + ASK_MS;
    setText(problem, '');
    if (answer.next < l.next) list.replaceChildren(); // the bench was started anew
    append(list, answer, l.first || answer.next < l.next);
    l.next = answer.next;
    l.first = false;
  } catch (err) {
    l.dueMS = rim.now() + ASK_AGAIN_MS;
    setText(problem, err.message);
  }
}

// Who has scrolled up to read stays there; else the newest stays in view.
function append(list, answer, first) {
  if (answer.lines.length === 0) return;
  const atEnd = first || list.scrollHeight - list.scrollTop - list.clientHeight < 24;
  const fresh = answer.lines.slice(-LINES_MOST).map(row);
  if (answer.missed && !first) fresh.unshift(el('li', { class: 'line gap', text: 'Some lines came faster than they could be shown.' }));
  list.append(...fresh);
  while (list.childElementCount > LINES_MOST) list.firstElementChild.remove();
  if (atEnd) list.scrollTop = list.scrollHeight;
}

function row(line) {
  const read = lineRead(line);
  return el('li', { class: 'line', 'data-kind': line.kind },
    el('time', { class: 'line-time', text: timeOfDay(line.at_ms) }),
    el('code', { class: 'line-bytes' }, ...byteTokens(line.bytes).map((t) => el('span', { class: `b-${t.kind}`, text: t.text }))),
    el('span', { class: 'line-read' }, el('span', { class: 'line-mark', 'aria-hidden': 'true', text: read.mark }), el('span', {}, read.strong === '' ? null : el('strong', { text: read.strong }), read.text)));
}
