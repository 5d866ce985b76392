// Commands to the bench. Each press has its own key, and is sent again with
// the same one when the network fails, so that it takes effect once.

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
  return {
    async send(verb, on, start) {
      return insist(rim, '/api/command', JSON.stringify(commandBody(freshKey(rim.crypto), on, verb, start)));
    },
    /** Does something to the check of the scale: version is that of the state on screen. */
    async check(verb, version, start) {
      return insist(rim, '/api/scale/check', JSON.stringify({ key: freshKey(rim.crypto), version, do: verb, start }));
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
      const body = JSON.stringify({ stranger });
      let answer = await post(rim, '/api/scale/take', body);
      if (answer !== null && answer.code === 'no-session') {
        await rim.fetch('/', { cache: 'no-store' }).catch(() => {});
        answer = await post(rim, '/api/scale/take', body);
      }
      return answer ?? unheard();
    },
    /** Sets something of the shop; the same again sets the same. */
    async settings(body) {
      const text = JSON.stringify(body);
      let answer = await post(rim, '/api/settings', text);
      if (answer !== null && answer.code === 'no-session') {
        await rim.fetch('/', { cache: 'no-store' }).catch(() => {});
        answer = await post(rim, '/api/settings', text);
      }
      return answer ?? unheard();
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
    if (answer !== null) await rim.fetch('/', { cache: 'no-store' }).catch(() => {});
    if (attempt >= RETRY_MS.length) return unheard();
    await rim.sleep(RETRY_MS[attempt]);
  }
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
  const answer = await response.json().catch(() => null);
  if (answer !== null && typeof answer.ok === 'boolean') return answer.code === 'no-answer' ? null : answer;
  if ([502, 503, 504].includes(response.status)) return null;
  if (response.ok) return { ok: true };
  return { ok: false, code: 'status', sentence: `The bench refused it (status ${response.status}).` };
}
