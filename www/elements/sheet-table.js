// @ts-check
import { el, fill } from '../lib/dom.js';
import { degrees, ev } from '../lib/format.js';

/** @typedef {import('./run-sheet.js').Row} Row */
/** @typedef {{ atMs: number, kind: string, what: string, dial: string, ev: string, band: string, sun: string }} TableRow */

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
   * @param {TableRow[]} rows
   * @param {(atMs: number) => string} clock
   */
  function draw(title, rows, clock) {
    fill(caption, title);
    fill(body, ...rows.map(({ kind, atMs, what, dial, ev, band, sun }) => el(
      'tr',
      { 'data-kind': kind },
      el('td', {}, clock(atMs)),
      el('th', { scope: 'row' }, what),
      ...[dial, ev, band, sun].map(text => el('td', {}, text)),
    )));
  }
  return { element, draw };
}

/**
 * A row of the sheet for the table.
 * @param {Row} row
 * @param {string} what
 * @param {string} dial
 * @returns {TableRow}
 */
export const tableRow = ({ kind, atMs, ev: value, low, high, sunAltitudeDeg }, what, dial) =>
  ({ kind, atMs, what, dial, ev: ev(value), band: `${ev(low)} to ${ev(high)}`, sun: degrees(sunAltitudeDeg, 1) });
