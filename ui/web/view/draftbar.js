// What was typed into a form and not put yet: kept as it is typed, and offered
// back on top of the form, with a way to begin anew and back again.

import { draftKey, draftText, makeDrafts } from '../draft.js';
import { el, setText, show } from './dom.js';

// What a form is without what only the page adds, and without empty fields.
const plain = (form) => JSON.stringify(form, (name, value) => (name === 'confirm' || name === 'share' || value === '' ? undefined : value));

/**
 * The drafts of a kind of form. place has the rim and the guard, f holds the form
 * of now, fill(form) shows another one.
 */
export function makeDraftBar(place, kind, f, fill) {
  const drafts = makeDrafts(place.rim.storage, place.rim.unixNow);
  const m = { first: null, key: '', was: '', before: null };
  const said = el('p', { class: 'undo-text', role: 'status' });
  const button = (verb, text, act) => el('button', { type: 'button', class: 'plain', 'data-draft': verb, text, on: { click: place.guard.press(act) } });
  const anew = button('anew', 'Begin anew', () => {
    m.before = f.form;
    drafts.drop(m.key);
    fill(m.first());
    say('Begun anew.');
  });
  const back = button('back', 'Bring it back', () => {
    const form = m.before;
    m.before = null;
    fill(form);
    say('Brought back.');
  });
  const node = el('div', { class: 'draft' }, said, anew, back);
  const say = (text) => {
    place.guard.changed();
    setText(said, text);
    show(node, text !== '');
    show(anew, m.before === null);
    show(back, m.before !== null);
  };
  return {
    node,
    /** Shows the form that first() makes, or what was typed into it before. */
    begin(first) {
      const form = first();
      Object.assign(m, { first, key: draftKey(kind, form), was: plain(form), before: null });
      const draft = drafts.get(m.key, form);
      fill(draft === null ? form : { ...draft.form, confirm: false });
      say(draft === null ? '' : draftText(draft, form.id === ''));
    },
    /** What was typed into the same thing before another page changed it, null for nothing. */
    older() {
      const first = m.first();
      return first.id === '' || drafts.get(m.key, first) !== null ? null : drafts.older(m.key, first);
    },
    /** Goes on with the form of an older version, up to its rebase. */
    resume(older) {
      Object.assign(m, { key: older.key, was: '' });
      fill({ ...older.form, confirm: false });
    },
    /** Goes on with a form that stands on another version now; what was typed into it is half typed on that one. */
    rebase(first, form, sentence) {
      drafts.drop(m.key);
      Object.assign(m, { first, key: draftKey(kind, form), was: plain(first()), before: null });
      fill(form);
      say(sentence);
      this.keep();
    },
    /** Keeps what stands in the form now, if it is more than it began with. */
    keep() {
      if (m.first === null) return;
      if (plain(f.form) === m.was) drafts.drop(m.key);
      else drafts.keep(m.key, f.form);
    },
    /** The form is being put: gives what to call when it was, and nothing of it is half typed any more. */
    putting() {
      const { first, key } = m;
      return () => {
        drafts.drop(key);
        if (m.first === first) m.first = null; // else another form is open
      };
    },
    /** What is half typed as a new one, null for nothing. */
    halfTyped: (first) => drafts.get(draftKey(kind, first), first)?.form ?? null,
  };
}

/** What is said of a form that was left before its refusal came: it is still half typed. */
export function lateText(name, answer) {
  return answer.code === 'network' ? `${name}: ${answer.sentence}` : `${name} was not kept, and is still half typed here: ${answer.sentence}`;
}

/** Keeps the draft of a form at whatever is done in it. */
export function keepsDraft(node, draft) {
  for (const event of ['input', 'change', 'click']) node.addEventListener(event, draft.keep);
}
