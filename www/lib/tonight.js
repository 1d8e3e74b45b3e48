// @ts-check
// The run sheet of the open spot, and which date "tonight" is.

import { logTable, runSheet } from '../core.js';
import { dateIn, dateShifted, hourIn } from './format.js';
import { taughtAt } from './book.js';
import { LATEST_EVENING_HOUR, ofHalfDay, ofSpot } from './frames.js';
import { halfDayKey, lessonBefore, lightThen, notIn, taughtBy } from './lesson.js';

/** @typedef {Pick<import('./book.js').Book, 'open' | 'part' | 'settings' | 'frames' | 'kept'>} Asked */
/** @typedef {ReturnType<typeof runSheet>} Sheet */
/** @typedef {import('./frames.js').Frame} Frame */
/** @typedef {import('../../target/types/duskbook.d.ts').ReadingGiven} Reading */

const STEP_STOPS = 0.5;
/** The forecast learns from no more. */
const MOST_READINGS = 100;

/**
 * Frames of the open spot's evening or morning, oldest first.
 * @param {Asked} book
 * @param {string} date
 */
export const framesOf = ({ frames, open, part }, date) => ofHalfDay(ofSpot(frames, open), open.spot.zone, date, part);

/**
 * What the forecast can learn from frames: the latest that were marked as readings.
 * @param {Frame[]} frames
 * @returns {Reading[]}
 */
export function readingsOf(frames) {
  const marked = frames.filter(({ reading }) => reading);
  const rows = logTable({ frames: marked, spots: [] });
  return marked.flatMap(({ atMs, intent }, index) => {
    const { ev100, canBeReading } = rows[index];
    return ev100 !== null && canBeReading ? [{ atMs, ev: ev100, intent }] : [];
  }).slice(-MOST_READINGS);
}

/** The last sheets by their questions: most touches of most cards ask for the same ones again. @type {Map<string, Sheet>} */
const answered = new Map();
const MOST_ANSWERED = 8;

/**
 * @param {Asked} book
 * @param {string} date
 * @returns {Sheet}
 */
export function askSheet(book, date) {
  const { open, part, settings } = book;
  const question = {
    spot: open.spot, ...open.skyline, shot: open.shot, date, part, ...open.light,
    fromMs: undefined, stepStops: STEP_STOPS, goldenDeg: settings.goldenDeg, blueDeg: settings.blueDeg,
    ...learnt(book, date),
  };
  const key = JSON.stringify(question);
  const sheet = answered.get(key) ?? runSheet(question);
  if (answered.size >= MOST_ANSWERED) answered.clear();
  answered.set(key, sheet);
  return sheet;
}

/**
 * The light of a sheet, for questions about the part of it that has light.
 * @param {Asked} book
 * @param {Sheet} sheet
 * @param {string} date
 * @returns {import('../../target/types/duskbook.d.ts').LightQuestion}
 */
export function lightOf(book, sheet, date) {
  const { open: { spot, light } } = book;
  const { fromMs, toMs } = lit(sheet);
  const known = (/** @type {number | null} */ value) => value ?? NaN;
  return {
    latitudeDeg: known(spot.latitudeDeg), longitudeDeg: known(spot.longitudeDeg), elevationM: known(spot.elevationM),
    bearingDeg: known(spot.bearingDeg), ...light, startMs: fromMs, endMs: toMs, ...learnt(book, date),
  };
}

/**
 * What was read on a half-day, and what the spot knew before it.
 * @param {Asked} book
 * @param {string} date
 */
function learnt(book, date) {
  const lesson = lessonBefore(taughtAt(book.kept, book.open), halfDayKey(date, book.part));
  return { readings: notIn(readingsOf(framesOf(book, date)), lesson), lesson };
}

/**
 * A sheet as asked for, and the spot keeps what it teaches for its next evenings.
 * @param {import('./book.js').Book} book
 * @param {string} date
 */
export function learnSheet(book, date) {
  const sheet = askSheet(book, date);
  const [taught, key] = [taughtAt(book.kept, book.open), halfDayKey(date, book.part)];
  const light = lightThen(taught, key, Date.now() > sheet.endMs, book.open.light);
  const { changed, lesson } = light === book.open.light ? sheet : askSheet({ ...book, open: { ...book.open, light } }, date);
  // Best effort: what is lost is taught again by the same frames.
  book.teach(taughtBy(taught, key, changed && lesson, light)).catch(() => undefined);
  return sheet;
}

/**
 * The date that "tonight" means: after midnight the evening may still belong to the day before.
 * @param {Asked} book
 * @param {number} nowMs
 */
export function tonight(book, nowMs) {
  const { example, spot: { zone } } = book.open;
  const today = dateIn(zone, nowMs);
  // Nobody stands at the example: once its light has gone it shows the next.
  if (example && askSheet(book, today).endMs < nowMs) return dateShifted(today, 1);
  if (book.part !== 'evening' || hourIn(zone, nowMs) >= LATEST_EVENING_HOUR) return today;
  const before = dateShifted(today, -1);
  return askSheet(book, before).endMs > nowMs ? before : today;
}

/**
 * When tonight's last useful light is at the open spot, or `null` where there is none.
 * @param {Omit<Asked, 'part'>} book
 * @param {number} nowMs
 */
export function lastLight({ open, settings, frames, kept }, nowMs) {
  /** @type {Asked} */
  const evening = { open, settings, frames, kept, part: 'evening' };
  const { rows } = askSheet(evening, tonight(evening, nowMs));
  return rows.find(row => row.kind === 'light-ends')?.atMs ?? null;
}

/**
 * The row whose setting stands at a moment, or the first that will.
 * @param {Sheet['rows']} rows
 * @param {number} nowMs
 */
export const standingRow = (rows, nowMs) =>
  rows.filter(row => row.setting && row.atMs <= nowMs).pop() ?? rows.find(row => row.kind === 'dial');

/**
 * The part of a sheet that is drawn to scale: all of it but the dark after the last useful light, or before
 * the first, in which only twilights end or begin.
 * @param {Sheet} sheet
 */
export function lit({ startMs, endMs, rows }) {
  const awake = rows.filter(row => !['nautical', 'astronomical'].includes(row.kind));
  return { fromMs: awake[0]?.atMs ?? startMs, toMs: awake[awake.length - 1]?.atMs ?? endMs };
}
