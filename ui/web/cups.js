// Measured cups in words and figures: which cup the marks are for, what can be
// pressed while one is measured. Pure.

import { decimal } from './format.js';

const THIN = '\u202f';

/** The cups to choose among: [id, label] each, the one by its size first. */
export function cupChoices(cups) {
  return [['', 'Round, by its size'], ...cups.map((c) => [c.id, `${c.name}, ${decimal(c.top_ml, 0)} ml`])];
}

/** The id that is chosen, as long as such a cup is there; "" is the one by its size. */
export function chosenCup(id, cups) {
  return cups.some((c) => c.id === id) ? id : '';
}

/** Where a mark stands and how well, ["35.2 mm", "± 0.6"]; a dash beyond what was measured, and "" where that is not known. */
export function markText(c) {
  if (!(c.mark_mm > 0)) return ['–', ''];
  const sure = c.mark_expanded_u_mm > 0 ? `±${THIN}${decimal(Math.ceil(c.mark_expanded_u_mm * 10 - 1e-9) / 10, 1)}` : '';
  return [`${decimal(c.mark_mm, 1)}${THIN}mm`, sure];
}

/** What stands below the live number while a cup is filled. */
export function notedText(w, decimals) {
  if (w.noted_g > 0) return `${decimal(w.noted_g, decimals)}${THIN}g of water, that is ${decimal(w.noted_ml, 1)}${THIN}ml`;
  if (w.waits !== '') return '';
  return w.still ? 'stands still' : 'moves';
}

/** The buttons of a cup being measured: [verb, label, class] each. confirm is what was pressed once and is asked again. */
export function cupOffers(w, confirm) {
  if (confirm === 'cancel') return [['no', 'No, go on', 'start check-no'], ['cancel', 'Yes, throw it away', 'plain grave']];
  if (confirm === 'again') return [['no', 'No, go on', 'start check-no'], ['again', 'Yes, from the beginning', 'plain grave']];
  if (confirm === 'next') return [['no', 'No, look again', 'start check-no'], ['sure', 'It is so: take it', 'plain grave']];
  const list = [];
  if (w.step === 'done') list.push(['keep', 'Keep it', 'start']);
  if (w.noted_g > 0) list.push(['next', `It stands at ${w.height_mm} mm: take it`, 'start']);
  if (w.step === 'fill' && w.enough) list.push(['enough', 'That is enough', 'choice']);
  if (w.step !== 'cup') list.push(['back', backText(w), 'plain']);
  if (w.levels.length > 0) list.push(['again', 'Begin again', 'plain']);
  list.push(['cancel', w.step === 'done' ? 'Throw it away' : 'Cancel', 'plain grave']);
  return list;
}

function backText(w) {
  if (w.step === 'done') return 'One more height';
  const last = w.levels.at(-1);
  return last === undefined ? 'One step back' : `Take ${last.height_mm} mm back`;
}

/** How the heights up to now are shown as steps: the cup, each height, and the one that is filled. */
export function cupSteps(w) {
  const steps = [{ text: 'empty cup', how: w.step === 'cup' ? 'now' : 'past' }];
  for (const l of w.levels) steps.push({ text: `${l.height_mm} mm`, how: 'past' });
  if (w.step === 'fill') steps.push({ text: `${w.height_mm} mm`, how: 'now' });
  return steps;
}
