// @ts-check
// A day of the sun as a ladder: one rung an altitude, high above low, what rises on the left and what
// falls on the right. It is a table, and reads as one.

import { el, fill } from '../lib/dom.js';
import { bearing, degrees } from '../lib/format.js';

/** @typedef {{ atMs: number, azimuthDeg: number }} Moment */
/**
 * @typedef {object} Rung
 * @property {number} altitudeDeg
 * @property {string} name
 * @property {boolean} strong
 * @property {Moment[]} morning
 * @property {Moment[]} evening
 * @property {Moment} [turn] the day's highest or lowest point, in place of crossings
 * @property {'above' | 'below' | undefined} never the state of a sun that does not come to this altitude
 */

/** Depths at which a rung takes its tint, see tokens.css. */
const TINTS = [8, 3, 0, -3, -6, -9, -12, -18];

/** @param {number} altitudeDeg */
function tint(altitudeDeg) {
  const nearest = TINTS.reduce((a, b) => (Math.abs(b - altitudeDeg) < Math.abs(a - altitudeDeg) ? b : a));
  return `tint-${nearest < 0 ? 'm' : 'p'}${Math.abs(nearest)}`;
}

export function ladder() {
  const body = el('tbody');
  const element = el(
    'table',
    { class: 'ladder', id: 'sky-table' },
    el('caption', { class: 'unseen' }, 'The sun through the day, by altitude'),
    el('thead', {}, el('tr', {}, ...['Rising', 'Sun at', 'Falling'].map(word => el('th', { scope: 'col' }, word)))),
    body,
  );
  /**
   * @param {Rung[]} rungs the highest first
   * @param {(atMs: number) => string} clock
   * @param {(state: 'above' | 'below') => string} neverWords
   */
  function draw(rungs, clock, neverWords) {
    const moments = (/** @type {Moment[]} */ list) => list.flatMap(({ atMs, azimuthDeg }) =>
      [el('b', {}, clock(atMs)), ' ', el('small', {}, `at ${bearing(azimuthDeg)}`), ' ']);
    fill(body, ...rungs.map(rung => {
      const cells = [
        el('td', {}, ...moments(rung.morning)),
        el('th', { scope: 'row' },
          el('span', { class: `ladder-altitude ${tint(rung.altitudeDeg)}` }),
          el('b', {}, degrees(rung.altitudeDeg, 1).replace('.0°', '°')), ' ', rung.name,
          rung.turn ? el('small', {}, `${clock(rung.turn.atMs)} at ${bearing(rung.turn.azimuthDeg)}`) : null),
        el('td', {}, ...(rung.never ? [neverWords(rung.never)] : moments(rung.evening))),
      ];
      const cls = rung.turn ? 'ladder-turn' : rung.never ? 'ladder-never' : rung.strong ? 'ladder-strong' : null;
      return el('tr', { class: cls }, ...cells);
    }));
  }
  return { element, draw };
}
