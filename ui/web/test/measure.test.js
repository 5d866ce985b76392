import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { howText, offers } from '../view/measure.js';

const walk = (more) => ({ at: 1, this: '', result: null, noted_g: 0, waits: '', still: false, division_g: 0.1, ...more });
const verbs = (list) => list.map(([verb]) => verb);

test('what can be pressed follows the walk, and nothing is thrown away at one press', () => {
  assert.deepEqual(verbs(offers(walk(), '')), ['cancel']);
  assert.deepEqual(verbs(offers(walk({ at: 2, this: 'It stands at the mark' }), '')), ['this', 'back', 'again', 'cancel']);
  assert.deepEqual(verbs(offers(walk({ at: 4, result: {} }), '')), ['keep', 'back', 'again', 'cancel']);
  for (const verb of ['cancel', 'again']) assert.deepEqual(verbs(offers(walk({ at: 2 }), verb)), ['no', verb]);
  assert.deepEqual(verbs(offers(walk({ at: 4, result: {} }), 'keep')), ['no', 'sure'], 'an unlikely density is confirmed');
});

test('below the number stands what was noted, else whether it is still', () => {
  assert.equal(howText(walk({ noted_g: 99.8 })), '99.8\u202fg in the cup, noted');
  assert.equal(howText(walk({ still: true })), 'stands still');
  assert.equal(howText(walk({ waits: 'The scale is lost.' })), '');
});

test('changes of the shelf and of a measurement carry a key, the same at each try', async () => {
  const sent = [];
  const rim = {
    crypto: { getRandomValues: (bytes) => bytes.fill(7) },
    sleep: async () => {},
    fetch: async (path, options) => {
      sent.push([path, JSON.parse(options.body)]);
      if (sent.length === 1) throw new Error('no network');
      return { ok: true, status: 200, json: async () => ({ ok: true }) };
    },
  };
  const commands = makeCommands(rim);
  assert.equal((await commands.shelf({ do: 'take', id: 'quay', revision: 'r' })).ok, true);
  assert.deepEqual(sent[0], sent[1]);
  assert.deepEqual(sent[1], ['/api/shelf', { key: '07'.repeat(16), do: 'take', id: 'quay', revision: 'r' }]);
  await commands.measure({ do: 'back', version: 3 });
  assert.deepEqual(sent[2], ['/api/measure', { key: '07'.repeat(16), do: 'back', version: 3 }]);
});
