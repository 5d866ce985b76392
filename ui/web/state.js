// The state of the page: what the stream said last, and when the scale was
// last heard. Nothing here touches the document or a clock: the time of
// arrival comes with each message as at_ms, on the page's own steady clock.

/** What a page of this version can read. */
export const PROTOCOL_MAJOR = 1;

/** A number is grey after this long without a reading, however fast the scale is. */
export const STALE_MS = 300;
/** The scale counts as lost after this long. */
export const LOST_MS = 1000;
// A scale that sends once a second is not stale between two readings: three
// periods make it stale, five make it lost.
const STALE_PERIODS = 3;
const LOST_PERIODS = 5;
// Readings further apart than this are a gap and no period.
const PERIOD_MAX_MS = 2000;

/** The state before anything was heard. */
export function initial() {
  return {
    link: { open: false, sinceMS: 0, everOpen: false },
    hello: null,
    clockMS: 0, // how far the bench's clock is ahead of this page's
    view: null,
    weight: null,
    readingAtMS: null, // when the newest reading left the scale
    periodMS: 100, // the usual time between two readings
    health: null,
  };
}

/**
 * The state after a message. Messages are complete in themselves; one of a
 * type that is not known changes nothing, because fields and types are only
 * ever added.
 */
export function reduce(state, message) {
  switch (message.type) {
    case 'hello':
      return { ...state, hello: message, clockMS: clockAhead(message) };
    case 'view':
      return { ...state, view: message };
    case 'health':
      return { ...state, health: message };
    case 'weight':
      return weighed(state, message);
    case 'link':
      return linked(state, message);
    default:
      return state;
  }
}

// A tablet's clock may be wrong by hours; the pot life counts by the bench's.
function clockAhead(hello) {
  return hello.now_ms > 0 && hello.unix_ms > 0 ? hello.now_ms - hello.unix_ms : 0;
}

function linked(state, message) {
  if (message.open === state.link.open) return state;
  const link = { open: message.open, sinceMS: message.at_ms, everOpen: state.link.everOpen || message.open };
  return { ...state, link };
}

function weighed(state, message) {
  const readingAtMS = message.at_ms - message.age_ms;
  const gap = state.readingAtMS === null ? 0 : readingAtMS - state.readingAtMS;
  let { periodMS } = state;
  // The same reading sent again, only older, is none: its time stays the same
  // but for the jitter of the network.
  const fresh = state.readingAtMS === null || (gap > 15 && message.age_ms < gap);
  if (fresh && gap > 15 && gap <= PERIOD_MAX_MS) periodMS += (gap - periodMS) / 8;
  return {
    ...state,
    weight: message,
    periodMS,
    readingAtMS: fresh || gap > 0 ? readingAtMS : state.readingAtMS,
  };
}

/**
 * How the live number stands at a time: its age in milliseconds, whether it is
 * stale (draw it grey) or the scale is lost (say so, but while it waits: the
 * page was just loaded, and nothing has come yet that could tell), and whether it
 * belongs to the view on screen, so that amount and to-go mean something.
 */
export function heard(state, nowMS) {
  const ageMS = state.readingAtMS === null ? Infinity : Math.max(0, nowMS - state.readingAtMS);
  const lostMS = Math.max(LOST_MS, LOST_PERIODS * state.periodMS);
  const staleMS = Math.max(STALE_MS, STALE_PERIODS * state.periodMS);
  const scaleLost = state.health !== null && state.health.scale !== 'found';
  const trouble = state.weight !== null && state.weight.trouble === 'lost';
  const lost = !state.link.open || scaleLost || trouble || ageMS > lostMS;
  const untold = state.weight === null && (state.health === null || !scaleLost);
  return {
    ageMS,
    lost,
    waits: untold && (state.link.open || !state.link.everOpen),
    stale: lost || ageMS > staleMS,
    valid: state.weight !== null && state.weight.valid,
    matches: state.weight !== null && state.view !== null && state.weight.seq === state.view.seq,
  };
}

/**
 * Which of the bench's pictures a view asks for: choose, cup, tare, pour,
 * decide, held, stir or ended. dismissed is the batch that somebody has put
 * aside to mix another.
 */
export function place(view, dismissed = '') {
  if (view === null || view.batch === '' || view.state === 'idle') return 'choose';
  if (view.state === 'complete' || view.state === 'stopped' || view.state === 'aborted') {
    return view.batch === dismissed ? 'choose' : 'ended';
  }
  if (view.state === 'held') return 'held';
  return ['cup', 'tare', 'pour', 'decide', 'stir'].includes(view.phase) ? view.phase : 'tare';
}

/** What a command on this view was decided on. */
export function decidedOn(view) {
  return view === null ? { batch: '', version: 0 } : { batch: view.batch, version: view.seq };
}

/** Whether a batch is being mixed. */
export function busy(view) {
  return view !== null && (view.state === 'running' || view.state === 'held');
}

/** Whether the page is of another major version than the stream. */
export function outdated(state) {
  return state.hello !== null && state.hello.protocol[0] !== PROTOCOL_MAJOR;
}
