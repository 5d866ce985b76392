// Answers of the bench that come late or in another order than they were asked
// for: which of them still counts. Pure.

/**
 * Askings of which only the newest counts. ask() begins one and gives a question,
 * true as long as no later one has begun.
 */
export function makeNewest() {
  let asked = 0;
  return {
    ask() {
      const mine = ++asked;
      return () => mine === asked;
    },
    /** What is on its way counts no more. */
    drop() {
      asked++;
    },
  };
}

/**
 * States that carry a version, asked for again and again while presses bring some
 * too. began() is called before something is sent, and gives counts(state, now,
 * pressed): whether the state that came takes the place of the one of now. One
 * that came meanwhile may be newer: then the version says it, and where that is
 * the same, the answer to a press knows more. After everything has come in, what
 * comes next counts whatever its version is: a bench that was started anew counts
 * from the beginning.
 */
export function makeOrder() {
  let taken = 0;
  return {
    began() {
      const before = taken;
      return (state, now, pressed = false) => {
        const counts = now === null || before === taken || state.version > now.version || (pressed && state.version === now.version);
        if (counts) taken++;
        return counts;
      };
    },
  };
}

/**
 * Presses that are on their way: run(what, f) does f, but not the same thing
 * twice at a time. A second press of it is no second wish.
 */
export function makeOnce() {
  const going = new Set();
  return {
    busy: () => going.size > 0,
    async run(what, f) {
      if (going.has(what)) return undefined;
      going.add(what);
      try {
        return await f();
      } finally {
        going.delete(what);
      }
    },
  };
}

/**
 * Where a person is: moved() with each step of his. here() gives a question, true
 * as long as he has gone nowhere else; an answer that comes later does not take
 * him along.
 */
export function makeSteps() {
  let steps = 0;
  return {
    moved() {
      steps++;
    },
    here() {
      const mine = steps;
      return () => mine === steps;
    },
  };
}
