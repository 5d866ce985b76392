// Answers that come late or swapped while something is weighed.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { makeCommands } from '../commands.js';
import { initial } from '../state.js';
import { makeCheck } from '../view/check.js';
import { makeCups } from '../view/cups.js';
import { makeMeasure } from '../view/measure.js';
import { guard, slowBench, spread } from './paper.js';

spread();

const walk = (more) => ({ name: 'Hardener', recipe_id: 'quay', step: 'water', at: 2, this: '', result: null, noted_g: 0, waits: '', still: false, division_g: 0.1, sentence: 'Fill it.', detail: '', cup_known: false, role: 'hardener', height_mm: 60, temp_c: 20, ...more });
const state = (version, w) => ({ version, said: '', not_now: '', vessels: [], kinds: [], usual: { height_mm: 60, temp_c: 20 }, walk: w });
const cupWalk = (more) => ({ step: 'fill', sentence: '', detail: '', waits: '', division_g: 0.1, levels: [], height_mm: 20, noted_g: 50, noted_ml: 50, still: true, enough: false, name: 'Cup', cup: {}, ...more });
const cupState = (version, w, more) => ({ version, said: '', not_now: '', kept: '', temp_c: 20, cups: [], taken: null, walk: w, ...more });

function measuring(kept = async () => {}) {
  const b = slowBench();
  const place = makeMeasure(b.rim, makeCommands(b.rim), guard, kept);
  const draw = async () => {
    place.update(initial(), b.ms);
    await b.settle();
  };
  const press = async (verb) => {
    place.node.querySelector(`[data-measured="${verb}"]`).fire('click');
    await b.settle();
  };
  return { b, place, draw, press, step: () => place.node.querySelector('.measure-walk').getAttribute('data-step') };
}

test('a poll that left before a press does not bring back what was before it', async () => {
  const { b, draw, press, step } = measuring();
  await draw();
  await b.on('/api/measure').answer(state(4, walk()));
  await draw();
  await b.pass(400);
  await draw();
  const poll = b.on('/api/measure');
  await press('back');
  await b.on('/api/measure', 'back').answer({ ok: true, state: state(5, walk({ step: 'cup', at: 1 })) });
  await poll.answer(state(4, walk()));
  await draw();
  assert.equal(step(), 'cup');
});

test('the answer to a press does not bring back what a later poll has seen go on', async () => {
  const { b, draw, press, step } = measuring();
  await draw();
  await b.on('/api/measure').answer(state(4, walk()));
  await draw();
  await press('back');
  await b.pass(400);
  await draw();
  await b.on('/api/measure').answer(state(7, walk({ step: 'dry', at: 3 })));
  await b.on('/api/measure', 'back').answer({ ok: true, state: state(5, walk({ step: 'cup', at: 1 })) });
  await draw();
  assert.equal(step(), 'dry');
});

test('after a press the bench is asked at once, also where a poll was on its way', async () => {
  const { b, draw, press } = measuring();
  await draw();
  await b.on('/api/measure').answer(state(4, walk()));
  await draw();
  await b.pass(400);
  await draw();
  const poll = b.on('/api/measure');
  await press('back');
  await b.on('/api/measure', 'back').answer({ ok: false, code: 'stale', sentence: 'It has moved on.' }, 409);
  await poll.answer(state(4, null));
  await draw();
  b.on('/api/measure');
});

test('the same button pressed again while it is on its way is one press', async () => {
  const { b, draw, press, place } = measuring();
  await draw();
  await b.on('/api/measure').answer(state(4, walk()));
  await draw();
  await press('back');
  await press('back');
  assert.equal(b.asked.filter((a) => a.body?.do === 'back').length, 1);
  await draw();
  assert.equal(place.node.querySelector('.check-buttons').hasAttribute('data-sending'), true);
  await b.on('/api/measure', 'back').answer({ ok: true, state: state(5, walk({ step: 'cup', at: 1 })) });
  await draw();
  assert.equal(place.node.querySelector('.check-buttons').hasAttribute('data-sending'), false);
});

