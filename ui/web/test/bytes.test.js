import assert from 'node:assert/strict';
import { test } from 'node:test';
import { byteTokens, lineRead, timeOfDay } from '../bytes.js';
import { golden } from './golden.js';

const told = (escaped) => byteTokens(escaped).map((t) => `${t.kind}:${t.text}`);

test('control characters have names, blanks are seen, other bytes stand in hex', () => {
  assert.deepEqual(told('\\n 1G   412.6g\\r'), ['control:LF', 'blank:·', 'text:1G', 'blank:···', 'text:412.6g', 'control:CR']);
  assert.deepEqual(told('\\x02\\x06\\x05\\x00\\x7f\\x9f'), ['control:STX', 'control:ACK', 'control:ENQ', 'control:NUL', 'control:DEL', 'byte:9F']);
  assert.deepEqual(told(''), []);
});

test('a backslash that came is a backslash, also before r and x', () => {
  assert.deepEqual(told('a\\\\r'), ['text:a\\r']);
  assert.deepEqual(told('\\\\x0d'), ['text:\\x0d']);
  assert.deepEqual(told('ST,GS,+ 1'), ['text:ST,GS,+', 'blank:·', 'text:1']);
});

test('every line of the example is told in words', () => {
  const { lines } = golden('scale_lines');
  assert.ok(lines.length > 5);
  const kinds = new Set();
  for (const line of lines) {
    kinds.add(line.kind);
    const read = lineRead(line);
    assert.ok(read.mark !== '' && (read.strong + read.text).length > 3, JSON.stringify(line));
  }
  for (const kind of ['opened', 'cut', 'weight', 'refused']) assert.ok(kinds.has(kind), kind);
  const good = lines.find((l) => l.kind === 'weight');
  assert.equal(lineRead(good).text, '185.0 g · still · gross');
  const bad = lineRead(lines.find((l) => l.kind === 'refused'));
  assert.equal(bad.strong, 'refused: ');
  assert.match(bad.text, /noise on the line/);
});

test('a reading without a weight says why, and a kind that is not known does not fail', () => {
  const none = { kind: 'none', value: '', motion: '', mode: 'gross', status: 'zero-error', reason: '' };
  assert.equal(lineRead(none).text, 'gross · zero not taken');
  assert.equal(lineRead({ ...none, kind: 'weight', value: '0.0 g', status: 'zero' }).text, '0.0 g · gross · at zero');
  assert.equal(lineRead({ ...none, kind: 'a later one', reason: 'so' }).text, 'so');
});

test('the time has tenths', () => {
  assert.match(timeOfDay(1_700_000_000_340), /^\d\d:\d\d:\d\d\.3$/);
});
