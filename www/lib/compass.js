// @ts-check
// The phone as a sighting rule: laid along the line of sight, its upper end away from the eye, it tells heading and raise.

/** The finger that tapped still shakes it. */
const SETTLE_MS = 1000;
const READ_MS = 2500;

const MISSING = 'No compass answers here: the device has none, or its browser keeps it from pages. Enter the numbers by hand.';
const REFUSED = 'The sensors are not allowed to this page. Allow motion and orientation in the browser’s settings, or enter the numbers by hand.';

/**
 * Readings for some seconds; to be called from a tap, as some browsers ask the reader then.
 * @returns {Promise<{ samples: [number, number][], clockwise: boolean }>} headings from magnetic north, clockwise or not
 */
export async function readCompass() {
  const sensors = /** @type {any} */ (globalThis).DeviceOrientationEvent;
  if (!sensors) throw new Error(MISSING);
  const allowed = await Promise.resolve(sensors.requestPermission?.() ?? 'granted').catch(() => 'denied');
  if (allowed !== 'granted') throw new Error(REFUSED);
  /** @type {[number, number][]} */
  const samples = [];
  let clockwise = false;
  const from = Date.now() + SETTLE_MS;
  const heard = (/** @type {any} */ event) => {
    const { absolute, alpha, beta, webkitCompassHeading: heading, webkitCompassAccuracy: within } = event;
    const turn = heading ?? (absolute ? alpha : null);
    // Below nothing where the compass has no direction yet.
    if (Date.now() < from || turn === null || beta === null || within < 0) return;
    clockwise = heading !== undefined;
    samples.push([turn, beta]);
  };
  const kinds = ['deviceorientationabsolute', 'deviceorientation'];
  for (const kind of kinds) addEventListener(kind, heard);
  await new Promise(resolve => setTimeout(resolve, SETTLE_MS + READ_MS));
  for (const kind of kinds) removeEventListener(kind, heard);
  if (!samples.length) throw new Error(MISSING);
  return { samples, clockwise };
}
