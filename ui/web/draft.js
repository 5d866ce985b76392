// What stands in a form that was not put yet: kept on this screen, so that a
// reload or a way out costs nothing. It is a convenience and may be gone. Pure,
// but for the storage that it is given.

import { day } from './stock.js';

const MEMORY = 'gramcup-drafts';
const MOST = 12;

/** The name of a draft: a new one of its kind, or a version of a kept one. */
export function draftKey(kind, form) {
  return form.id === '' ? `${kind}/new` : `${kind}/${form.id}/${form.revision}`;
}

/** Drafts in a storage; where that is forbidden they last as long as the page. */
export function makeDrafts(storage, unixNow) {
  let here = {};
  const all = () => {
    try {
      const kept = JSON.parse(storage.getItem(MEMORY) ?? 'null');
      return isPlain(kept) ? kept : here;
    } catch {
      return here;
    }
  };
  const write = (drafts) => {
    // The oldest go first, those of versions that nobody will open again.
    here = Object.fromEntries(Object.entries(drafts).sort(([, a], [, b]) => b.at - a.at).slice(0, MOST));
    try {
      storage.setItem(MEMORY, JSON.stringify(here));
    } catch {
      // They last as long as the page.
    }
  };
  return {
    keep: (key, form) => write({ ...all(), [key]: { at: unixNow(), form } }),
    drop(key) {
      const { [key]: gone, ...rest } = all();
      if (gone !== undefined) write(rest);
    },
    /** {at, form} of the latest draft of the same thing on another version; null for none. */
    older(key, first) {
      const [kind, id] = key.split('/');
      const found = Object.entries(all()).filter(([k, d]) => k !== key && k.startsWith(`${kind}/${id}/`) && isPlain(d) && sameShape(d.form, first));
      return found.length === 0 ? null : found.map(([k, d]) => ({ ...d, key: k })).sort((a, b) => b.at - a.at)[0];
    },
    /** {at, form} of a key that looks like first, a form of today's page; null for none. */
    get(key, first) {
      const draft = all()[key];
      return isPlain(draft) && sameShape(draft.form, first) ? draft : null;
    },
  };
}

const isPlain = (x) => typeof x === 'object' && x !== null && !Array.isArray(x);

// A page of another version may have kept another form.
function sameShape(form, first) {
  return isPlain(form) && Object.entries(first).every(([name, value]) => typeof form[name] === typeof value && Array.isArray(form[name]) === Array.isArray(value));
}

/** The sentence that a draft comes back with. */
export function draftText(draft, isNew) {
  const when = new Date(draft.at);
  const clock = `${when.getHours()}:${String(when.getMinutes()).padStart(2, '0')}`;
  return `${isNew ? 'Half typed' : 'Half changed'} ${day(draft.at)}, ${clock}, and not kept yet.`;
}
