import assert from 'node:assert/strict';
import { test } from 'node:test';
import { readAmount, readFigure } from '../figure.js';

const transfer = { least: 5, most: 100, unit: '%' };

test('a typed figure is taken as it is, or refused with what would be right', () => {
  assert.deepEqual(readFigure('65', transfer), { value: 65, problem: '' });
  assert.deepEqual(readFigure(' 62,5 ', transfer), { value: 62.5, problem: '' });
  for (const text of ['150', '0', 'abc', '-5', '1e2']) {
    assert.deepEqual(readFigure(text, transfer), { value: null, problem: 'Not taken: 5 to 100\u202f% would be right.' }, text);
  }
  assert.equal(readFigure(' ', transfer).problem, 'Type a figure: 5 to 100\u202f%.');
});

test('half a coat is refused, not rounded', () => {
  const coats = { least: 1, most: 20, unit: '', whole: true };
  assert.equal(readFigure('3', coats).value, 3);
  assert.deepEqual(readFigure('2.5', coats), { value: null, problem: 'Not taken: a whole number, 1 to 20 would be right.' });
});

test('an amount that is none says what would be right', () => {
  assert.deepEqual(readAmount('300', 'ml'), { value: 300, problem: '' });
  assert.equal(readAmount('0', 'ml').problem, '“0” is not taken: 1 to 100000\u202fml would be right.');
  assert.equal(readAmount('', 'g').problem, 'Type the amount.');
});
