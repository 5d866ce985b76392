import assert from 'node:assert/strict';
import { test } from 'node:test';
import { changedFigures, fieldOf, fieldsOf, figureLabel, figurePath, figureRows, figuresBody, filledText, typedFigures } from '../sheet.js';

test('each component has the fields that make sense in its place', () => {
  const names = (row, i) => fieldsOf(row, i).map((f) => f.name);
  assert.ok(names({ role: 'base' }, 0).includes('oh') && !names({ role: 'base' }, 0).includes('nco'));
  assert.ok(names({ role: 'hardener' }, 1).includes('nco') && !names({ role: 'hardener' }, 1).includes('oh'));
  assert.ok(!names({ role: 'reducer' }, 2).includes('volume_solids'));
  assert.ok(names({ role: 'reducer', figures: { oh: '20' } }, 2).includes('oh'), 'what is known is never hidden');
});

test('only what was changed is sent, and an emptied field is a change', () => {
  assert.deepEqual(changedFigures({ voc: '4.7 lb/gal', water: '', price: '26' }, { water: '10 %', price: '26' }), { voc: '4.7 lb/gal', water: '' });
  const row = (figures, given) => ({ figures, given });
  assert.deepEqual(figuresBody({ rows: [row({ price: '26' }, { price: '26' }), row({}, {})], mix: {}, mixGiven: {}, from: 'sheet' }), {});
  assert.deepEqual(figuresBody({ rows: [row({ price: '27' }, { price: '26' }), row({}, {})], mix: { cup: '650' }, mixGiven: {}, from: ' edition 4 ' }),
    { figures: [{ typed: { price: '27' } }, {}], mix: { cup: '650' }, from: 'edition 4' });
});

test('what the bench knows comes back as it was typed', () => {
  assert.deepEqual(typedFigures([{ figure: 'voc', text: '563 g/l', typed: '4.7 lb/gal', from: '' }]), { voc: '4.7 lb/gal' });
  assert.deepEqual(typedFigures(undefined), {});
  const r = { components: [{ name: 'A', figures: [{ figure: 'voc' }] }, { name: 'B', figures: [] }], figures: [{ figure: 'cup' }] };
  assert.deepEqual(figureRows(r).map(([name]) => name), ['A', 'The whole mix']);
  assert.equal(figureLabel('nco'), 'NCO content');
  assert.equal(filledText([{ name: 'a' }, { name: 'b' }], { a: '1', b: ' ' }), '1 of 2');
  assert.equal(filledText([{ name: 'a' }], {}), 'nothing yet');
});

test('a refusal finds its field', () => {
  assert.deepEqual(fieldOf({ field: 'exempt_density-0' }), { name: 'exempt_density', place: '0' });
  assert.deepEqual(fieldOf({ field: 'mix_solids-mix' }), { name: 'mix_solids', place: 'mix' });
  assert.equal(fieldOf({ field: '' }), null);
  assert.equal(figurePath('voc', '4.7 lb/gal'), '/api/shelf/figure?figure=voc&text=4.7+lb%2Fgal');
});
