// @ts-check
// The moon at the spot: its face, its rise and set tonight, where it stands now, and what of sky is in the frame.

import { refusal, skyEvents, skyPosition } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { dateTurner } from '../elements/date-turner.js';
import { outcome } from '../elements/outcome.js';
import { skyCards } from '../elements/sky-cards.js';
import { el, fill, say, svg } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { askOutlook, clockOf, dateOf, frameWords, halfDay, passingWords, placeOf } from '../lib/outlook.js';
import { problemWords } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */

const PHASES = { new: 'New moon', first: 'First quarter', full: 'Full moon', last: 'Last quarter' };
const DAY_MS = 86_400_000;
const RADIUS = 46;

/** @param {Book} book */
export function moon(book) {
  const date = dateTurner('moon-date', chosen => book.turnTo({ date: chosen }));
  const face = svg('svg', { class: 'moon-face', viewBox: '-50 -50 100 100', role: 'img', 'aria-label': 'The moon’s face' });
  const lit = outcome('moon-lit', 'Lit by the sun');
  const now = el('p', { id: 'moon-now' });
  const day = el('tbody', {});
  const frame = el('ul', { class: 'told', id: 'frame' });
  const next = el('tbody', {});
  const element = el(
    'section',
    { class: 'screen screen-moon', 'aria-label': 'Moon' },
    skyCards('sky/moon'),
    el('div', { class: 'when' }, date.element),
    el('div', { class: 'moon-top' }, face, lit.element),
    now,
    el('h2', {}, 'From noon to noon'), el('table', {}, day),
    el('h2', {}, 'In the frame'), frame,
    el('h2', {}, 'Next'), el('table', {}, next),
    cautions('sun', 'edges'),
  );
  const row = (/** @type {string[]} */ [head, ...cells]) => el('tr', {}, el('th', { scope: 'row' }, head), ...cells.map(cell => el('td', {}, cell)));

  /** @param {number} nowMs */
  function render(nowMs) {
    const shown = dateOf(book, nowMs);
    date.value = shown;
    date.problem = null;
    const { spot } = book.open;
    const clock = clockOf(book);
    const on = (/** @type {number} */ atMs) => format.dateInWords(format.dateIn(spot.zone, atMs));
    try {
      const { startMs } = halfDay(book, nowMs, 'evening');
      const { moon: passages, moonTransits, moonStays, moonPhase } = skyEvents({ ...placeOf(book.open), startMs, endMs: startMs + DAY_MS });
      const { illuminatedFraction, ageDays, next: quarters } = moonPhase;
      const grows = ['first', 'full'].includes(quarters[0].phase);
      lit.tell({}, () => moonPhase, () => ({
        big: format.percent(illuminatedFraction), words: [`${grows ? 'Growing' : 'Shrinking'}, ${format.number(ageDays, 1)} days old at noon`],
      }));
      fill(face, svg('circle', { class: 'moon-dark', r: RADIUS }), svg('path', {
        class: 'moon-lit', transform: grows === (spot.latitudeDeg ?? 0) >= 0 ? null : 'scale(-1 1)',
        d: `M0 ${-RADIUS}A${RADIUS} ${RADIUS} 0 0 1 0 ${RADIUS}A${RADIUS * Math.abs(1 - 2 * illuminatedFraction)} ${RADIUS} 0 0 ${illuminatedFraction < 0.5 ? 0 : 1} 0 ${-RADIUS}`,
      }));
      const rows = [
        ...passages.map(({ kind, atMs, azimuthDeg }) => ({ atMs, cells: [kind === 'rise' ? 'Rises' : 'Sets', clock(atMs), `at ${format.bearing(azimuthDeg)}`] })),
        ...moonTransits.filter(({ kind }) => kind === 'upper').map(({ atMs, altitudeDeg }) => ({ atMs, cells: ['Highest', clock(atMs), `${format.degrees(altitudeDeg)} up`] })),
      ].sort((a, b) => a.atMs - b.atMs).map(({ cells }) => cells);
      fill(day, ...[...rows, ...(moonStays ? [[moonStays === 'above' ? 'It does not set' : 'It does not rise']] : [])].map(row));
      fill(next, ...quarters.map(({ phase, atMs }) => row([PHASES[phase], on(atMs), clock(atMs)])));
      const outlook = askOutlook(book, nowMs);
      fill(frame, ...[...passingWords('Moon', outlook.moon, clock), ...passingWords('Sun', outlook.sun, clock), frameWords(outlook)].map(line => el('li', {}, line)));
    } catch (error) {
      date.problem = problemWords(refusal(error));
    }
    tick(nowMs);
  }

  /** @param {number} nowMs */
  function tick(nowMs) {
    const { apparentAltitudeDeg: up, azimuthDeg, distanceKm } = skyPosition({ ...placeOf(book.open), atMs: nowMs }).moon;
    say(now, `Now it stands ${format.degrees(Math.abs(up), 1)} ${up < 0 ? 'below' : 'above'} level, at ${format.degrees(azimuthDeg, 1)}, ${format.distance(distanceKm * 1000, book.settings.lengths)} away`);
  }

  return { element, render, tick };
}
