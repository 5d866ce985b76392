import assert from 'node:assert/strict';
import { test } from 'node:test';
import { backoff, BACKOFF_MS, openStream } from '../stream.js';

// A browser in which nothing happens by itself: time and sockets move by hand.
function browser() {
  const b = { sockets: [], timers: [], fetched: [], messages: [], ms: 0 };
  b.rim = {
    WebSocket: class {
      constructor(url) {
        this.url = url;
        this.sent = [];
        this.closed = false;
        b.sockets.push(this);
      }
      send(x) { this.sent.push(x); }
      close() {
        if (this.closed) return;
        this.closed = true;
        this.onclose?.();
      }
    },
    fetch: async (path) => { b.fetched.push(path); },
    now: () => b.ms,
    setTimeout: (f, after) => {
      const timer = { f, at: b.ms + after };
      b.timers.push(timer);
      return timer;
    },
    clearTimeout: (t) => { b.timers = b.timers.filter((x) => x !== t); },
  };
  b.pass = async (ms) => {
    const end = b.ms + ms;
    for (;;) {
      await new Promise((r) => setImmediate(r));
      const next = b.timers.filter((t) => t.at <= end).sort((x, y) => x.at - y.at)[0];
      if (next === undefined) break;
      b.timers = b.timers.filter((t) => t !== next);
      b.ms = next.at;
      next.f();
    }
    b.ms = end;
  };
  b.last = () => b.sockets[b.sockets.length - 1];
  b.open = () => openStream('ws://bench/stream', (m) => b.messages.push(m), b.rim);
  return b;
}
const hello = JSON.stringify({ type: 'hello' });

test('messages come with their time of arrival, and the link opens with hello', () => {
  const b = browser();
  b.open();
  b.ms = 40;
  b.last().onopen();
  b.last().onmessage({ data: hello });
  assert.deepEqual(b.messages, [{ type: 'link', open: true, at_ms: 40 }, { type: 'hello', at_ms: 40 }]);
});

test('what is no message is left out', () => {
  const b = browser();
  b.open();
  for (const data of ['', 'no json', '3', 'null', '{"kind":1}']) b.last().onmessage({ data });
  assert.deepEqual(b.messages, []);
});

test('it reconnects for ever, ever more slowly, and sends nothing', async () => {
  const b = browser();
  b.open();
  for (let i = 0; i < 30; i++) {
    b.last().close();
    await b.pass(backoff(i));
    assert.equal(b.sockets.length, i + 2, `attempt ${i}`);
  }
  assert.equal(b.sockets.flatMap((s) => s.sent).length, 0);
  assert.equal(backoff(1000), BACKOFF_MS[BACKOFF_MS.length - 1]);
  assert.ok(b.fetched.every((path) => path === '/'));
});

test('after a message the next wait is short again', async () => {
  const b = browser();
  b.open();
  for (let i = 0; i < 5; i++) {
    b.last().close();
    await b.pass(backoff(i));
  }
  assert.ok(b.timers.length === 1 && b.last().closed === false);
  b.last().onopen();
  b.last().onmessage({ data: hello });
  const count = b.sockets.length;
  b.last().close();
  await b.pass(BACKOFF_MS[0]);
  assert.equal(b.sockets.length, count + 1);
});

test('a silent connection is given up', async () => {
  const b = browser();
  b.open();
  b.last().onopen();
  b.last().onmessage({ data: hello });
  await b.pass(4000);
  assert.equal(b.sockets[0].closed, false);
  b.last().onmessage({ data: hello });
  await b.pass(4000);
  assert.equal(b.sockets[0].closed, false);
  await b.pass(2000);
  assert.equal(b.sockets[0].closed, true);
  assert.equal(b.messages.at(-1).open, false);
});

test('a refused connection asks for the page, which renews the session', async () => {
  const b = browser();
  b.open();
  b.last().close();
  await b.pass(1000);
  assert.deepEqual(b.fetched, ['/']);
});

test('a page that never comes does not keep it from connecting again', async () => {
  const b = browser();
  b.rim.fetch = () => new Promise(() => {});
  b.open();
  b.last().close();
  await b.pass(4000);
  assert.equal(b.sockets.length, 1, 'the session may still come');
  await b.pass(2000);
  assert.equal(b.sockets.length, 2);
  b.last().close();
  await b.pass(10000);
  assert.equal(b.sockets.length, 3, 'one at a time');
});

test('once closed it stays closed', async () => {
  const b = browser();
  const close = b.open();
  close();
  await b.pass(100000);
  assert.equal(b.sockets.length, 1);
  assert.deepEqual(b.timers, []);
});
