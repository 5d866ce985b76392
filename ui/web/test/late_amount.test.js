// Answers that come late or swapped while a recipe and an amount are chosen.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { initial } from '../state.js';
import { makeChoose } from '../view/choose.js';
import { guard, slowBench, spread } from './paper.js';

spread();

const recipe = (id) => ({ id, name: id, ratio: '4 : 1 by volume', note: '', uses: [], components: [{ name: `${id} base`, density_g_ml: 1 }] });
const shop = (c) => ({ set: c > 0, c, shift: [], notes: [] });
const plan = (id, { uses = [], over = [], c = 0 } = {}) => ({
  ok: true, components: [{ name: `${id} base`, role: 'base', share: '4 parts', provenance: '', ask: '', target_g: 100, volume_ml: 90 }],
  total_g: 100, total_ml: 90, cost_text: '', decimals: 1, cup: '', fits: true, cup_usable_ml: 0, need: null, left: [], cautions: [],
  sure: { known: true, sentences: [`sure of ${id}`], enough: true, would_do_ml: 0, would_do_g: 0, would_do_text: '', next_cup_ml: 0 },
  voc: { known: false, why_not: 'no content', text: '', uses, limit: null, limit_why_not: '', reducer_text: '', not_a_finding: '', stages: { over, limit: null, why_not: '', text: '', limit_why_not: '' } },
  shop: shop(c), index: { known: false, why_not: '' },
});

function bench(...ids) {
  const b = slowBench();
  const starts = [];
  const late = [];
  const commands = makeCommands(b.rim);
  const start = (on, body) => new Promise((done) => { starts.push({ body, answer: async (a) => { done(a); await b.settle(); } }); });
  const place = makeChoose(b.rim, start, guard, commands, (text) => late.push(text));
  const find = (selector) => place.node.querySelectorAll(selector).find((n) => n.offsetParent !== null);
  const m = {
    b, place, starts, late, find,
    draw: () => place.update({ ...initial(), link: { open: true, sinceMS: 0, everOpen: true }, view: { batch: '', seq: 1 } }, b.ms),
    press: async (selector) => {
      find(selector).fire('click');
      await b.settle();
      m.draw();
    },
    plan: async (id, more) => {
      await b.pass(130);
      await b.on(`/api/plan?recipe=${id}`).answer(plan(id, more));
    },
    lists: async () => {
      for (const a of b.asked.filter((x) => x.path === '/api/shelf')) await a.answer({ recipes: ids.map(recipe) });
      m.draw();
    },
  };
  return m;
}

async function opened(id, ...ids) {
  const m = bench(id, ...ids);
  m.place.refresh();
  await m.lists();
  await m.press(`[data-recipe="${id}"]`);
  await m.b.on('/api/settings').answer({ jobs: {}, panels: [] });
  await m.plan(id);
  return m;
}

test('the same list read again moves nothing under the finger', async () => {
  const m = bench('slate', 'ferry');
  m.place.refresh();
  await m.lists();
  const card = m.find('[data-recipe="ferry"]');
  let moved = 0;
  guard.changed = () => { moved++; };
  m.place.refresh();
  await m.lists();
  guard.changed = () => {};
  assert.equal(m.find('[data-recipe="ferry"]'), card);
  assert.equal(moved, 0, 'no press is taken for one that was not meant');
});

test('what was chosen elsewhere comes without a list in between, and takes nobody along who has chosen something else', async () => {
  const m = bench('slate', 'ferry');
  m.place.refresh();
  const first = m.b.on('/api/shelf');
  m.place.refresh('quay'); // just put on the shelf
  assert.equal(m.find('.card'), undefined);
  await first.answer({ recipes: [recipe('slate'), recipe('ferry')] });
  await m.b.on('/api/shelf').answer({ recipes: [recipe('slate'), recipe('quay')] });
  assert.equal(m.find('.amount .place-title').textContent, 'quay', 'an older list without it does not count');
  m.place.refresh('gone');
  assert.equal(m.find('.amount'), undefined, 'nor is the one before still on screen');
  await m.lists();
  assert.match(m.place.node.textContent, /What was chosen is not on the shelf any more\./);
  m.place.refresh('slate');
  await m.b.on('/api/shelf').lose();
  await m.press('[data-recipe="ferry"]');
  await m.b.pass(3100);
  await m.lists();
  assert.equal(m.find('.amount .place-title').textContent, 'ferry');
});

