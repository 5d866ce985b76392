// Presses that were not meant: a second tap of the same finger, a tap on what
// has just appeared under it, the tap that wakes the screen, a key held down.

const SETTLE_MS = 400;
const WAKE_MS = 700;

/**
 * A guard that all buttons of the page share. changed() says that what can be
 * pressed has moved; press(action) makes a listener that runs the action only
 * for a press that was meant. Until when presses are passed over, and how many
 * were, stands on the document, for those who look for a press that did nothing.
 */
export function makeGuard(now) {
  const told = document.documentElement.dataset;
  let quietUntil = 0;
  const quiet = (ms) => {
    quietUntil = Math.max(quietUntil, now() + ms);
    told.quietUntil = String(Math.ceil(quietUntil));
  };
  const meant = () => {
    if (guard.open()) return true;
    told.passedOver = String(Number(told.passedOver ?? 0) + 1);
    return false;
  };
  document.addEventListener('visibilitychange', () => quiet(WAKE_MS));
  window.addEventListener('pageshow', () => quiet(WAKE_MS));
  document.addEventListener('keydown', (event) => {
    // A key that is held down repeats itself: one press is one press.
    if (event.repeat && (event.key === 'Enter' || event.key === ' ')) event.preventDefault();
  }, true);
  const guard = {
    changed: () => quiet(SETTLE_MS),
    open: () => now() >= quietUntil,
    press: (action) => (event) => {
      if (!meant()) return;
      quiet(SETTLE_MS);
      action(event);
    },
    // For buttons that only turn a number up or down, where quick taps are meant.
    step: (action) => (event) => {
      if (meant()) action(event);
    },
  };
  return guard;
}
