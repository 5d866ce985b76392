// What a product's sheets say beside ratio and density: the fields of the form,
// and what of them is sent. Pure.

/** The largest error of a component's own amount: common practice, no source. */
export const TOLERANCE = { base: 0.02, hardener: 0.03, reducer: 0.05, additive: 0.05 };

/** The figures of a component; only says for which places in the recipe it makes sense. */
export const FIGURES = [
  { name: 'price', label: 'Price of a litre', hint: 'e.g. 26, or 98 /gal' },
  { name: 'tolerance', label: 'Tolerance, ±', hint: '' },
  { name: 'expansion', label: 'Expansion', hint: 'e.g. 0.0008 /K' },
  { name: 'oh', label: 'OH value', hint: 'mg KOH/g', only: (row, i) => i === 0 },
  { name: 'nco', label: 'NCO content', hint: 'e.g. 16 %', only: (row) => row.role === 'hardener' },
  { name: 'volume_solids', label: 'Solids by volume', hint: 'e.g. 52 %', only: (row) => row.role !== 'reducer' },
  { name: 'weight_solids', label: 'Solids by weight', hint: 'e.g. 61 %', only: (row) => row.role !== 'reducer' },
  { name: 'solvent', label: 'Density of its solvent', hint: 'e.g. 0.87', only: (row) => row.role !== 'reducer' },
  { name: 'voc', label: 'VOC as stated', hint: 'g/l or lb/gal' },
  { name: 'plain', label: 'Water, exempt solvent', hint: '', toggle: 'none in it' },
  { name: 'volatile', label: 'Volatile by weight', hint: 'e.g. 39 %' },
  { name: 'water', label: 'Water by weight', hint: 'e.g. 0 %' },
  { name: 'exempt', label: 'Exempt by weight', hint: 'e.g. 0 %' },
  { name: 'exempt_density', label: 'Density of the exempt', hint: 'e.g. 0.79' },
];

/** The figures of the whole mix. */
export const MIX_FIGURES = [
  { name: 'mix_solids', label: 'Solids of the mix', hint: 'e.g. 44 % by vol.' },
  { name: 'cup', label: 'The usual cup holds', hint: 'e.g. 650 ml' },
];

const LABELS = Object.fromEntries([...FIGURES, ...MIX_FIGURES].map((f) => [f.name, f.label]));

/** The label of a figure on a product's page. */
export function figureLabel(name) {
  return LABELS[name] ?? name;
}

/** The fields of a component in its place. */
export function fieldsOf(row, i) {
  return FIGURES.filter((f) => f.only === undefined || f.only(row, i) || (row.figures?.[f.name] ?? '') !== '');
}

/** What stands greyed in an empty field: the tolerance that counts, or how to write it. */
export function hintOf(field, row) {
  return field.name === 'tolerance' ? `${100 * TOLERANCE[row.role]} %, if empty` : field.hint;
}

/** What stands in the fields, from the figures that the bench lists. */
export function typedFigures(figures) {
  return Object.fromEntries((figures ?? []).map((f) => [f.figure, f.typed]));
}

/** The fields that are not as they were: only those are sent. */
export function changedFigures(now, was) {
  return Object.fromEntries(Object.entries(now).filter(([name, text]) => text.trim() !== (was[name] ?? '').trim()));
}

/** The parts of a body that carry figures; none where nothing was changed. */
export function figuresBody(form) {
  const rows = form.rows.map((r) => {
    const typed = changedFigures(r.figures ?? {}, r.given ?? {});
    return Object.keys(typed).length > 0 ? { typed } : {};
  });
  const mix = changedFigures(form.mix ?? {}, form.mixGiven ?? {});
  const body = {};
  if (rows.some((r) => r.typed !== undefined)) body.figures = rows;
  if (Object.keys(mix).length > 0) body.mix = mix;
  if (Object.keys(body).length > 0 && (form.from ?? '').trim() !== '') body.from = form.from.trim();
  return body;
}

/** How many fields of a component are filled in, in words for its tab. */
export function filledText(fields, texts) {
  const n = fields.filter((f) => (texts[f.name] ?? '').trim() !== '').length;
  return n === 0 ? 'nothing yet' : `${n} of ${fields.length}`;
}

/** The rows of a product's figures, [whose, figures] each, those that know nothing left out. */
export function figureRows(r) {
  const rows = r.components.map((c) => [c.name, c.figures ?? []]);
  rows.push(['The whole mix', r.figures ?? []]);
  return rows.filter(([, figures]) => figures.length > 0);
}

/** The field that a refusal belongs beside, {place, name}; null for none. */
export function fieldOf(answer) {
  const found = /^(.+)-(\d+|mix)$/.exec(answer.field ?? '');
  return found === null ? null : { name: found[1], place: found[2] };
}

/** The path that reads a figure back. */
export function figurePath(name, text) {
  return `/api/shelf/figure?${new URLSearchParams({ figure: name, text })}`;
}
