// @ts-check
// The run sheet as moments of a calendar.

import { writeCalendar } from '../core.js';
import { rowWord, settingWords } from './words.js';

/** @typedef {import('../elements/run-sheet.js').Sheet} Sheet */

/** Minutes before a moment at which the phone rings; at the moment itself when nothing is said. @type {Record<string, number[]>} */
const ALARMS = { 'set-out': [30, 0], nautical: [], astronomical: [] };

/**
 * @param {Pick<import('./book.js').Book, 'open' | 'part'>} book
 * @param {string} date
 * @param {Sheet} sheet
 * @param {(atMs: number) => string} clock
 * @returns {string} the text of a calendar file
 */
export function sheetCalendar({ open: { id, spot }, part }, date, { rows, startMs, endMs }, clock) {
  const { name, latitudeDeg, longitudeDeg } = spot;
  const uid = (/** @type {string} */ kind) => `${id ?? `${latitudeDeg},${longitudeDeg}`}-${date}-${part}-${kind}@duskbook`;
  const dial = (/** @type {Sheet['rows'][number]} */ { setting }) => (setting ? settingWords(setting).join(' ') : '');
  const what = (/** @type {Sheet['rows'][number]} */ row) => (row.kind === 'dial' ? 'Dial' : rowWord(row.kind, part));
  const whole = {
    uid: uid('sheet'), startMs, endMs, alarmsMin: [],
    summary: [part === 'evening' ? 'Evening' : 'Morning', name].filter(Boolean).join(', '),
    notes: rows.map(row => [clock(row.atMs), what(row), dial(row)].filter(Boolean).join('  ')).join('\n'),
  };
  const moments = rows.filter(row => row.kind !== 'dial').map(row => ({
    uid: uid(row.kind), startMs: row.atMs, endMs: row.endMs, summary: what(row), notes: dial(row), alarmsMin: ALARMS[row.kind] ?? [0],
  }));
  return writeCalendar({
    madeAtMs: Date.now(), place: name, latitudeDeg: Number(latitudeDeg), longitudeDeg: Number(longitudeDeg), moments: [whole, ...moments],
  });
}
