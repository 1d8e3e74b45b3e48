// @ts-check
// What the readings of an evening say of its light, against what was expected before them.

import { el, fill } from '../lib/dom.js';
import { ev, howMany, number } from '../lib/format.js';

/** @typedef {import('./run-sheet.js').Sheet} Sheet */

/** Less than this nobody sees. */
const SEEN_STOPS = 0.15;
const SEEN_S = 30;

/** @param {number} stops @param {string} by */
const against = (stops, by) =>
  (Math.abs(stops) < SEEN_STOPS ? `as bright as ${by}` : `${number(Math.abs(stops), 1)} stop ${stops > 0 ? 'brighter' : 'darker'} than ${by}`);

/** @param {string} what @param {number | null} seconds */
const moved = (what, seconds) =>
  seconds !== null && Math.abs(seconds) >= SEEN_S && `${what} ${number(Math.max(1, Math.abs(seconds) / 60))} min ${seconds > 0 ? 'later' : 'earlier'}`;

/** @param {Sheet} sheet */
function lamps({ said, floorEv }) {
  if (said.floorKnown) return `The lamps are known: EV ${ev(floorEv.ev)}, likely ${ev(floorEv.low)} to ${ev(floorEv.high)}.`;
  return `The lamps are a guess, EV ${ev(floorEv.low)} to ${ev(floorEv.high)}: meter the same scene once more when they alone light it.`;
}

export function readingsTold() {
  const element = el('div', { class: 'readings-told', id: 'readings-told' });

  /** @param {Sheet | null} sheet @param {boolean} lit whether there are lamps @param {(atMs: number) => string} clock */
  function draw(sheet, lit, clock) {
    if (!sheet || (!sheet.changed && !sheet.said.evenings)) return fill(element);
    const { said, changed, part } = sheet;
    const before = said.evenings > 0 ? `${howMany(said.evenings, 'evening')} here before` : '';
    const usual = before ? 'it usually is here' : 'the published curve';
    const told = changed && [
      `The reading at ${clock(changed.atMs)} ${Math.abs(changed.stops) < SEEN_STOPS ? 'said the same again' : `made it ${against(changed.stops, 'thought')}`}`,
      moved('the balance of sky and lamps', changed.balanceS), moved(part === 'evening' ? 'the last useful light' : 'the first useful light', changed.borderS),
    ].filter(Boolean).join(', ');
    fill(element,
      changed
        ? el('p', {}, el('b', {}, 'The readings say: '), `${against(said.brighterStops, usual)}, give or take ${number(said.brighterBandStops, 1)}. `)
        : el('p', {}, `From ${before}, and nothing metered yet today.`),
      lit && el('p', {}, lamps(sheet)),
      told && el('p', {}, `${told}.`));
  }

  return { element, draw };
}
