import assert from 'node:assert/strict';
import { test } from 'node:test';
import { assumedText, cupFact, firstJob, goneUses, indexFact, lastText, limitDetail, limitSets, limitSources, nextStep, offeredFor, onPart, overOf, parseFigure, shopFact, slotsOf, sureFact, usedText, vocBases, vocFact, vocText } from '../decide.js';
import { achievedShort } from '../format.js';
import { planPath, startBody, way } from '../shelf.js';
import { golden } from './golden.js';

const plan = golden('plan_area');
const settings = { panels: [{ name: 'Mirror cover pair', area_m2: 0.1, transfer: 0.4 }, { name: 'Front door', area_m2: 1.1, transfer: 0.65 }], usual_loss: 0.05, usual_dead_ml: 30 };

test('an area begins with the usual film and the usual assumptions', () => {
  const job = firstJob({ usual_coats: 2, usual_dry_um: 50 }, settings);
  assert.deepEqual(job, { part: '', area_m2: 1.1, coats: 2, dry_um: 50, transfer: 0.65, loss: 0.05, dead_ml: 30, ml: 0 });
  const small = onPart({ ...job, ml: 800 }, settings.panels[0]);
  assert.deepEqual([small.part, small.area_m2, small.transfer, small.ml], ['Mirror cover pair', 0.1, 0.4, 0], 'a typed amount was for another area');
  assert.equal(firstJob({}, null).area_m2, 1, 'also while the bench has not answered');
  assert.equal(assumedText(job).replaceAll('\u202f', ' '), '65 % stays on the part, 5 % lost, 30 ml stays in cup and hose');
});

test('an area begins as the recipe was put on last, and says so until it is turned', () => {
  const used = { area_m2: 2.2, coats: 3, dry_um: 45, transfer: 0.5, loss: 0.1, dead_ml: 20, since_ms: new Date(2026, 10, 25).getTime() };
  const job = firstJob({ id: 'r', usual_coats: 2, usual_dry_um: 50 }, { ...settings, jobs: { r: used } });
  assert.deepEqual(job, { part: '', area_m2: 2.2, coats: 3, dry_um: 45, transfer: 0.5, loss: 0.1, dead_ml: 20, ml: 0 });
  assert.equal(firstJob({ id: 'other', usual_coats: 2 }, { ...settings, jobs: { r: used } }).coats, 2, 'each recipe has its own');
  assert.equal(usedText(job, used), 'Assumed as last time, 25 Nov 2026: 3 coats of 45\u202fµm.');
  assert.equal(usedText({ ...job, area_m2: 7 }, used), usedText(job, used), 'another area is put on alike');
  assert.equal(usedText({ ...job, coats: 2 }, used), '');
  assert.equal(usedText(job, undefined), '');
});

test('the next cup is said where it is another than the usual one', () => {
  const sure = { ...plan.sure, enough: true, next_cup_ml: 1000 };
  assert.equal(cupFact({ ...plan, cup_usable_ml: 650, sure }), 'a cup of 1000\u202fml holds it');
  assert.equal(cupFact({ ...plan, cup_usable_ml: 1000, sure }), '');
  assert.equal(cupFact({ ...plan, cup_usable_ml: 650, sure: { ...sure, enough: false } }), '', 'then the way on says it');
});

test('an area is asked and ordered in full', () => {
  const job = { part: 'Roof', area_m2: 2.2, coats: 2, dry_um: 40, transfer: 0.65, loss: 0.05, dead_ml: 30, ml: 0 };
  assert.equal(planPath('r', 'area', job), '/api/plan?recipe=r&kind=area&area_m2=2.2&coats=2&dry_um=40&transfer=0.65&loss=0.05&dead_ml=30');
  assert.match(planPath('r', 'area', { ...job, ml: 800 }), /&mix_ml=800$/);
  const { part, ml, ...figures } = job;
  assert.deepEqual(startBody('r', 'area', job), { recipe_id: 'r', kind: 'area', job: figures });
  assert.equal(startBody('r', 'area', { ...job, ml: 800 }).ml, 800);
  assert.equal(way('area').unit, 'm²');
  assert.equal(part + ml, 'Roof0');
});

