import assert from 'node:assert/strict';
import { test } from 'node:test';
import { freshKey, makeCommands } from '../commands.js';

const BREAKS_OFF = Symbol('the connection ends before the body does');

// A bench that answers as told, one answer for each request; the last repeats.
function bench(...answers) {
  const got = [];
  const rim = {
    crypto: globalThis.crypto,
    sleep: async () => {},
    fetch: async (path, options) => {
      got.push({ path, body: options?.body === undefined ? null : JSON.parse(options.body) });
      const answer = answers.length > 1 ? answers.shift() : answers[0];
      if (answer === 'down') throw new TypeError('failed to fetch');
      const [status, body] = answer;
      if (body === BREAKS_OFF) return new Response(new ReadableStream({ start: (stream) => stream.error(new TypeError('network error')) }), { status });
      return new Response(typeof body === 'string' ? body : JSON.stringify(body), { status });
    },
  };
  return { got, send: (...a) => makeCommands(rim).send(...a), commands: makeCommands(rim) };
}

test('keys are 128 random bits in hex', () => {
  const keys = new Set(Array.from({ length: 200 }, () => freshKey(globalThis.crypto)));
  assert.equal(keys.size, 200);
  for (const key of keys) assert.match(key, /^[0-9a-f]{32}$/);
});

test('a command carries its verb, and the batch and version that were on screen', async () => {
  const b = bench([200, { ok: true }]);
  assert.equal((await b.send('hold', { batch: 'b', version: 4 })).ok, true);
  assert.equal(b.got.length, 1);
  assert.equal(b.got[0].path, '/api/command');
  const { key, ...rest } = b.got[0].body;
  assert.match(key, /^[0-9a-f]{32}$/);
  assert.deepEqual(rest, { batch: 'b', version: 4, do: 'hold' });
});

test('two presses have two keys', async () => {
  const b = bench([200, { ok: true }]);
  await b.send('hold', { batch: 'b', version: 4 });
  await b.send('hold', { batch: 'b', version: 4 });
  assert.notEqual(b.got[0].body.key, b.got[1].body.key);
});

test('a start carries its order', async () => {
  const b = bench([200, { ok: true }]);
  await b.send('start', { batch: '', version: 0 }, { recipe_id: 'r', kind: 'volume', ml: 600 });
  assert.deepEqual(b.got[0].body.start, { recipe_id: 'r', kind: 'volume', ml: 600 });
});

test('a lost command is sent again with the same key', async () => {
  const b = bench('down', [503, 'a proxy speaks'], [503, { ok: false, code: 'no-answer', sentence: 'Later.' }], [200, { ok: true }]);
  assert.equal((await b.send('keep', { batch: 'b', version: 7 })).ok, true);
  assert.equal(b.got.length, 4);
  assert.equal(new Set(b.got.map((g) => g.body.key)).size, 1);
  assert.equal(new Set(b.got.map((g) => g.body.version)).size, 1);
});

test('a bench that stays away gives a sentence in the end', async () => {
  const b = bench('down');
  const answer = await b.send('keep', { batch: 'b', version: 7 });
  assert.deepEqual([answer.ok, answer.code], [false, 'network']);
  assert.ok(b.got.length > 2 && b.got.length < 10);
});

test('a refusal is final and keeps its sentence', async () => {
  const refusal = { ok: false, code: 'stale', sentence: 'Look again.' };
  const b = bench([409, refusal]);
  assert.deepEqual(await b.send('keep', { batch: 'b', version: 7 }), refusal);
  assert.equal(b.got.length, 1);
  const frozen = bench([503, { ok: false, code: 'frozen', sentence: 'No book.' }]);
  assert.equal((await frozen.send('keep', 7)).sentence, 'No book.');
  assert.equal(frozen.got.length, 1);
});

test('a forgotten session is opened anew, and the command repeated with its key', async () => {
  const b = bench([403, { ok: false, code: 'no-session', sentence: 'Open anew.' }], [200, '<html>'], [200, { ok: true }]);
  assert.equal((await b.send('hold', { batch: 'b', version: 4 })).ok, true);
  assert.deepEqual(b.got.map((g) => g.path), ['/api/command', '/', '/api/command']);
  assert.equal(b.got[0].body.key, b.got[2].body.key);
});

test('an answer that is none gives a sentence with its status', async () => {
  const answer = await bench([418, 'tea']).send('hold', 1);
  assert.equal(answer.ok, false);
  assert.match(answer.sentence, /418/);
});

test('an answer that breaks off is asked for again with the same key', async () => {
  const b = bench([200, '{"ok":true,"recipe":{"na'], [200, { ok: true, id: 'quay', recipe: {} }]);
  assert.deepEqual(await b.commands.shelf({ do: 'put' }), { ok: true, id: 'quay', recipe: {} });
  assert.equal(b.got[0].body.key, b.got[1].body.key);
  assert.equal((await bench([200, '']).commands.settings({ do: 'shop' })).code, 'network', 'and is never called done');
});

test('a refusal that breaks off is asked for again: its sentence is what a person needs', async () => {
  const refusal = { ok: false, code: 'ask', sentence: 'That is unusual: is it so?' };
  const b = bench([409, BREAKS_OFF], [409, refusal]);
  assert.deepEqual(await b.commands.shelf({ do: 'put' }), refusal);
  assert.equal(b.got[0].body.key, b.got[1].body.key);
});

test('what is set of the shop goes one after the other, however slow the first is', async () => {
  const sent = [];
  const ends = [];
  const { settings } = makeCommands({
    crypto: globalThis.crypto,
    fetch: (path, options) => new Promise((end) => {
      sent.push(JSON.parse(options.body).shop_c);
      ends.push((status, body) => end(new Response(body, { status })));
    }),
  });
  const turn = async () => {
    for (let i = 0; i < 20; i++) await new Promise((done) => { setImmediate(done); });
  };
  const both = Promise.all([settings({ do: 'shop', shop_c: 21 }), settings({ do: 'shop', shop_c: 22 })]);
  await turn();
  assert.deepEqual(sent, [21], 'the second one waits');
  ends[0](502, 'a proxy speaks'); // nobody knows whether the first one arrived
  await turn();
  assert.deepEqual(sent, [21, 22]);
  ends[1](200, '{"ok":true}');
  assert.deepEqual((await both).map((a) => a.ok), [false, true]);
});

test('the simulated painter is asked', async () => {
  const b = bench([200, { ok: true }]);
  await b.commands.demo({ do: 'pour' });
  assert.deepEqual([b.got[0].path, b.got[0].body], ['/api/demo', { do: 'pour' }]);
});

test('another scale is taken on by the sentence that was read, with a fresh session if need be', async () => {
  const b = bench([403, { ok: false, code: 'no-session', sentence: 'Open / again.' }], [200, ''], [200, { ok: true }]);
  assert.equal((await b.commands.take('It shows 1 g steps.')).ok, true);
  assert.deepEqual(b.got.map((g) => g.path), ['/api/scale/take', '/', '/api/scale/take']);
  assert.deepEqual(b.got[2].body, { stranger: 'It shows 1 g steps.' });
  const stale = await bench([409, { ok: false, code: 'stale', sentence: 'Look again.' }]).commands.take('x');
  assert.equal(stale.sentence, 'Look again.');
  assert.equal((await bench('down').commands.take('x')).code, 'network');
});
