// Guided walks as every place knows them: what is under way, and what was broken
// off and rests. Pure but for the watch, which asks the bench.

import { makeNewest } from './newest.js';
import { ask } from './shelf.js';
import { busy } from './state.js';

const ASK_MS = 3000;
// A place waits no longer than this for what is known of walks.
const KNOWN_MS = 2000;
const PLACES = { shelf: 'Shelf', scale: 'Scale' };

/** What is known before the bench was asked. */
export const NO_WALKS = { going: [], broken: [], unkept: '' };

/** What the banner says of the bench that can not be reached: what is safe there. */
export function unreached(state, walks) {
  const [going] = walks.going;
  if (busy(state.view)) return 'The batch is safe there; this page is trying again.';
  if (going !== undefined) return `What ${going.what} has noted is kept there; this page is trying again.`;
  return 'This page is trying again.';
}

/** What was broken off or waits to be kept at another place than at: {place, text, way} each. Nothing while a batch is mixed. */
export function resting(state, walks, at) {
  if (busy(state.view)) return [];
  const notes = [...walks.broken, ...walks.going.filter((n) => n.done)];
  return notes.filter((n) => n.place !== at).map((n) => ({ place: n.place, text: n.said, way: `Go to ${PLACES[n.place]}` }));
}

/** Why what was weighed is not on disk, a sentence or "". */
export function unkept(walks) {
  return walks.unkept;
}

/**
 * Asks the bench now and then, the first time before the stream is open. now() is
 * the newest state. withKnown(fetch) is a fetch whose first answers come no sooner
 * than what is known of walks and whether a batch is mixed: so the line of what was
 * broken off is there before what it would push down.
 */
export function makeWalkWatch(rim) {
  const newest = makeNewest();
  let state = NO_WALKS;
  let dueMS = 0;
  let told = false;
  let asking = 0;
  let open = null;
  let release;
  const known = new Promise((done) => { release = done; });
  rim.setTimeout(release, KNOWN_MS);
  const look = async () => {
    const counts = newest.ask();
    asking++;
    try {
      const answer = await ask(rim.fetch, '/api/walks');
      if (counts()) state = { ...NO_WALKS, ...answer };
    } catch {
      // it stays as it was last known: the banner says why
    }
    told ||= counts(); // one that was overtaken tells nothing
    asking--;
  };
  return {
    now: () => state,
    withKnown: (fetch) => async (...args) => (await Promise.all([fetch(...args), known]))[0],
    update(page, nowMS) {
      if (told && page.view !== null) release();
      const first = open === null;
      if (open === false && page.link.open && asking === 0) dueMS = 0;
      open = page.link.open;
      if (nowMS < dueMS) return;
      dueMS = nowMS + ASK_MS;
      if (open || first) look();
    },
    /** Asks anew with the next update. */
    reset() {
      dueMS = 0;
    },
  };
}
