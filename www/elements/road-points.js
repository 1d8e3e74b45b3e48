// @ts-check
// The points of a road as a table to type in: metres or feet right of the tripod, ahead of it, and below the lens.

import { el, fill } from '../lib/dom.js';
import { heightMetres, heightTyped, readNumber } from '../lib/format.js';

/** @typedef {import('../lib/roads.js').RoadPoint} RoadPoint */

const COLUMNS = ['Right', 'Ahead', 'Below'];

/**
 * @param {() => import('../lib/format.js').Lengths} lengths
 * @param {(points: RoadPoint[]) => void} onchange
 */
export function roadPoints(lengths, onchange) {
  const body = el('tbody', {});
  const error = el('p', { class: 'field-error', id: 'pointsM-error', role: 'status' });
  const element = el('div', {},
    el('table', { class: 'road-points' }, el('caption', { class: 'unseen' }, 'Points of the road'),
      el('thead', {}, el('tr', {}, ...COLUMNS.map(word => el('th', { scope: 'col' }, word)), el('td', {}))), body),
    el('button', { type: 'button', class: 'quiet', on: { click: () => more() } }, 'One more point'), error);
  /** @type {RoadPoint[]} */
  let points = [];
  let drawn = '';

  function more() {
    const [last, before] = [points[points.length - 1], points[points.length - 2]];
    onchange([...points, /** @type {RoadPoint} */ (last.map((value, axis) => (axis < 2 ? 2 * value - before[axis] : value)))]);
  }

  /** @param {number} index @param {number} axis @param {string} text */
  function typed(index, axis, text) {
    const value = readNumber(text);
    onchange(/** @type {RoadPoint[]} */ (points.map((point, at) => (at === index
      ? point.map((old, each) => (each === axis ? heightMetres(value ?? NaN, lengths()) : old)) : point))));
  }

  return {
    element,
    /** @param {string | null} message */
    set problem(message) {
      error.textContent = message ?? '';
      // What is wrong must be in sight.
      const fold = element.closest('details');
      if (message && fold) fold.open = true;
    },
    /** @param {RoadPoint[]} list */
    draw(list) {
      const key = `${list} ${lengths()}`;
      if (key === drawn) return;
      [points, drawn] = [list, key];
      const texts = list.flat().map(value => (Number.isNaN(value) ? '' : heightTyped(value, lengths())));
      const inputs = body.querySelectorAll('input');
      // In place, so that whoever goes through them by keys keeps the focus.
      if (inputs.length === texts.length) return inputs.forEach((input, index) => { input.value = texts[index] || input.value; });
      fill(body, ...list.map((point, index) => el('tr', {},
        ...point.map((_, axis) => el('td', {}, el('input', {
          class: 'number', inputmode: 'text', 'aria-label': `Point ${index + 1}, ${COLUMNS[axis].toLowerCase()}`,
          value: texts[3 * index + axis],
          on: { change: (/** @type {any} */ event) => typed(index, axis, event.target.value) },
        }))),
        el('td', {}, el('button', {
          type: 'button', class: 'quiet', 'aria-label': `Leave out point ${index + 1}`, disabled: list.length < 3,
          on: { click: () => onchange(points.filter((_, at) => at !== index)) },
        }, '×')))));
    },
  };
}