test('nothing of the recipe before stands under the name of another one', async () => {
  const m = await opened('slate', 'ferry');
  assert.match(m.place.node.textContent, /slate base.*/);
  await m.press('.back');
  await m.press('[data-recipe="ferry"]');
  const amount = m.find('.amount').innerText;
  assert.doesNotMatch(amount, /slate/);
  assert.equal(m.find('[data-fact="voc"]'), undefined);
  await m.plan('ferry');
  assert.match(m.find('.amount').innerText, /sure of ferry/);
});

test('a plan that the network lost is asked for again', async () => {
  const m = await opened('slate');
  await m.press('[data-amount="400"]');
  await m.b.pass(130);
  await m.b.on('/api/plan').lose();
  assert.equal(m.find('.start').disabled, true);
  await m.b.pass(3100);
  await m.plan('slate');
  assert.equal(m.find('.start').disabled, false);
});

test('what a plan of before says is dimmed as a whole while the next one is worked out, and the start says so', async () => {
  const m = await opened('slate');
  const old = ['.plan tbody', '.plan-total', '.plan-fits', '.plan-warn', '.decides'];
  const dimmed = () => old.filter((s) => m.place.node.querySelector(s).hasAttribute('data-waiting'));
  assert.deepEqual([dimmed(), m.find('.start').textContent], [[], 'Start']);
  await m.press('[data-amount="400"]');
  assert.match(m.find('.plan-total').textContent, /In all 100/, 'it is still there');
  assert.deepEqual([dimmed(), m.find('.start').textContent, m.find('.start').disabled], [old, 'Working it out …', true]);
  await m.plan('slate');
  assert.deepEqual([dimmed(), m.find('.start').textContent, m.find('.start').disabled], [[], 'Start', false]);
  const input = m.find('.amount-input');
  input.value = 'x';
  input.fire('input');
  assert.deepEqual(dimmed(), ['.decides'], 'why it is not taken is none of before');
  assert.deepEqual([m.find('.start').textContent, m.find('.start').disabled], ['Start', true], 'nothing is worked out');
  await m.press('[data-amount="100"]');
  await m.plan('slate');
  await m.press('.start');
  assert.deepEqual([m.find('.start').textContent, m.find('.start').disabled], ['One moment …', true]);
});

test('a start is remembered and refused for what was started, not for what is on screen by then', async () => {
  const m = await opened('slate', 'ferry');
  await m.press('.start');
  await m.press('.start');
  assert.equal(m.starts.length, 1);
  await m.press('.back');
  await m.press('[data-recipe="ferry"]');
  await m.plan('ferry');
  assert.equal(m.find('.start').disabled, false);
  await m.starts[0].answer({ ok: false, sentence: 'A batch is in the cup.' });
  assert.deepEqual(m.late, ['slate was not started. A batch is in the cup.']);
  assert.doesNotMatch(m.find('.amount').innerText, /A batch is in the cup/);
  await m.press('.start');
  await m.press('[data-amount="800"]');
  await m.starts[1].answer({ ok: true });
  assert.equal(JSON.parse(m.b.rim.storage.getItem('gramcup-last')).ferry.amount, 300);
  m.draw();
  assert.equal(m.find('.start').disabled, true, 'until the batch is on screen');
});

test('the shop’s temperature is not turned back by a plan of before', async () => {
  const m = await opened('slate');
  await m.press('[data-fact="shop"]');
  const value = () => m.find('[data-figure="shop_c"]').value;
  await m.press('[data-step="shop_c+"]');
  await m.b.pass(500);
  await m.b.on('/api/settings', 'shop').answer({ ok: true });
  assert.equal(value(), '21');
  await m.press('[data-step="shop_c+"]');
  await m.plan('slate', { c: 21 });
  assert.equal(value(), '22');
  await m.press('[data-step="shop_c+"]');
  assert.equal(value(), '23', 'no turn is lost');
  await m.b.pass(500);
  assert.equal(m.b.on('/api/settings', 'shop').body.shop_c, 23);
});

const limits = ['Topcoat', 'Primer'].map((category) => ({ set: 'National', category, name: category, g_l: 420, basis: 'less water', own: false, source: 'law', date: '2020' }));

async function choosing() {
  const m = await opened('slate', 'ferry');
  await m.press('[data-fact="voc"]');
  await m.press('.uses-open');
  await m.b.on('/api/limits').answer({ limits, note: '' });
  return m;
}
const pressed = (m) => m.place.node.querySelectorAll('[data-limit]').filter((n) => n.getAttribute('aria-pressed') === 'true').map((n) => n.dataset.limit);