test('figures are typed with point or comma and turned to whole steps', () => {
  for (const [text, want] of [['2,2', 2.2], ['0', null], ['501', null], ['1e2', null], ['', null]]) assert.equal(parseFigure(text, 0.01, 500), want, text);
  assert.equal(nextStep(1.1, 0.1, 0.01, 500), 1.2);
  assert.equal(nextStep(0.1, -0.1, 0.01, 500), 0.01);
  assert.equal(nextStep(65, 5, 5, 100), 70);
  assert.equal(nextStep(100, 5, 5, 100), 100);
});

test('how sure it is says its sentences, and the way on where it is not enough', () => {
  const sure = sureFact(plan);
  assert.equal(sure.enough, true);
  assert.equal(sure.way, null);
  assert.match(sure.lines[0], /^This batch would be 4 : 1 .* ± 1\.2 %\.$/);
  const small = { ...plan.sure, enough: false, would_do_text: '380 ml would do', would_do_kind: 'volume', would_do_ml: 380, next_cup_ml: 400 };
  assert.deepEqual(sureFact({ ...plan, sure: small }).way, { text: '380 ml would do', cup: 'next cup 400\u202fml', kind: 'volume', amount: 380 });
  assert.deepEqual(sureFact({ ...plan, sure: { ...plan.sure, known: false, why_not: 'No weight yet.' } }), { lines: ['No weight yet.'], enough: null, way: null });
});

test('VOC never stands on colour alone', () => {
  const plain = (fact) => [fact.value.replace('\u202f', ' '), fact.word, fact.mark];
  assert.deepEqual(plain(vocFact(plan)), ['563 ± 3 g/l', '18 below limit', 'yes']);
  const with_ = (change) => vocFact({ ...plan, voc: { ...plan.voc, ...change } });
  assert.deepEqual(plain(with_({ within: false, spare_g_l: -22.5 })), ['563 ± 3 g/l', '23 above limit', 'no']);
  assert.deepEqual(plain(with_({ limit: null })), ['563 ± 3 g/l', 'no limit chosen', 'ask']);
  assert.deepEqual(plain(with_({ too_near: true, spare_g_l: 2 })), ['563 ± 3 g/l', 'too near to call', 'ask']);
  assert.deepEqual(plain(with_({ figure_plus_minus_g_l: 0 })), ['563 g/l', '18 below limit', 'yes'], 'none is invented');
  assert.deepEqual(plain(with_({ known: false })), ['not known', 'why', 'ask']);
  assert.deepEqual(vocBases(plan.voc).map(([, figure]) => figure), Array(4).fill('563 ± 3\u202fg/l'));
  assert.equal(vocText(455.3, 2.01), '455 ± 3\u202fg/l', 'a ± is rounded up');
});

