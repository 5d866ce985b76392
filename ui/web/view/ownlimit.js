// A limit of the shop's own: nothing is taken without where it stands and of
// when it is. What is refused says so beside its field, and nothing is lost.

import { el, setAttr, setText } from './dom.js';

const FIELDS = [
  ['set', 'Whose limit', 'e.g. Booth permit'], ['category', 'Category', 'as it stands there'], ['g_l', 'Limit', '420 g/l or 3.5 lb/gal'],
  ['source', 'Where it stands', 'e.g. permit on the wall'], ['date', 'Of when', 'e.g. 3 May 2026'],
];
const BASES = [['less water and exempt solvent', 'US rules'], ['less water', 'EU, ready to use'], ['of the whole product', 'EU, preparatory'], ['of the material', 'all of it']];

/** The form; add(body, name) puts a limit and gives the bench's answer. */
export function makeOwnLimit(guard, add) {
  const fields = Object.fromEntries(FIELDS.map(([name, label, hint]) => {
    const input = el('input', { type: 'text', autocomplete: 'off', class: 'own-input', 'data-own': name, 'aria-label': label, placeholder: hint, maxlength: 120 });
    const said = el('small', { class: 'own-said', role: 'status' });
    input.addEventListener('input', () => mark(name, ''));
    return [name, { input, said, node: el('label', { class: 'own-field' }, el('span', { text: label }), input, said) }];
  }));
  const mark = (name, text) => {
    setText(fields[name].said, text);
    setAttr(fields[name].input, 'aria-invalid', text === '' ? null : 'true');
  };
  const problem = el('p', { class: 'sentence', role: 'alert' });
  let [[basis]] = BASES;
  const bases = el('div', { class: 'own-bases', role: 'group', 'aria-label': 'How it counts' });
  const drawBases = () => bases.replaceChildren(...BASES.map(([value, whose]) => el('button', {
    type: 'button', class: 'own-basis', 'data-basis': value, 'aria-pressed': String(value === basis), on: { click: guard.step(() => { basis = value; drawBases(); }) },
  }, el('span', { text: value }), el('small', { text: whose }))));
  drawBases();
  let busy = false;
  const press = async () => {
    if (busy) return;
    busy = true;
    const text = (name) => fields[name].input.value.trim();
    const limit = { set: text('set'), category: text('category'), g_l: 0, source: text('source'), date: text('date'), basis, own: true };
    const sent = Object.keys(fields).map((name) => [name, fields[name].input.value]);
    const answer = await add({ limit, typed: text('g_l') }, `${limit.set}: ${limit.category}`);
    busy = false;
    guard.changed();
    const beside = !answer.ok && fields[answer.field] !== undefined;
    for (const name of Object.keys(fields)) mark(name, beside && name === answer.field ? answer.sentence : '');
    setText(problem, answer.ok || beside ? '' : answer.sentence);
    if (beside) fields[answer.field].input.focus();
    if (!answer.ok) return;
    // What was typed meanwhile is of another limit, and stays.
    for (const [name, value] of sent) if (fields[name].input.value === value) fields[name].input.value = '';
    node.open = Object.values(fields).some(({ input }) => input.value !== '');
  };
  const node = el('details', { class: 'limit-own' }, el('summary', { text: 'A limit of your own' }),
    el('div', { class: 'own-fields' }, ...Object.values(fields).map((f) => f.node)),
    el('p', { class: 'more-small', text: 'It counts, as it says:' }), bases, problem,
    el('button', { type: 'button', class: 'plain own-add', text: 'Add it and hold this mix against it', 'data-own': 'add', on: { click: guard.press(press) } }));
  return { node };
}
