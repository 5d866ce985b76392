// Which sound belongs to a moment. Pure; view/sound.js makes it heard.

const LOW_HZ = 294;
const HIGH_HZ = 880;
// Sound begins in the last part of the pour: before that there is nothing to
// be careful of, and silence is a cue too.
const BEGINS = 0.35;

/**
 * The sound for a cue tone: {kind, hz, everyMS}. Kind blip repeats; on, past
 * and lost are said once; silent is nothing. The pitch rises and the blips
 * come faster as what is left shrinks.
 */
export function sound(tone, toGoG, targetG) {
  if (tone === 'on' || tone === 'past' || tone === 'lost') return { kind: tone, hz: 0, everyMS: 0 };
  if (tone !== 'pour' && tone !== 'ease' && tone !== 'stop') return { kind: 'silent', hz: 0, everyMS: 0 };
  if (!(targetG > 0)) return { kind: 'silent', hz: 0, everyMS: 0 };
  const left = Math.max(0, toGoG / targetG);
  if (tone === 'pour' && left > BEGINS) return { kind: 'silent', hz: 0, everyMS: 0 };
  const near = tone === 'stop' ? 1 : 1 - Math.min(1, left / BEGINS);
  return {
    kind: 'blip',
    hz: Math.round(LOW_HZ * (HIGH_HZ / LOW_HZ) ** near),
    everyMS: Math.round(480 - 390 * near),
  };
}