test('stages are held together, and what is nearer to its limit governs', () => {
  const plain = (fact) => [fact.value.replace('\u202f', ' '), fact.word, fact.mark];
  const with_ = (stages, change = {}) => vocFact({ ...plan, voc: { ...plan.voc, ...change, stages: { ...plan.voc.stages, over: ['clear'], known: true, g_l: 573.3, limit: { g_l: 600 }, spare_g_l: 26.7, within: true, ...stages } } });
  assert.deepEqual(plain(with_({}, { limit: null })), ['573 g/l', '2 stages, 27 below limit', 'yes']);
  assert.deepEqual(plain(with_({}, { spare_g_l: -10, within: false })), ['563 ± 3 g/l', '10 above limit', 'no'], 'another limit of this one alone is nearer');
  assert.deepEqual(plain(with_({ over: ['mid', 'clear'], g_l: 640, spare_g_l: -10, within: false })), ['640 g/l', '3 stages, 10 above limit', 'no']);
  assert.deepEqual(plain(with_({ plus_minus_g_l: 27.2, too_near: true }, { limit: null })), ['573 ± 28 g/l', '2 stages, too near to call', 'ask']);
  assert.deepEqual(overOf({ mid: 'a', second: '', clear: 'c' }), { over: ['a', 'c'], why: '' });
  assert.deepEqual(overOf({ mid: '', second: '', clear: '' }), { over: [], why: '' });
  assert.match(overOf({ mid: 'a', second: '', clear: '' }).why, /Choose the clear too/);
  assert.deepEqual(slotsOf(['a', 'b', 'c']), { mid: 'a', second: 'b', clear: 'c' });
  assert.deepEqual(slotsOf([]), { mid: '', second: '', clear: '' });
  assert.deepEqual(goneUses(['x', 'y'], [{ name: 'y' }]), ['x']);
});

test('the shop and the index', () => {
  assert.equal(shopFact(plan).value, '? °C');
  assert.deepEqual(shopFact({ shop: { set: true, c: 28.5, notes: [], shift: [] } }), { value: '28.5\u202f°C', word: 'densities moved', mark: 'yes' });
  assert.equal(shopFact({ shop: { set: true, c: 34, notes: ['too far'], shift: [] } }).mark, 'ask');
  assert.equal(indexFact(plan).value, '1.06');
  assert.equal(indexFact({ index: { known: false, why_not: '' } }), null);
  assert.equal(indexFact({ index: { known: false, why_not: 'No index: …' } }).mark, 'ask');
});

test('limits stand by their tables', () => {
  const a = { set: 'A', category: 'x', g_l: 580, basis: 'less water', own: false };
  const b = { ...a, set: 'B', own: true };
  assert.deepEqual(limitSets([a, b, a]), [['A', [a, a]], ['B', [b]]]);
  assert.equal(limitDetail(b), '580\u202fg/l less water, your own');
});

test('what was used last, and what was achieved', () => {
  assert.equal(lastText({ kind: 'volume', amount: 300 }), 'last time 300 ml');
  assert.equal(lastText({ kind: 'area', amount: { area_m2: 2.2 } }), 'last time 2.2\u202fm²');
  assert.equal(lastText({ kind: 'as-poured', amount: 0 }), '');
  assert.equal(lastText(undefined), '');
  assert.equal(achievedShort({ index: 1.05, components: [{ ratio_text: '' }, { ratio_text: '4.03 : 1 ± 0.05' }] }), 'achieved 4.03 : 1 ± 0.05 · index 1.05');
  assert.equal(achievedShort({ components: [{}] }), '');
});

test('a table of limits says where its figures come from', () => {
  const of = (category, source, own = false) => ({ category, source, date: '1998', own });
  assert.deepEqual(limitSources([of('Wash primer', 'print'), of('Surfacer', 'memory'), of('Sealer', 'print'), of('Ours', 'permit', true)]), ['From: print, 1998.', 'Surfacer: memory, 1998.']);
  assert.deepEqual(limitSources([of('Ours', 'permit', true)]), []);
});

test('a stage offers what can stand there, and apart from it what does not say what it is', () => {
  const of = (id, stage) => ({ id, stage });
  const shelf = [of('surfacer', 'under'), of('red', 'colour'), of('gloss', 'clear'), of('white', ''), of('old', undefined)];
  const ids = ({ fits, others }) => [fits.map((r) => r.id), others.map((r) => r.id)];
  assert.deepEqual(ids(offeredFor('clear', shelf)), [['gloss'], ['white', 'old']]);
  assert.deepEqual(ids(offeredFor('mid', shelf)), [['red'], ['gloss', 'white', 'old']]);
  assert.deepEqual(ids(offeredFor('second', [])), [[], []]);
});
