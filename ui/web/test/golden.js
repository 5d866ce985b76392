// The examples that the bench's own tests write: what one side says, the
// other must understand. A missing folder fails every test that reads it.

import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

const folder = fileURLToPath(new URL('../../../testdata/stream/', import.meta.url));

/** The names of all examples. */
export function names() {
  return readdirSync(folder).filter((f) => f.endsWith('.json')).map((f) => f.slice(0, -5));
}

/** One example, fresh for each call. */
export function golden(name) {
  return JSON.parse(readFileSync(`${folder}${name}.json`, 'utf8'));
}
