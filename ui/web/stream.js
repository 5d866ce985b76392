// The stream from the bench. It reconnects for ever; connecting, also again,
// sends nothing and so can start nothing.

/** The waits between attempts, in milliseconds; the last one repeats. */
export const BACKOFF_MS = [200, 500, 1000, 2000, 3000, 5000];
// The bench sends at least four times a second, so silence of this length
// means a dead connection that nobody has closed.
const SILENCE_MS = 5000;

/**
 * Opens the stream and keeps it open. onMessage gets every message with at_ms,
 * its arrival on the page's steady clock, and messages of type link when the
 * connection opens and closes. rim holds what the browser gives (WebSocket,
 * fetch, now, setTimeout, clearTimeout), so that a test can give its own.
 * Returns a function that closes it for good.
 */
export function openStream(url, onMessage, rim) {
  let attempt = 0;
  let socket = null;
  let watch = null;
  let stopped = false;

  const listen = () => {
    rim.clearTimeout(watch);
    watch = rim.setTimeout(() => socket.close(), SILENCE_MS);
  };
  // A bench that was started anew has forgotten this page's session; the page
  // itself brings a new one. Where no answer comes it goes on without.
  const renew = (then) => {
    let waits = true;
    const go = () => {
      if (!waits) return;
      waits = false;
      rim.clearTimeout(late);
      then();
    };
    const late = rim.setTimeout(go, SILENCE_MS);
    rim.fetch('/', { cache: 'no-store' }).then(go, go);
  };
  const connect = () => {
    if (stopped) return;
    let opened = false;
    let ended = false;
    const ws = new rim.WebSocket(url);
    socket = ws;
    listen();
    ws.onopen = () => {
      opened = true;
    };
    ws.onmessage = (event) => {
      listen();
      const message = parse(event.data);
      if (message === null) return;
      attempt = 0;
      if (message.type === 'hello') onMessage({ type: 'link', open: true, at_ms: rim.now() });
      onMessage({ ...message, at_ms: rim.now() });
    };
    ws.onclose = () => {
      if (ended || stopped) return;
      ended = true;
      rim.clearTimeout(watch);
      onMessage({ type: 'link', open: false, at_ms: rim.now() });
      if (opened) rim.setTimeout(connect, backoff(attempt++));
      else renew(() => rim.setTimeout(connect, backoff(attempt++)));
    };
  };
  connect();
  return () => {
    stopped = true;
    rim.clearTimeout(watch);
    socket.close();
  };
}

/** The wait before an attempt, counted from 0. */
export function backoff(attempt) {
  return BACKOFF_MS[Math.min(attempt, BACKOFF_MS.length - 1)];
}

function parse(text) {
  try {
    const message = JSON.parse(text);
    return typeof message === 'object' && message !== null && typeof message.type === 'string' ? message : null;
  } catch {
    return null;
  }
}
