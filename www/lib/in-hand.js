// @ts-check
// The exposure that the desk's cards start from, and the settings that follow from it.

import { equivalents } from '../core.js';
import { USUAL_DIALS, dialsOf } from './desk.js';
import { sidesOf } from './kit.js';
import { askSheet, tonight } from './tonight.js';

/** @typedef {import('./book.js').Book} Book */
/** @typedef {import('./desk.js').Dial} Dial */
/** @typedef {import('./desk.js').Dials} Dials */
/** @typedef {Pick<import('./desk.js').Desk, 'from' | 'sinceMs'> & { metered: Dials, dials: Dials }} InHand */

/** Lenses of the trade close to here; the spot's picture may ask for less. */
export const SMALLEST_OPENING = 22;
const WIDEST_OPENING = 1;

/** Which dial the rows run through while one is held, and which follows. @type {Record<Dial, { through: Dial, follows: Dial }>} */
export const ROWS_OF = {
  iso: { through: 'aperture', follows: 'shutter' },
  shutter: { through: 'aperture', follows: 'iso' },
  aperture: { through: 'iso', follows: 'shutter' },
};

/**
 * What the run sheet of the open spot dials at this moment with nothing on the lens, or `null`.
 * @param {Book} book
 * @param {number} nowMs
 * @returns {Dials | null}
 */
function onRunSheet({ open, settings }, nowMs) {
  const bare = { ...open, shot: { ...open.shot, filterStops: 0 } };
  for (const part of /** @type {const} */ (['evening', 'morning'])) {
    const half = { open: bare, settings, part };
    const { rows, endMs } = askSheet(half, tonight(half, nowMs));
    const dialled = rows.filter(row => row.setting && row.atMs <= nowMs).pop();
    if (dialled?.setting && nowMs < endMs) return dialsOf(dialled.setting);
  }
  return null;
}

/**
 * @param {Book} book
 * @param {number} nowMs
 * @returns {InHand}
 */
export function inHand(book, nowMs) {
  const { metered, dials, from, sinceMs } = book.desk;
  if (metered) return { metered, dials: dials ?? metered, from, sinceMs };
  // The light at an invented place is nobody's.
  const present = book.open.example ? null : onRunSheet(book, nowMs);
  const start = present ?? USUAL_DIALS;
  return { metered: start, dials: start, from: present ? 'run-sheet' : 'usual', sinceMs: nowMs };
}

/**
 * Every setting for the light in hand that keeps the held dial, and the brightness.
 * @param {Book} book
 * @param {Pick<InHand, 'metered' | 'dials'>} hand
 */
export function sameLight({ desk: { hold, offsetStops, compensationStops }, open: { spot, shot } }, { metered, dials }) {
  const held = (/** @type {Dial} */ dial) => (hold === dial ? dials[dial].exact : undefined);
  return equivalents({
    aperture: metered.aperture.exact, shutterS: metered.shutter.exact, iso: metered.iso.exact,
    holdAperture: held('aperture'), holdShutterS: held('shutter'), holdIso: held('iso'),
    minAperture: Math.min(shot.apertureMin ?? WIDEST_OPENING, dials.aperture.exact),
    maxAperture: Math.max(shot.apertureMax ?? SMALLEST_OPENING, dials.aperture.exact, SMALLEST_OPENING),
    meterOffsetStops: offsetStops, compensationStops, isoLimit: shot.isoMax ?? undefined, formatMm: sidesOf(spot.format),
    filterStops: undefined, longestShutterS: undefined,
  });
}

/**
 * The row that goes on with a setting when the light or the held dial changes: the same mark of the dial that the
 * rows run through, or the nearest end of what is left.
 * @param {ReturnType<typeof sameLight>['rows']} rows
 * @param {Dial} hold
 * @param {Dials} dials
 */
export function rowFor(rows, hold, dials) {
  const { through } = ROWS_OF[hold];
  const all = rows.map(dialsOf);
  const same = all.findIndex(row => row[through].label === dials[through].label);
  if (same >= 0 || !all.length) return same;
  return dials[through].exact < all[0][through].exact ? 0 : all.length - 1;
}
