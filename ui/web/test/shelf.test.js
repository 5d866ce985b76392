import assert from 'node:assert/strict';
import { test } from 'node:test';
import { ask, parseAmount, planPath, recall, recentFirst, remember, startBody, stepped, way } from '../shelf.js';

test('a start names the amount in the unit of its kind', () => {
  assert.deepEqual(startBody('r', 'volume', 600), { recipe_id: 'r', kind: 'volume', ml: 600 });
  assert.deepEqual(startBody('r', 'mass', 412.5), { recipe_id: 'r', kind: 'mass', g: 412.5 });
  assert.deepEqual(startBody('r', 'as-poured', 0), { recipe_id: 'r', kind: 'as-poured' });
  assert.equal(way('nonsense').kind, 'volume');
});

test('the plan is asked with the same amount', () => {
  assert.equal(planPath('a b&c', 'volume', 600), '/api/plan?recipe=a+b%26c&kind=volume&ml=600');
  assert.equal(planPath('r', 'as-poured', 0), '/api/plan?recipe=r&kind=as-poured');
});

test('an amount is a plain number within the bench', () => {
  for (const [text, want] of [['600', 600], [' 412,5 ', 412.5], ['1.', 1], ['', null], ['0', null], ['-5', null], ['1e3', null], ['6 0', null], ['100001', null], ['NaN', null]]) {
    assert.equal(parseAmount(text), want, JSON.stringify(text));
  }
});

test('steps go to round amounts and stay within the bench', () => {
  assert.equal(stepped(300, 100), 400);
  assert.equal(stepped(335, 100), 400);
  assert.equal(stepped(335, -100), 300);
  assert.equal(stepped(300, -100), 200);
  assert.equal(stepped(10, -10), 10);
  assert.equal(stepped(50, -100), 100);
  assert.equal(stepped(100000, 10), 100000);
});

test('recent recipes come first, the others keep their order', () => {
  const recipes = [{ id: 'a' }, { id: 'b' }, { id: 'c' }, { id: 'd' }];
  assert.deepEqual(recentFirst(recipes, { c: { at: 5 }, b: { at: 9 }, gone: { at: 99 } }).map((r) => r.id), ['b', 'c', 'a', 'd']);
});

test('what is remembered comes back, and a broken memory is no matter', () => {
  const kept = new Map();
  const storage = { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => kept.set(k, v) };
  remember(storage, 'r', 'volume', 600, 7);
  remember(storage, 's', 'mass', 100, 8);
  assert.deepEqual(recall(storage), { r: { kind: 'volume', amount: 600, at: 7 }, s: { kind: 'mass', amount: 100, at: 8 } });
  assert.deepEqual(recall({ getItem: () => '{not json' }), {});
  assert.deepEqual(recall({ getItem: () => 'null' }), {});
  assert.deepEqual(recall({ getItem: () => { throw new Error('forbidden'); } }), {});
  remember({ getItem: () => null, setItem: () => { throw new Error('full'); } }, 'r', 'volume', 1, 1);
});

test('a question that is refused throws the sentence of the bench', async () => {
  const answers = (status, body) => async () => new Response(body, { status });
  assert.deepEqual(await ask(answers(200, '{"recipes":[]}'), '/x'), { recipes: [] });
  await assert.rejects(ask(answers(422, '{"ok":false,"sentence":"Give 1 to 100000 ml."}'), '/x'), /Give 1 to/);
  await assert.rejects(ask(answers(500, 'oops'), '/x'), /500/);
  await assert.rejects(ask(async () => { throw new TypeError(); }, '/x'), /could not be reached/);
});

test('a question without an answer ends, and says that the bench was not reached', async () => {
  const never = (path, { signal }) => new Promise((_, fail) => { signal.addEventListener('abort', () => fail(signal.reason)); });
  const stays = setTimeout(() => {}, 5000); // a timeout of a signal alone keeps no test waiting
  await assert.rejects(ask(never, '/x', 20), (err) => err.unheard && /could not be reached/.test(err.message));
  clearTimeout(stays);
  await assert.rejects(ask(async () => new Response('{"recipes":[', { status: 200 }), '/x'), (err) => err.unheard, 'one that breaks off');
  const cut = new ReadableStream({ start: (stream) => stream.error(new TypeError('network error')) });
  await assert.rejects(ask(async () => new Response(cut, { status: 422 }), '/x'), (err) => err.unheard, 'a refusal that breaks off');
  await assert.rejects(ask(async () => new Response('{"sentence":"No."}', { status: 422 }), '/x'), (err) => !err.unheard);
});
