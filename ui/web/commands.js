// Commands to the bench. Each press has its own key, and is sent again with
// the same one when the network fails, so that it takes effect once.

import { readBody } from './shelf.js';

const RETRY_MS = [200, 600, 1500, 3000];
const PATIENCE_MS = 6000;

/**
 * A fresh key of 128 bits in hex. It is made of random bytes because the
 * browser's own UUIDs exist only in a secure context, which plain http on a
 * local network is not.
 */
export function freshKey(crypto) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
}

/** The body of a command: on is the batch and version that were on screen. */
export function commandBody(key, on, verb, start) {
  const body = { key, batch: on.batch, version: on.version, do: verb };
  if (start !== undefined) body.start = start;
  return body;
}

/**
 * A sender of commands. send(verb, on, start) gives the bench's answer,
 * always with ok and, where it is a refusal, a sentence to show. It never
 * throws. rim holds fetch, crypto and sleep(ms).
 */
export function makeCommands(rim) {
  let settled = Promise.resolve();
  return {
    async send(verb, on, start) {
      return insist(rim, '/api/command', JSON.stringify(commandBody(freshKey(rim.crypto), on, verb, start)));
    },
    /** Does something to the check of the scale: version is that of the state on screen. */
    async check(verb, version, start, confirm) {
      return insist(rim, '/api/scale/check', JSON.stringify({ key: freshKey(rim.crypto), version, do: verb, start, confirm }));
    },
    /** Changes the shelf: body says what, without its key. */
    async shelf(body) {
      return insist(rim, '/api/shelf', JSON.stringify({ key: freshKey(rim.crypto), ...body }));
    },
    /** Changes the undercoats, or makes a grey of them: body says what, without its key. */
    async grey(body) {
      return insist(rim, '/api/grey', JSON.stringify({ key: freshKey(rim.crypto), ...body }));
    },
    /** Does something to the measuring of a density: body says what, without its key. */
    async measure(body) {
      return insist(rim, '/api/measure', JSON.stringify({ key: freshKey(rim.crypto), ...body }));
    },
    /** Does something around a measured cup: body says what, without its key. */
    async cups(body) {
      return insist(rim, '/api/cups', JSON.stringify({ key: freshKey(rim.crypto), ...body }));
    },
    /** Takes on the scale that is kept out; stranger is the sentence on it that was on screen. */
    async take(stranger) {
      return once(rim, '/api/scale/take', JSON.stringify({ stranger }));
    },
    /** Sets something of the shop, one after the other: what was set last is what stays. */
    async settings(body) {
      const mine = settled.then(() => once(rim, '/api/settings', JSON.stringify(body)));
      settled = mine;
      return mine;
    },
    async demo(body) {
      const answer = await post(rim, '/api/demo', JSON.stringify(body));
      return answer ?? unheard();
    },
  };
}

// The same body again and again, until somebody answers or patience is at its end.
async function insist(rim, path, body) {
  for (let attempt = 0; ; attempt++) {
    const answer = await post(rim, path, body);
    if (answer !== null && !(answer.code === 'no-session' && attempt === 0)) return answer;
    if (answer !== null) await renew(rim);
    if (attempt >= RETRY_MS.length) return unheard();
    await rim.sleep(RETRY_MS[attempt]);
  }
}

// The same body once, or with a new session where the bench has forgotten this one.
async function once(rim, path, body) {
  let answer = await post(rim, path, body);
  if (answer !== null && answer.code === 'no-session') {
    await renew(rim);
    answer = await post(rim, path, body);
  }
  return answer ?? unheard();
}

// The page itself brings a new session.
async function renew(rim) {
  await rim.fetch('/', { cache: 'no-store', signal: AbortSignal.timeout(PATIENCE_MS) }).catch(() => {});
}

function unheard() {
  return { ok: false, code: 'network', sentence: 'The bench could not be reached: look at what it shows before you press again.' };
}

// Null means that nobody knows whether the command arrived: send it again.
async function post(rim, path, body) {
  let response;
  try {
    response = await rim.fetch(path, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body,
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
  } catch {
    return null;
  }
  const { body: answer, brokeOff } = await readBody(response);
  if (answer !== null && typeof answer.ok === 'boolean') return answer.code === 'no-answer' ? null : answer;
  // One that broke off, a refusal too, says nothing of what it brought: the same key brings it again.
  if (brokeOff || [502, 503, 504].includes(response.status)) return null;
  return { ok: false, code: 'status', sentence: `The bench refused it (status ${response.status}).` };
}
