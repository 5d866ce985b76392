import assert from 'node:assert/strict';
import { test } from 'node:test';
import { draftKey, draftText, makeDrafts } from '../draft.js';
import { firstForm } from '../stock.js';

const box = () => {
  const kept = new Map();
  return { kept, getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => { kept.set(k, v); } };
};
const forbidden = { getItem: () => { throw new Error('forbidden'); }, setItem: () => { throw new Error('forbidden'); } };
const first = firstForm(null);
const typed = { ...first, name: 'Quay surfacer', ratio: '4:1' };

test('a draft outlives the page, and is gone when it was put', () => {
  const storage = box();
  makeDrafts(storage, () => 7).keep('product/new', typed);
  const after = makeDrafts(storage, () => 8); // the page was loaded anew
  assert.deepEqual(after.get('product/new', first), { at: 7, form: typed });
  assert.equal(after.get('grey/new', first), null);
  after.drop('product/new');
  assert.equal(makeDrafts(storage, () => 9).get('product/new', first), null);
});

test('where the storage is forbidden or empty, a draft lasts as long as the page', () => {
  for (const storage of [forbidden, { getItem: () => null, setItem: () => {} }]) {
    const drafts = makeDrafts(storage, () => 7);
    drafts.keep('product/new', typed);
    assert.equal(drafts.get('product/new', first).form.name, 'Quay surfacer');
    drafts.drop('product/new');
    assert.equal(drafts.get('product/new', first), null);
  }
});

test('what is no form of this page is no draft', () => {
  for (const text of ['x', '[]', '{"product/new":1}', '{"product/new":{"at":1,"form":null}}', '{"product/new":{"at":1,"form":{"name":"Quay","rows":{}}}}']) {
    const storage = box();
    storage.setItem('gramcup-drafts', text);
    assert.equal(makeDrafts(storage, () => 7).get('product/new', first), null, text);
  }
});

test('each version of a product has its own draft, and the oldest go', () => {
  assert.equal(draftKey('product', first), 'product/new');
  assert.equal(draftKey('product', { id: 'quay', revision: 'r2' }), 'product/quay/r2');
  const drafts = makeDrafts(box(), (() => { let at = 0; return () => ++at; })());
  for (let i = 0; i < 20; i++) drafts.keep(`product/quay/r${i}`, typed);
  assert.equal(drafts.get('product/quay/r0', first), null);
  assert.notEqual(drafts.get('product/quay/r19', first), null);
});

test('a draft says what it is and since when', () => {
  assert.equal(draftText({ at: new Date(2026, 10, 25, 9, 5).getTime() }, true), 'Half typed 25 Nov 2026, 9:05, and not kept yet.');
  assert.match(draftText({ at: new Date(2026, 10, 25, 9, 5).getTime() }, false), /^Half changed/);
});
