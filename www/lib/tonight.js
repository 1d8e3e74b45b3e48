// @ts-check
// The run sheet of the open spot, and which date "tonight" is.

import { runSheet } from '../core.js';
import { dateIn, dateShifted, hourIn } from './format.js';

/** @typedef {Pick<import('./book.js').Book, 'open' | 'part' | 'settings'>} Asked */
/** @typedef {ReturnType<typeof runSheet>} Sheet */

const STEP_STOPS = 0.5;

/**
 * @param {Asked} book
 * @param {string} date
 * @returns {Sheet}
 */
export const askSheet = ({ open, part, settings }, date) =>
  runSheet({
    spot: open.spot, ...open.skyline, shot: open.shot, date, part, ...open.light,
    fromMs: undefined, stepStops: STEP_STOPS, goldenDeg: settings.goldenDeg, blueDeg: settings.blueDeg, readings: [],
  });

/** No zone's clocks are further than this from the sun's midnight, at which an evening ends at the latest. */
const LATEST_EVENING_HOUR = 4;

/**
 * The date that "tonight" means: after midnight the evening may still belong to the day before.
 * @param {Asked} book
 * @param {number} nowMs
 */
export function tonight(book, nowMs) {
  const { zone } = book.open.spot;
  const today = dateIn(zone, nowMs);
  if (book.part !== 'evening' || hourIn(zone, nowMs) >= LATEST_EVENING_HOUR) return today;
  const before = dateShifted(today, -1);
  return askSheet(book, before).endMs > nowMs ? before : today;
}

/**
 * When tonight's last useful light is at the open spot, or `null` where there is none.
 * @param {Pick<Asked, 'open' | 'settings'>} book
 * @param {number} nowMs
 */
export function lastLight({ open, settings }, nowMs) {
  /** @type {Asked} */
  const evening = { open, settings, part: 'evening' };
  const { rows } = askSheet(evening, tonight(evening, nowMs));
  return rows.find(row => row.kind === 'light-ends')?.atMs ?? null;
}
