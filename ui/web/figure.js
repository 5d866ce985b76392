// A figure as it was typed: taken, or a sentence on what would be right. What is
// typed is never cut to what would fit. Pure.

import { parseFigure } from './decide.js';
import { parseAmount } from './shelf.js';

const THIN = '\u202f';

/** {value, problem} of a text: value is null where the problem says what would be right. */
export function readFigure(text, { least, most, unit, whole = false }) {
  const value = parseFigure(text, least, most);
  if (value !== null && (!whole || Number.isInteger(value))) return { value, problem: '' };
  const range = `${whole ? 'a whole number, ' : ''}${least} to ${most}${unit === '' ? '' : THIN + unit}`;
  return { value: null, problem: text.trim() === '' ? `Type a figure: ${range}.` : `Not taken: ${range} would be right.` };
}

/** The same for an amount in ml or g. */
export function readAmount(text, unit) {
  const value = parseAmount(text);
  if (value !== null) return { value, problem: '' };
  return { value, problem: text.trim() === '' ? 'Type the amount.' : `“${text.trim()}” is not taken: 1 to 100000${THIN}${unit} would be right.` };
}
