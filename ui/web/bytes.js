// What came from the scale, in a form that people can read: bytes as text with
// their control characters named, and a line in a few words. Pure.

const CONTROLS = ['NUL', 'SOH', 'STX', 'ETX', 'EOT', 'ENQ', 'ACK', 'BEL', 'BS', 'TAB', 'LF', 'VT', 'FF', 'CR', 'SO', 'SI',
  'DLE', 'DC1', 'DC2', 'DC3', 'DC4', 'NAK', 'SYN', 'ETB', 'CAN', 'EM', 'SUB', 'ESC', 'FS', 'GS', 'RS', 'US'];

/**
 * The bytes of a line, as the bench escapes them, in tokens of {kind, text}:
 * "text" as it is, "blank" with a dot for each, "control" with its name, and
 * "byte" for what no text has, in hex.
 */
export function byteTokens(escaped) {
  const tokens = [];
  for (const [found] of escaped.matchAll(/\\x[0-9a-f]{2}|\\[rn\\]|[^\\ ]+| +|\\/g)) {
    const token = tokenOf(found);
    const last = tokens.at(-1);
    if (last?.kind === 'text' && token.kind === 'text') last.text += token.text;
    else tokens.push(token);
  }
  return tokens;
}

function tokenOf(found) {
  if (found === '\\r') return { kind: 'control', text: 'CR' };
  if (found === '\\n') return { kind: 'control', text: 'LF' };
  if (found.startsWith('\\x')) {
    const value = parseInt(found.slice(2), 16);
    if (value === 0x7f) return { kind: 'control', text: 'DEL' };
    return value < 32 ? { kind: 'control', text: CONTROLS[value] } : { kind: 'byte', text: found.slice(2).toUpperCase() };
  }
  if (found[0] === ' ') return { kind: 'blank', text: '·'.repeat(found.length) };
  return { kind: 'text', text: found === '\\\\' ? '\\' : found };
}

const STATUS = {
  zero: 'at zero', over: 'over its range', under: 'under its range', 'zero-error': 'zero not taken', 'initial-zero-error': 'no zero at switch-on',
  'tare-error': 'tare not taken', 'not-ready': 'no weight now', count: 'a count, no weight',
  'unknown-command': 'command not known', 'damaged-command': 'command came damaged', info: 'about itself',
};

/** What was read from a line: {mark, strong, text}. The mark stands for the kind, so that colour is never alone. */
export function lineRead(line) {
  switch (line.kind) {
    case 'weight':
    case 'none':
    case 'answer':
      return {
        mark: { weight: '✓', none: '○', answer: '↩' }[line.kind],
        strong: '',
        text: [line.value, line.motion, line.mode, STATUS[line.status]].filter(Boolean).join(' · '),
      };
    case 'refused':
      return { mark: '△', strong: 'refused: ', text: line.reason };
    case 'cut':
      return { mark: '·', strong: '', text: line.reason };
    case 'opened':
      return { mark: '▸', strong: '', text: 'the connection was opened' };
    default:
      return { mark: '·', strong: '', text: line.reason };
  }
}

/** The time of day with tenths, from Unix milliseconds: "19:24:02.3". */
export function timeOfDay(unixMS) {
  const d = new Date(unixMS);
  const two = (n) => String(n).padStart(2, '0');
  return `${two(d.getHours())}:${two(d.getMinutes())}:${two(d.getSeconds())}.${Math.floor(d.getMilliseconds() / 100)}`;
}
