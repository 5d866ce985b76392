// Answers that come late or swapped at the undercoat greys.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { makeGreys } from '../view/grey.js';
import { guard, slowBench, spread } from './paper.js';

spread();

const pair = (id, revision = `${id}-1`) => ({
  id, revision, like_name: '', light: { name: `${id} light`, density_g_ml: 1.4 }, dark: { name: `${id} dark`, density_g_ml: 1.4 },
  system: { id, name: id, light: { name: `${id} light`, density: {} }, dark: { name: `${id} dark`, density: {} }, cards: [], steps: [{ name: 'middle', l: 60 }, { name: 'dark', l: 40 }] },
  fit: { ok: true, why: '', lightest_lstar: 90, darkest_lstar: 20, low_percent: 0, high_percent: 100, line: [[0, 90, 1], [100, 20, 1]] },
});
const shade = (g) => ({ ok: true, l: 60, u_lstar: 1, dark_percent: 30, dark_u: 1, parts: [{ name: 'light', provenance: '', ml: 100, g }], why_no_grams: '', sentences: [`${g} grams`], notes: [] });

async function greys(...systems) {
  const b = slowBench();
  const made = [];
  window.location.hash = '#shelf';
  const place = makeGreys(b.rim, makeCommands(b.rim), guard, () => [], (r, said, here) => made.push([r.id, here()]));
  const find = (selector) => place.node.querySelectorAll(selector).find((n) => n.offsetParent !== null);
  const g = {
    b, place, made, find,
    draw: async () => {
      place.update(b.ms);
      await b.settle();
    },
    press: async (selector) => {
      find(selector).fire('click');
      await g.draw();
    },
    at: () => place.node.getAttribute('data-at'),
    problem: () => place.node.children[0].textContent,
    shade: async (grams) => {
      await b.pass(300);
      await b.on('/api/grey/shade').answer(shade(grams));
      await g.draw();
    },
  };
  place.open();
  await b.on('/api/grey').answer({ systems });
  await g.draw();
  return g;
}

test('an older list of undercoats does not come over a newer one', async () => {
  const g = await greys(pair('one'));
  g.place.open();
  const older = g.b.on('/api/grey');
  g.place.open();
  const newer = g.b.asked.find((a) => a !== older);
  await newer.answer({ systems: [pair('one'), pair('two')] });
  await older.answer({ systems: [pair('one')] });
  await g.draw();
  assert.equal(g.place.node.querySelectorAll('[data-grey-system]').length, 2);
});

test('that there are none is said only when the list is there, and costs no press', async () => {
  const g = await greys(pair('one'));
  const b = slowBench();
  const place = makeGreys(b.rim, makeCommands(b.rim), guard, () => [], () => {});
  const none = place.node.querySelector('.grey-none');
  place.open();
  place.update(b.ms);
  assert.ok(none.hidden);
  let moved = 0;
  guard.changed = () => { moved++; };
  await b.on('/api/grey').answer({ systems: [] });
  place.update(b.ms);
  guard.changed = () => {};
  assert.deepEqual([none.hidden, moved], [false, 0]);
  assert.ok(g.place.node.querySelector('.grey-none').hidden);
});

test('undercoats that were kept do not take anybody along who is at others by now', async () => {
  const g = await greys(pair('one'), pair('two'));
  await g.press('[data-grey-system="one"]');
  await g.shade(1);
  await g.press('[data-grey="change"]');
  const name = g.find('[data-grey-field="name"]');
  name.value = 'One, new';
  name.fire('input');
  await g.press('[data-grey="put"]');
  const put = g.b.on('/api/grey', 'put');
  assert.equal(name.inert, true);
  await g.press('[data-grey="leave"]');
  await g.press('[data-grey="back"]');
  await g.press('[data-grey-system="two"]');
  await g.press('[data-grey="change"]');
  g.find('[data-grey-field="name"]').value = 'Two, new';
  g.find('[data-grey-field="name"]').fire('input');
  await put.answer({ ok: true, id: 'one', revision: 'one-2' });
  await g.b.on('/api/grey').answer({ systems: [pair('one', 'one-2'), pair('two')] });
  await g.draw();
  assert.deepEqual([g.at(), g.find('[data-grey-field="name"]').value], ['form', 'Two, new']);
  await g.press('[data-grey="leave"]');
  await g.press('[data-grey="change"]');
  assert.equal(g.find('[data-grey-field="name"]').value, 'Two, new', 'it is still half changed');
});

test('grams of the grey before are dim, and can not be mixed', async () => {
  const g = await greys(pair('one'));
  await g.press('[data-grey-system="one"]');
  await g.shade(100);
  assert.equal(g.find('[data-grey="mix"]').disabled, false);
  await g.press('[data-l="40"]');
  assert.deepEqual([g.find('.grey-table tbody').hasAttribute('data-waiting'), g.find('[data-grey="mix"]').disabled], [true, true]);
  await g.shade(50);
  assert.deepEqual([g.find('.grey-table tbody').hasAttribute('data-waiting'), g.find('[data-grey="mix"]').disabled], [false, false]);
});

test('a grey that could not be asked for is asked for again', async () => {
  const g = await greys(pair('one'));
  await g.press('[data-grey-system="one"]');
  await g.b.pass(300);
  await g.b.on('/api/grey/shade').lose();
  await g.draw();
  assert.match(g.find('.grey-why').textContent, /could not be reached/);
  await g.b.pass(3100);
  await g.shade(70);
  assert.match(g.place.node.textContent, /70 grams/);
});

test('a grey becomes a product once, and takes nobody along who has turned it on', async () => {
  const g = await greys(pair('one'));
  await g.press('[data-grey-system="one"]');
  await g.shade(100);
  await g.press('[data-grey="mix"]');
  assert.equal(g.find('[data-grey="mix"]').disabled, true);
  const make = g.b.on('/api/grey', 'make');
  await g.press('[data-l="40"]');
  await make.answer({ ok: true, id: 'one', made: { id: 'one-60', name: 'One, L* 60', basis: 'volume', components: [] } });
  await g.draw();
  assert.deepEqual([g.made, window.location.hash], [[['one-60', false]], '#shelf']);
  assert.match(g.place.node.textContent, /One, L\* 60 is on the shelf\./);
});
