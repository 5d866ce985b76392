// How much from an area: the part, coats and film, and what is assumed.

import { assumedText, onPart, usedText } from '../decide.js';
import { decimal } from '../format.js';
import { el, onChange, setAttr, setText, show } from './dom.js';
import { makeStepper } from './stepper.js';

/** The region of an area; change(job) is called with each new one, refused() when a typed figure is none. */
export function makeArea(guard, change, refused) {
  let job = null;
  let picking = false;
  let known = [];
  let used;
  const with_ = (name) => (value) => change({ ...job, [name]: value, ml: 0, ...(name === 'area_m2' ? { part: '' } : {}) });
  const stepper = (spec) => makeStepper(guard, spec, with_(spec.name), refused);
  const steppers = {
    area_m2: stepper({ name: 'area_m2', label: 'Area', unit: 'm²', step: 0.1, least: 0.01, most: 500 }),
    coats: stepper({ name: 'coats', label: 'Coats', unit: '', step: 1, least: 1, most: 20, whole: true }),
    dry_um: stepper({ name: 'dry_um', label: 'Dry film of a coat', unit: 'µm', step: 5, least: 1, most: 1000 }),
    transfer: stepper({ name: 'transfer', label: 'Stays on the part', unit: '%', step: 5, least: 5, most: 100, factor: 100 }),
    loss: stepper({ name: 'loss', label: 'Lost of the mix', unit: '%', step: 1, least: 0, most: 90, factor: 100 }),
    dead_ml: stepper({ name: 'dead_ml', label: 'Stays in cup and hose', unit: 'ml', step: 10, least: 0, most: 1000 }),
  };
  const part = el('button', { type: 'button', class: 'area-part', on: { click: guard.press(() => { picking = !picking; guard.changed(); draw(); }) } });
  const picker = el('div', { class: 'area-parts', role: 'group', 'aria-label': 'Parts with rough areas' });
  const rough = el('p', { class: 'area-rough', text: 'Rough areas of one side: a start, turn the figure to what you see.' });
  const assumed = el('summary', { class: 'assumed-line' });
  const fold = el('details', { class: 'assumed' }, assumed, el('div', { class: 'turns' }, steppers.transfer.node, steppers.loss.node, steppers.dead_ml.node));
  const typed = el('p', { class: 'typed' });
  const asNeeded = el('button', { type: 'button', class: 'plain', text: 'What the job takes', on: { click: guard.press(() => change({ ...job, ml: 0 })) } });
  const typedRow = el('div', { class: 'typed-row' }, typed, asNeeded);
  const figures = el('div', { class: 'turns' }, steppers.coats.node, steppers.dry_um.node);
  const top = el('div', { class: 'area-top' }, part, steppers.area_m2.node);
  const node = el('div', { class: 'area' }, top, picker, rough, figures, typedRow);
  const drawPanels = onChange((panels) => picker.replaceChildren(...panels.map((p) => el('button', {
    type: 'button', class: 'area-choice', 'data-part': p.name,
    on: { click: guard.press(() => {
      picking = false;
      guard.changed();
      const next = onPart(job, p);
      for (const name of ['area_m2', 'transfer']) steppers[name].set(next[name], true);
      change(next);
    }) },
  }, el('span', { text: p.name }), el('small', { text: `about ${decimal(p.area_m2, 1)} m²` })))));
  const draw = () => {
    drawPanels(JSON.stringify(known), known);
    for (const [name, s] of Object.entries(steppers)) s.set(job[name]);
    setText(part, job.part === '' ? 'Choose a part' : job.part);
    setAttr(part, 'aria-expanded', picking ? 'true' : 'false');
    show(picker, picking);
    const last = picking ? '' : usedText(job, used);
    show(rough, picking || job.part !== '' || last !== '');
    show(figures, !picking);
    const start = job.part === '' ? '' : 'A rough area of one side: turn it to what you see.';
    setText(rough, picking ? 'Rough areas of one side: a start, to be edited.' : [start, last].filter(Boolean).join(' '));
    setText(assumed, `Assumed: ${assumedText(job)}`);
    show(typedRow, job.ml > 0 && !picking);
    setText(typed, `Mixing ${decimal(job.ml, 0)} ml for it.`);
  };
  return {
    node,
    /** What is assumed, to stand below what follows from it. */
    fold,
    update(now, panels, before) {
      job = now;
      used = before;
      known = panels;
      draw();
    },
    /** Why a typed figure is not taken, "" if all are. */
    trouble: () => Object.values(steppers).map((s) => s.trouble()).find((text) => text !== '') ?? '',
    /** Another recipe: the picker is closed, and nothing is half typed. */
    reset(first) {
      picking = false;
      fold.open = false;
      for (const [name, s] of Object.entries(steppers)) s.set(first[name], true);
    },
  };
}
