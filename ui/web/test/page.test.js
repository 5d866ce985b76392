// Rules that hold for every file of the page.

import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { spread } from './paper.js';

const root = fileURLToPath(new URL('../', import.meta.url));
const list = (dir) => readdirSync(root + dir).filter((f) => /\.(js|html|css|svg)$/.test(f)).map((f) => dir + f);
const files = [...list(''), ...list('view/')].map((name) => ({ name, text: readFileSync(root + name, 'utf8') }));
const scripts = files.filter((f) => f.name.endsWith('.js'));

// The policy of the server is default-src 'self': what it would block in the
// browser must not be written here.
test('nothing needs more than the policy allows', () => {
  assert.ok(scripts.length > 15);
  for (const { name, text } of files) {
    assert.doesNotMatch(text, /innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function/, name);
    assert.doesNotMatch(text, /<[^>]+\sstyle=|setAttribute\('style'|[{\s]style: |<style|\son[a-z]+="/, name);
    assert.doesNotMatch(text, /https?:\/\/(?!www\.w3\.org\/2000\/svg)/, name);
  }
  const html = files.find((f) => f.name === 'index.html').text;
  assert.doesNotMatch(html, /<script(?![^>]*\ssrc=)/);
});

test('every import is there', () => {
  for (const { name, text } of scripts) {
    for (const [, path] of text.matchAll(/from '([^']+)'/g)) {
      const full = new URL(path, `file:///${name}`).pathname.slice(1);
      assert.ok(path.startsWith('.') && files.some((f) => f.name === full), `${name} imports ${path}`);
    }
  }
});

test('every part finds what it imports of the others', async () => {
  spread();
  for (const { name } of scripts.filter((f) => f.name !== 'main.js')) await import(new URL(`../${name}`, import.meta.url));
});

test('what is pure stays pure', () => {
  for (const name of ['state.js', 'format.js', 'geometry.js', 'tone.js', 'shelf.js', 'stream.js', 'commands.js', 'trail.js', 'bytes.js', 'manner.js', 'stock.js', 'grey.js', 'decide.js', 'figure.js', 'draft.js', 'sheet.js', 'newest.js', 'merge.js']) {
    const { text } = scripts.find((f) => f.name === name);
    assert.doesNotMatch(text, /\b(document|window|localStorage|performance)\b\.|Date\.now/, name);
  }
});

test('no file is long', () => {
  for (const { name, text } of files) assert.ok(text.split('\n').length <= 400, name);
});
