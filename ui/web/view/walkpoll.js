// Asking the daemon now and then how a guided walk stands, for the place that
// shows it.

import { ask } from '../shelf.js';

const QUICK_MS = 300; // while something is weighed, rests or is typed

/**
 * Asks once; m is the place, with its state, its order of answers and the time of
 * the next asking. now() tells, when the answer has come, whether it may take the
 * place of the state; take(state) does that; typing() tells of an open form;
 * slowMS is between two askings while nothing is under way.
 */
export async function askHowItStands(m, path, { now, take, typing, slowMS }) {
  m.asking = true;
  m.dueMS = Infinity; // unless somebody wants to know sooner meanwhile
  const counts = m.order.began();
  try {
    const state = await ask(m.rim.fetch, path);
    if (now() && counts(state, m.state)) take(state);
    m.gone = '';
  } catch (err) {
    m.gone = err.message;
  }
  m.dueMS = Math.min(m.dueMS, m.rim.now() + (m.state?.walk || m.state?.broken || typing() ? QUICK_MS : slowMS));
  m.asking = false;
}
