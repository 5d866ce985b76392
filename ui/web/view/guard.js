// Presses that were not meant: a second tap of the same finger, a tap on what
// has just appeared under it, the tap that wakes the screen, a key held down.

const SETTLE_MS = 400;
const WAKE_MS = 700;

/**
 * A guard that all buttons of the page share. changed() says that what can be
 * pressed has moved; press(action) makes a listener that runs the action only
 * for a press that was meant.
 */
export function makeGuard(now) {
  let quietUntil = 0;
  const quiet = (ms) => {
    quietUntil = Math.max(quietUntil, now() + ms);
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
      if (!guard.open()) return;
      quiet(SETTLE_MS);
      action(event);
    },
    // For buttons that only turn a number up or down, where quick taps are meant.
    step: (action) => (event) => {
      if (guard.open()) action(event);
    },
  };
  return guard;
}
