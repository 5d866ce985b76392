// Wires the page: stream → state → regions. All that the browser gives comes
// from here, in one object, so that everything else can be tried without one.

import { makeCommands } from './commands.js';
import { initial, outdated, reduce } from './state.js';
import { openStream } from './stream.js';
import { makeBanner } from './view/banner.js';
import { makeBench } from './view/bench.js';
import { makeBook } from './view/book.js';
import { el, show } from './view/dom.js';
import { makeFooter } from './view/footer.js';
import { makeGuard } from './view/guard.js';
import { makeHeader, PLACES } from './view/header.js';
import { makeScale } from './view/scale.js';
import { makeShelf } from './view/shelf.js';
import { makeSound } from './view/sound.js';
import { makeSpeak } from './view/speak.js';
import { makeWalkWatch } from './walks.js';

const still = window.matchMedia('(prefers-reduced-motion: reduce)');
const rim = {
  WebSocket: window.WebSocket,
  crypto: window.crypto,
  fetch: (...args) => window.fetch(...args),
  now: () => performance.now(),
  unixNow: () => Date.now(),
  setTimeout: (f, ms) => window.setTimeout(f, ms),
  clearTimeout: (t) => window.clearTimeout(t),
  sleep: (ms) => new Promise((done) => { window.setTimeout(done, ms); }),
  reducedMotion: () => still.matches,
  storage: safeStorage(),
};

// A browser may forbid its storage; then nothing is remembered.
function safeStorage() {
  try {
    return window.localStorage;
  } catch {
    return { getItem: () => null, setItem: () => {} };
  }
}

const guard = makeGuard(rim.now);
const commands = makeCommands(rim);
const sound = makeSound(guard);
const header = makeHeader(rim, sound.button);
const banner = makeBanner(guard);
const walks = makeWalkWatch(rim);
const asks = { ...rim, fetch: walks.withKnown(rim.fetch) };
const places = { bench: makeBench(asks, commands, guard), shelf: makeShelf(asks, commands, guard), book: makeBook(asks), scale: makeScale(asks, commands, guard) };
const footer = makeFooter(commands, guard, rim);
const speak = makeSpeak();
const main = el('main', { class: 'main' }, ...PLACES.map((p) => places[p.id].node));
document.getElementById('page').replaceChildren(header.node, ...banner.nodes, main, footer.node, speak.node);

let state = initial();
let at = '';

function go() {
  const [wanted, what] = window.location.hash.slice(1).split('/');
  const next = places[wanted] === undefined ? 'bench' : wanted;
  if (next === at) return;
  at = next;
  guard.changed();
  document.body.dataset.place = at;
  for (const p of PLACES) show(places[p.id].node, p.id === at);
  walks.reset();
  places[at].open?.(what);
}

function draw() {
  const now = rim.now();
  header.update(state, now, at);
  walks.update(state, now);
  banner.update(state, now, at, walks.now());
  places.scale.follow(state);
  places[at].update(state, now);
  footer.update(state, now);
  speak.update(state);
  sound.update(state, now);
}

// Each frame of the screen draws once: the level glides, ages grow, and the
// number is always the newest.
function frame() {
  draw();
  window.requestAnimationFrame(frame);
}

// The page of an older program loads itself anew, once, so that a server with
// a fault does not make it spin.
function refreshOutdated() {
  if (!outdated(state) || window.sessionStorage.getItem('gramcup-anew') === state.hello.version) return;
  window.sessionStorage.setItem('gramcup-anew', state.hello.version);
  window.location.reload();
}

window.addEventListener('hashchange', go);
document.addEventListener('keydown', (event) => {
  const typing = event.target instanceof HTMLInputElement;
  if (event.key !== 'h' || event.repeat || event.ctrlKey || event.metaKey || event.altKey || typing || at !== 'bench') return;
  places.bench.hold(state);
});
go();
openStream(`${window.location.protocol === 'https:' ? 'wss' : 'ws'}://${window.location.host}/stream`, (message) => {
  state = reduce(state, message.type === 'hello' ? { ...message, unix_ms: rim.unixNow() } : message);
  if (message.type === 'hello') refreshOutdated();
}, rim);
frame();
