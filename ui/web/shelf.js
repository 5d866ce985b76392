// What the choosing of recipe and amount works with. Pure, but for the two
// functions that ask the bench.

/** The ways to say how much, with first amount, quick amounts and steps. */
export const WAYS = [
  { kind: 'volume', label: 'By volume', unit: 'ml', first: 300, quick: [100, 200, 300, 400, 600, 800], steps: [10, 100], field: 'ml' },
  { kind: 'mass', label: 'By weight', unit: 'g', first: 300, quick: [100, 200, 300, 500, 750, 1000], steps: [10, 100], field: 'g' },
  { kind: 'area', label: 'By area', unit: 'm²', first: null, quick: [], steps: [], field: '' },
  { kind: 'as-poured', label: 'As poured', unit: '', first: 0, quick: [], steps: [], field: '' },
];

// What an area says to the bench; ml, if not 0, is mixed in place of what it takes.
const JOB = ['area_m2', 'coats', 'dry_um', 'transfer', 'loss', 'dead_ml'];

/** The way with a kind; an unknown kind gives the first. */
export function way(kind) {
  return WAYS.find((w) => w.kind === kind) ?? WAYS[0];
}

/** What a start command orders. */
export function startBody(recipeID, kind, amount) {
  const { field } = way(kind);
  const body = { recipe_id: recipeID, kind };
  if (kind === 'area') {
    body.job = Object.fromEntries(JOB.map((name) => [name, amount[name]]));
    if (amount.ml > 0) body.ml = amount.ml;
  }
  if (field !== '') body[field] = amount;
  return body;
}

/** An amount as typed: a comma counts as a point; null if it is no amount. */
export function parseAmount(text) {
  const clean = text.trim().replace(',', '.');
  if (!/^\d+(\.\d*)?$/.test(clean)) return null;
  const value = Number(clean);
  return value >= 1 && value <= 100000 ? value : null;
}

/** A step up or down, to the next whole step, never below one step or above the bench's limit. */
export function stepped(amount, step) {
  const size = Math.abs(step);
  const ratio = amount / size;
  const next = step > 0 ? Math.floor(ratio + 1e-9) + 1 : Math.ceil(ratio - 1e-9) - 1;
  return Math.min(100000, Math.max(size, next * size));
}

/** Recipes with those used last in front; last maps a recipe to {kind, amount, at}. */
export function recentFirst(recipes, last) {
  const at = (r) => last[r.id]?.at ?? 0;
  return recipes.map((r, i) => ({ r, i })).sort((a, b) => at(b.r) - at(a.r) || a.i - b.i).map((x) => x.r);
}

const MEMORY = 'gramcup-last';

/** What was used last on this screen. It is a convenience and may be gone. */
export function recall(storage) {
  try {
    const last = JSON.parse(storage.getItem(MEMORY) ?? '{}');
    return typeof last === 'object' && last !== null ? last : {};
  } catch {
    return {};
  }
}

/** Remembers an amount for a recipe; a full or forbidden memory is no matter. */
export function remember(storage, recipeID, kind, amount, at) {
  try {
    storage.setItem(MEMORY, JSON.stringify({ ...recall(storage), [recipeID]: { kind, amount, at } }));
  } catch {
    // The page works the same without it.
  }
}

/** After so long without an answer the bench counts as not reached: who waits for ever never asks again. */
const PATIENCE_MS = 10000;

/**
 * Asks the bench for something; an answer that is none throws its sentence, with
 * unheard where the bench could not be reached.
 */
export async function ask(fetch, path, patienceMS = PATIENCE_MS) {
  let response;
  try {
    response = await fetch(path, { cache: 'no-store', signal: AbortSignal.timeout(patienceMS) });
  } catch {
    throw unheard();
  }
  const { body, brokeOff } = await readBody(response);
  if (response.ok && body !== null) return body;
  if (brokeOff) throw unheard();
  throw new Error(body?.sentence ?? `The bench answered with status ${response.status}.`);
}

/**
 * Reads what a response brought: its JSON, null for none, and whether it broke off on
 * the way. A refusal that came whole and is no JSON did not.
 */
export async function readBody(response) {
  let brokeOff = response.ok;
  const body = await response.json().catch((err) => {
    brokeOff ||= !(err instanceof SyntaxError);
    return null;
  });
  return { body, brokeOff };
}

const unheard = () => Object.assign(new Error('The bench could not be reached.'), { unheard: true });

/** The path that asks for a plan. */
export function planPath(recipeID, kind, amount) {
  const query = new URLSearchParams({ recipe: recipeID, kind });
  const { field } = way(kind);
  if (kind === 'area') {
    for (const name of JOB) query.set(name, String(amount[name]));
    if (amount.ml > 0) query.set('mix_ml', String(amount.ml));
  }
  if (field !== '') query.set(field, String(amount));
  return `/api/plan?${query}`;
}
