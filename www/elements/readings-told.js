// @ts-check
// What the readings of an evening say of its light, against what was expected without them.

import { valueAt } from '../lib/curve.js';
import { el, fill } from '../lib/dom.js';
import { ev, number } from '../lib/format.js';

/** @typedef {import('./run-sheet.js').Sheet} Sheet */

/** Less than this nobody sees. */
const SEEN_STOPS = 0.15;
const SEEN_MS = 30_000;
const MINUTE_MS = 60_000;

/** @param {number} stops @param {string} by */
const lighter = (stops, by) => (Math.abs(stops) < SEEN_STOPS ? `as bright as ${by}` : `${number(Math.abs(stops), 1)} stop ${stops > 0 ? 'brighter' : 'darker'} than ${by}`);

export function readingsTold() {
  const element = el('div', { class: 'readings-told', id: 'readings-told' });

  /**
   * @param {object} told
   * @param {Sheet} told.sheet by all readings
   * @param {Sheet} told.expected by none
   * @param {Sheet} told.before by all but the last
   * @param {number} told.atMs when the last was taken
   * @param {number} told.count how many there are
   * @param {boolean} told.visited whether the spot taught something on other days
   * @param {(atMs: number) => string} clock
   */
  function draw({ sheet, expected, before, atMs, count, visited }, clock) {
    const at = (/** @type {Sheet} */ { curve }) => valueAt(curve.atMs, curve.ev, atMs);
    const moved = at(sheet) - at(before);
    const usual = visited ? 'this spot usually is' : 'the published curve';
    const lamps = sheet.floorEv;
    const guessed = sheet.assumptions.includes('lamps-guessed');
    fill(element,
      el('p', {}, el('b', {}, count === 1 ? 'One reading: ' : `${count} readings: `), `${lighter(at(sheet) - at(expected), usual)}. `,
        guessed ? 'The lamps are still a guess: read the same scene once more when they alone light it.' : `The lamps: EV ${ev(lamps.ev)}, likely ${ev(lamps.low)} to ${ev(lamps.high)}.`),
      el('p', {}, `The last, at ${clock(atMs)}: ${lighter(moved, 'the ones before it said').replace(/^as bright as.*/, 'nothing new')}${balanceMoved(sheet, before)}.`));
    if (count === 1) element.lastElementChild?.remove();
    else return;
    const shift = balanceMoved(sheet, expected);
    if (shift) element.append(el('p', {}, `${shift.replace(/^, the/, 'The')}.`));
  }

  return { element, draw, clear: () => fill(element) };
}

/** @param {Sheet} sheet @param {Sheet} before */
function balanceMoved({ balance }, { balance: was }) {
  if (!balance || !was) return balance === was ? '' : `, sky and lamps ${balance ? 'now meet' : 'no longer meet'}`;
  const later = balance.atMs - was.atMs;
  return Math.abs(later) < SEEN_MS ? '' : `, the balance of sky and lamps ${Math.max(1, Math.round(Math.abs(later) / MINUTE_MS))} min ${later > 0 ? 'later' : 'earlier'}`;
}