test('a density that was kept is seen with its product, never the old one in between', async () => {
  let shelf;
  const { b, draw, press, place } = measuring(() => new Promise((done) => { shelf = done; }));
  await draw();
  await b.on('/api/measure').answer(state(9, walk({ step: 'done', at: 4, result: { g_ml: 1.06, ml: 99, paint_g: 105, water_g: 99, expanded_u_g_ml: 0.002, lb_gal: 8.8, asks: '', surer: '' } })));
  await draw();
  await press('keep');
  await b.on('/api/measure', 'keep').answer({ ok: true, state: state(10, null) });
  await b.pass(400);
  await draw();
  await b.asked.find((a) => a.body === null)?.answer(state(10, null));
  await draw();
  assert.equal(place.at(), 'walk', 'until the shelf has it');
  shelf();
  await b.settle();
  await draw();
  assert.equal(place.at(), '');
});

function cups() {
  const b = slowBench();
  const place = makeCups(b.rim, makeCommands(b.rim), guard, () => true);
  const draw = async () => {
    place.update(initial(), b.ms);
    await b.settle();
  };
  return { b, place, draw };
}

test('a cup that is taken off the list closes no form that was opened meanwhile', async () => {
  const { b, place, draw } = cups();
  await draw();
  await b.on('/api/cups').answer(cupState(0, null, { cups: [{ id: 'a', name: 'A', top_ml: 300 }] }));
  const taking = place.change('take', 'a');
  await b.settle();
  place.begin();
  await b.on('/api/cups', 'take').answer({ ok: true, state: cupState(0, null, { taken: { id: 'a', name: 'A' } }) });
  assert.equal((await taking).ok, true);
  assert.equal(place.at(), 'form');
  assert.deepEqual(place.list(), []);
});

test('a height that was turned for a filling that was taken is not for the next one', async () => {
  const { b, place, draw } = cups();
  await draw();
  await b.on('/api/cups').answer(cupState(3, cupWalk()));
  await draw();
  place.node.querySelector('[data-cup="next"]').fire('click');
  await b.settle();
  place.node.querySelector('[data-step="height+"]').fire('click');
  await b.settle();
  const next = cupState(4, cupWalk({ levels: [{ height_mm: 20 }], height_mm: 70, noted_g: 0 }));
  await b.on('/api/cups', 'next').answer({ ok: true, state: next });
  await b.on('/api/cups', 'height').answer({ ok: false, code: 'stale', sentence: 'It has moved on.' }, 409);
  await b.on('/api/cups').answer(next);
  await draw();
  assert.deepEqual(b.asked.filter((a) => a.body !== null), [], 'nothing more is sent');
  assert.equal(place.node.querySelector('[data-figure="height"]').value, '70');
});

test('what fits a plate that was typed before is no advice for the one of now', async () => {
  const b = slowBench();
  const place = makeCheck(b.rim, guard);
  const draw = async () => {
    place.update(initial(), b.ms);
    await b.settle();
  };
  const plate = (advice) => ({
    version: 1, said: '', not_now: '', missing: '', walk: null, last: null, overdue: false, due_text: '', usual: '', cautions: [], weight_classes: [],
    plate: { capacity_g: 0, interval_e_g: 0, class: '', class_guess: '' }, advice: advice.map((name, i) => ({ name, weight_nominal_g: i + 1, coarsest_class: 'M1', limit_g: 1, fits: [], corners: true })),
  });
  await draw();
  await b.on('/api/scale/check').answer(plate([]));
  await draw();
  place.node.querySelector('[data-check="form"]').fire('click');
  await draw();
  const before = b.on('/api/scale/check');
  const capacity = place.node.querySelector('[id=check-capacity]');
  capacity.value = '6000';
  capacity.fire('input');
  await before.answer(plate(['1 kg']));
  await draw();
  assert.doesNotMatch(place.node.textContent, /1 kg/);
  await b.on('/api/scale/check?capacity_g=6000').answer(plate(['5 kg']));
  await draw();
  assert.match(place.node.textContent, /5 kg/);
});
