// @ts-check
import { el, fill } from '../lib/dom.js';
import { degrees, ev } from '../lib/format.js';

/** @typedef {import('./run-sheet.js').Row} Row */

/** The run sheet as rows and columns: everything the picture shows, and the sun. */
export function sheetTable() {
  const body = el('tbody');
  const caption = el('caption');
  const table = el(
    'table',
    { id: 'sheet-table' },
    caption,
    el('thead', {}, el('tr', {}, ...['Time', 'What', 'Dial', 'EV', '80 %', 'Sun'].map(word => el('th', { scope: 'col' }, word)))),
    body,
  );
  // It may be wider than a phone; keys must be able to scroll it as well.
  const element = el('div', { class: 'wide', role: 'region', tabindex: 0, 'aria-label': 'The run sheet as a table' }, table);
  /**
   * @param {string} title
   * @param {Row[]} rows
   * @param {(atMs: number) => string} clock
   * @param {(row: Row) => { what: string, dial: string }} words
   */
  function draw(title, rows, clock, words) {
    fill(caption, title);
    fill(body, ...rows.map(row => {
      const { what, dial } = words(row);
      return el(
        'tr',
        { 'data-kind': row.kind },
        el('td', {}, clock(row.atMs)),
        el('th', { scope: 'row' }, what),
        el('td', {}, dial),
        el('td', {}, ev(row.ev)),
        el('td', {}, `${ev(row.low)} to ${ev(row.high)}`),
        el('td', {}, degrees(row.sunAltitudeDeg, 1)),
      );
    }));
  }
  return { element, draw };
}