test('two categories that are chosen quickly are both kept', async () => {
  const m = await choosing();
  await m.press('[data-limit="Topcoat"]');
  await m.press('[data-limit="Primer"]');
  assert.deepEqual(pressed(m), limits.map((l) => l.name));
  await m.b.on('/api/settings', 'uses').answer({ ok: true });
  assert.deepEqual(m.b.on('/api/settings', 'uses').body.uses, limits.map((l) => l.name));
  await m.b.on('/api/settings', 'uses').answer({ ok: false, sentence: 'It is full.' }, 422);
  assert.match(m.find('.uses').textContent, /It is full\./);
});

test('a category that is refused turns back, and reading the limits does not wipe the refusal away', async () => {
  const m = await choosing();
  await m.press('[data-limit="Topcoat"]');
  await m.b.on('/api/settings', 'uses').answer({ ok: false, sentence: 'It is full.' }, 422);
  assert.deepEqual(pressed(m), []);
  await m.press('.uses-open');
  await m.press('.uses-open');
  await m.b.on('/api/limits').answer({ limits, note: '' });
  assert.match(m.find('.uses').textContent, /It is full\./);
});

test('a limit of one’s own is held against the mix that it was typed at, whatever is on screen by then', async () => {
  const m = await choosing();
  for (const name of ['set', 'category', 'g_l', 'source', 'date']) m.place.node.querySelector(`[data-own="${name}"]`).value = `my ${name}`;
  m.place.node.querySelector('[data-own="add"]').fire('click');
  await m.b.settle();
  m.place.node.querySelector('[data-own="category"]').value = 'another';
  const adding = m.b.on('/api/settings', 'add-limit');
  await m.press('.back');
  await m.press('[data-recipe="ferry"]');
  await m.plan('ferry');
  await adding.answer({ ok: true });
  const { body } = m.b.on('/api/settings', 'uses');
  assert.deepEqual([body.recipe_id, body.uses], ['slate', ['my set: my category']]);
  await m.b.on('/api/settings', 'uses').answer({ ok: true });
  await m.b.on('/api/limits').answer({ limits, note: '' });
  assert.deepEqual(pressed(m), [], 'not against this one');
  assert.equal(m.place.node.querySelector('[data-own="category"]').value, 'another', 'what was typed on stays');
  assert.equal(m.place.node.querySelector('[data-own="source"]').value, '');
});

test('stages that are chosen quickly are not turned back by what was kept before', async () => {
  const m = await opened('slate', 'ferry', 'clear');
  await m.press('[data-fact="voc"]');
  const stages = m.place.node.querySelector('.stages');
  stages.open = true;
  stages.fire('toggle');
  await m.b.settle();
  await m.lists();
  const choose = async (slot, value) => {
    m.place.node.querySelector(`[data-stage="${slot}"]`).value = value;
    m.place.node.querySelector(`[data-stage="${slot}"]`).fire('change');
    await m.b.settle();
  };
  const value = (slot) => m.place.node.querySelector(`[data-stage="${slot}"]`).value;
  await choose('clear', 'clear');
  await choose('mid', 'ferry');
  await m.b.on('/api/settings', 'stages').answer({ ok: true });
  await m.press('[data-amount="400"]');
  await m.plan('slate', { over: ['clear'] });
  assert.deepEqual([value('mid'), value('clear')], ['ferry', 'clear']);
  await m.b.on('/api/settings', 'stages').answer({ ok: true });
  await m.plan('slate', { over: ['ferry', 'clear'] });
  assert.deepEqual([value('mid'), value('clear')], ['ferry', 'clear']);
});

test('a midcoat that waits for its clear stays when the shelf is read anew', async () => {
  const m = await opened('slate', 'ferry');
  await m.press('[data-fact="voc"]');
  const stages = m.place.node.querySelector('.stages');
  stages.open = true;
  stages.fire('toggle');
  await m.b.settle();
  await m.b.on('/api/shelf').answer({ recipes: ['slate', 'ferry'].map(recipe) });
  const mid = m.place.node.querySelector('[data-stage="mid"]');
  mid.value = 'ferry';
  mid.fire('change');
  stages.fire('toggle');
  await m.b.settle();
  await m.b.on('/api/shelf').answer({ recipes: ['slate', 'ferry', 'clear'].map(recipe) });
  assert.equal(mid.value, 'ferry');
});
