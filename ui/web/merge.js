// Two pages that change one product: what the other one changed meanwhile, beside
// what was typed here, and a form that has both. Pure.

import { FIGURES, MIX_FIGURES } from './sheet.js';
import { firstForm, fitRows, OFS, parseRatio } from './stock.js';

const THIN = '\u202f';
const BASES = { volume: 'by volume', weight: 'by weight' };

// What is known of a density without typing one.
const known = (row) => (row.original?.density?.g_ml > 0 ? `${Number(row.original.density.g_ml.toFixed(3))}${THIN}g/ml` : '');

const plainField = (name, label, text = (v) => v) => ({ name, label, get: (form) => form[name] ?? '', set: (form, v) => { form[name] = v; }, text });

// A field of a component: absent where another ratio has fewer of them.
function rowField(i, name, label, text = (v) => v) {
  return { name: `${name}-${i}`, label, get: (form) => form.rows[i]?.[name] ?? '', set: (form, v) => { if (form.rows[i] !== undefined) form.rows[i][name] = v; }, text };
}

function densityField(i, label) {
  const field = rowField(i, 'density', label);
  return { ...field, get: (form) => (form.rows[i] === undefined ? '' : form.rows[i].density.trim() || known(form.rows[i])), typed: (form) => form.rows[i]?.density ?? '' };
}

function figureField(i, { name, label }, whose) {
  return {
    name: `${name}-${i}`, label: `${label}, ${whose}`, text: (v) => v,
    get: (form) => form.rows[i]?.figures[name] ?? '', set: (form, v) => { if (form.rows[i] !== undefined) form.rows[i].figures[name] = v; },
  };
}

function fieldsOf(forms) {
  const rows = forms.reduce((most, f) => (f.rows.length > most.length ? f.rows : most), []);
  const ofText = (v) => OFS.find((o) => o.value === v)?.label ?? v;
  return [
    plainField('name', 'Name'), plainField('ratio', 'Ratio'), plainField('basis', 'The parts count', (v) => BASES[v] ?? v), plainField('pot', 'Pot life, min'),
    ...rows.flatMap((r, i) => {
      const whose = r.name.trim() || r.role;
      return [
        rowField(i, 'name', `Name of component ${i + 1}`), rowField(i, 'role', `What ${whose} is`), rowField(i, 'kind', `Kind of ${whose}`), rowField(i, 'of', `Per cent of what, ${whose}`, ofText),
        densityField(i, `Density of ${whose}`), ...FIGURES.map((f) => figureField(i, f, whose)),
      ];
    }),
    ...MIX_FIGURES.map(({ name, label }) => ({ name, label, text: (v) => v, get: (form) => form.mix[name] ?? '', set: (form, v) => { form.mix[name] = v; } })),
    plainField('note', 'Note'),
  ];
}

function fit(form) {
  const { shares } = parseRatio(form.ratio);
  if (shares !== undefined) form.rows = fitRows(form.rows, shares);
}

const same = (a, b) => String(a).trim() === String(b).trim();

/** The product as it was when a form was opened that knows it only by what it carries. */
export function openedOf(form) {
  const list = (given) => Object.entries(given ?? {}).map(([figure, typed]) => ({ figure, typed }));
  return {
    id: form.id, revision: form.revision, recipe: form.original, figures: list(form.mixGiven),
    components: form.original.components.map((_, i) => ({ figures: list(form.rows[i]?.given) })),
  };
}

/**
 * What another page has changed since a form was opened: {label, was, now, mine}
 * each, mine "" where nothing else was typed here. opened and theirs are the
 * product as the shelf had it then and has it now.
 */
export function othersChanges(opened, theirs, form) {
  const [was, now] = [firstForm(opened), firstForm(theirs)];
  return fieldsOf([was, now, form]).flatMap((f) => {
    const [a, b, mine] = [f.get(was), f.get(now), f.get(form)];
    if (same(a, b)) return [];
    return [{ name: f.name, label: f.label, was: f.text(a), now: f.text(b), mine: same(mine, a) || same(mine, b) ? '' : f.text(mine) }];
  });
}

/**
 * The form of the product as it is now, with what was typed here. Where both have
 * changed the same field, keepMine says whose counts.
 */
export function mergedForm(opened, theirs, form, keepMine) {
  const was = firstForm(opened);
  const out = firstForm(theirs);
  for (const f of fieldsOf([was, out, form])) {
    const [a, b, mine] = [f.get(was), f.get(out), f.get(form)];
    const typed = !same(mine, a);
    if (typed && (keepMine || same(a, b))) f.set(out, (f.typed ?? f.get)(form));
    if (f.name === 'ratio') fit(out); // before the components: another ratio has others
  }
  out.from = form.from;
  return out;
}
