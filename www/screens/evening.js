// @ts-check
// The run sheet of one evening or morning: what next, what to dial, and the light it rests on.

import { refusal } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { dateTurner } from '../elements/date-turner.js';
import { lightChoices } from '../elements/light-choices.js';
import { nextLine } from '../elements/next-line.js';
import { runSheetPicture } from '../elements/run-sheet.js';
import { sheetTable } from '../elements/sheet-table.js';
import { tickList } from '../elements/tick-list.js';
import { announce } from '../lib/announce.js';
import { sheetCalendar } from '../lib/calendar.js';
import { el, fill, say } from '../lib/dom.js';
import { handOver } from '../lib/file.js';
import * as format from '../lib/format.js';
import { fieldOf, problemWords } from '../lib/problems.js';
import { askSheet, tonight } from '../lib/tonight.js';
import { CLOUDS, INTENTS, SCENES, assumptionWords, polarDay, rowWord, settingWords, steadinessWords, wordFor } from '../lib/words.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../elements/run-sheet.js').Sheet} Sheet */
/** @typedef {import('../elements/run-sheet.js').Row} Row */
/** @typedef {import('../core.js').Problem} Problem */

/** A dial in thirds cannot come nearer than this. */
const ROUNDING_STOPS = 1 / 5;
const MINUTE_MS = 60_000;
/** How much of the past stays above "now", and how far "now" may sink before the sheet is folded again. */
const PAST_SHOWN_MS = 4 * MINUTE_MS;
const PAST_MOST_MS = 12 * MINUTE_MS;

/**
 * The part of a sheet that is drawn to scale: all of it but the dark after the last useful light, or before
 * the first, in which only twilights end or begin.
 * @param {Sheet} sheet
 */
function lit({ startMs, endMs, rows }) {
  const awake = rows.filter(row => !['nautical', 'astronomical'].includes(row.kind));
  return { fromMs: awake[0]?.atMs ?? startMs, toMs: awake[awake.length - 1]?.atMs ?? endMs };
}

/** @param {Book} book */
export function evening(book) {
  const date = dateTurner('date', chosen => book.turnTo({ date: chosen }));
  const part = choice({
    name: 'part', label: 'Half of the day', value: book.part,
    choices: [['evening', 'Evening'], ['morning', 'Morning']],
    onchange: value => book.turnTo({ part: value }),
  });
  const next = nextLine(announce);
  const light = lightChoices('', value => book.setLight(value));
  const lightSummary = el('summary', {});
  const notice = el('div', { class: 'notice', id: 'evening-notice' });
  const fold = el('button', { type: 'button', class: 'quiet fold', on: { click: () => unfold() } });
  const picture = runSheetPicture();
  const table = sheetTable();
  const rests = el('ul', {});
  const steady = tickList('steadiness', steadinessWords);
  const steadyFold = el('details', { class: 'more', open: true }, el('summary', {}, 'Steady and sharp'), steady.element);
  const before = el('ol', { class: 'sheet-dark' });
  const after = el('ol', { class: 'sheet-dark' });
  const body = el(
    'div',
    {},
    before,
    el('div', { class: 'sheet-top' },
      el('p', { class: 'sheet-heads', 'aria-hidden': 'true' }, el('span', {}, 'lamps'), el('span', {}, 'EV at ISO 100')), fold),
    picture.element,
    after,
    steadyFold,
    el('details', { class: 'more' }, el('summary', {}, 'As a table'), table.element,
      el('div', { class: 'acts' },
        el('button', { type: 'button', class: 'quiet', id: 'to-calendar', on: { click: () => toCalendar() } }, 'Alarms for the calendar'),
        el('button', { type: 'button', class: 'quiet', id: 'print', on: { click: () => print() } }, 'Print')),
      el('p', { class: 'field-hint' }, 'A calendar rings while the phone sleeps; it takes the moments above, not the settings in between.')),
    el('details', { class: 'more' }, el('summary', {}, 'What this rests on'), rests),
  );
  const element = el(
    'section',
    { class: 'screen screen-evening', 'aria-label': 'Evening' },
    el('div', { class: 'when' }, date.element, part.element),
    next.element,
    el('details', { class: 'more light-told' }, lightSummary, light.element),
    notice,
    body,
    cautions('sun', 'ground'),
  );

  /** @type {Sheet | null} */
  let sheet = null;
  let shownDate = '';
  let foldedFromMs = 0;
  let folded = true;

  // What is folded is not printed.
  addEventListener('beforeprint', () => table.element.closest('details')?.setAttribute('open', ''));

  function toCalendar() {
    if (sheet) handOver(`duskbook-${shownDate}-${book.part}.ics`, 'text/calendar', sheetCalendar(book, shownDate, sheet, clock));
  }

  function unfold() {
    folded = !folded;
    draw(Date.now());
  }

  /** @param {number} atMs */
  const clock = atMs => format.clock(atMs, book.open.spot.zone, book.settings.hours);

  /** @param {number} atMs */
  const shortClock = atMs => format.shortClock(atMs, book.open.spot.zone, book.settings.hours);

  /** @param {number} nowMs */
  function render(nowMs) {
    light.value = book.open.light;
    part.value = book.part;
    say(lightSummary, lightInWords(book));
    date.problem = null;
    light.floorProblem = null;
    fill(notice);
    try {
      shownDate = book.date ?? tonight(book, nowMs);
      date.value = shownDate;
      sheet = askSheet(book, shownDate);
    } catch (error) {
      sheet = null;
      refuse(refusal(error));
    }
    folded = true;
    draw(nowMs);
  }

  /** @param {Problem} problem */
  function refuse(problem) {
    const field = fieldOf(problem);
    if (field === 'date') date.problem = problemWords(problem);
    else if (field === 'floorEv') light.floorProblem = problemWords(problem);
    else fill(notice, el('p', { class: 'problem' }, problem.message, ' ', el('a', { href: '#spot-form' }, 'Mend the spot')));
  }

  /** @param {Row} row */
  const darkRow = row => el('li', {}, `${clock(row.atMs)}  ${rowWord(row.kind, book.part)}`);

  /** @param {number} nowMs */
  function draw(nowMs) {
    body.hidden = !sheet;
    if (sheet) {
      const { fromMs, toMs } = lit(sheet);
      const within = nowMs > fromMs + PAST_MOST_MS && nowMs < toMs;
      foldedFromMs = within ? nowMs - PAST_SHOWN_MS : fromMs;
      const earlier = sheet.rows.filter(row => row.atMs >= fromMs && row.atMs < foldedFromMs).length;
      fill(before, ...sheet.rows.filter(row => row.atMs < fromMs).map(darkRow));
      fill(after, ...sheet.rows.filter(row => row.atMs > toMs).map(darkRow));
      fold.hidden = earlier === 0;
      say(fold, folded ? `Show ${earlier} past` : 'Fold the past');
      picture.draw({
        sheet, nowMs, clock: shortClock, fromMs: folded ? foldedFromMs : fromMs, toMs,
        words: (row, dialled) => pictureWords(row, dialled, book),
      });
      table.draw(
        `${rowTitle(book)}, ${format.dateInWords(shownDate)}, ${book.open.spot.name}`, sheet.rows, clock,
        row => ({ what: row.kind === 'dial' ? 'Dial' : rowWord(row.kind, book.part), dial: row.setting ? settingWords(row.setting).join(' ') : '' }),
      );
      fill(rests, ...['likely', ...sheet.assumptions].map(code => el('li', {}, assumptionWords(code))));
      steady.draw(sheet.checklist);
      steadyFold.hidden = sheet.checklist.length === 0;
      const polar = polarDay(sheet.polar);
      fill(notice, polar && el('p', {}, polar));
    }
    tick(nowMs);
  }

  /** @param {number} nowMs */
  function tick(nowMs) {
    if (!sheet) return next.clear();
    const { zone } = book.open.spot;
    const dayTurned = book.date === null && nowMs > sheet.endMs && format.dateIn(zone, nowMs) !== shownDate;
    if (dayTurned) return render(nowMs);
    if (folded && nowMs < lit(sheet).toMs && nowMs - foldedFromMs > PAST_MOST_MS) return draw(nowMs);
    picture.moveNow(nowMs);
    next.show(sheet, nowMs, { clock, shortClock });
  }

  return { element, render, tick };
}

/** @param {Book} book */
const rowTitle = book => (book.part === 'evening' ? 'Evening' : 'Morning');

/** What the forecast was told, as one line. @param {Book} book */
function lightInWords({ open: { light } }) {
  const scene = typeof light.scene === 'object' ? `Lamps at EV ${format.ev(light.scene.floorEv)}` : wordFor(SCENES, light.scene);
  const told = [wordFor(CLOUDS, light.cloud), scene, wordFor(INTENTS, light.intent)];
  return `For ${told.map(word => word[0].toLowerCase() + word.slice(1)).join(' · ')}`;
}

/**
 * A row beside the picture; a setting names the ISO only when it changes: the line on top has it at first.
 * @param {Row} row
 * @param {Row | undefined} dialled
 * @param {Book} book
 */
function pictureWords(row, dialled, book) {
  if (row.kind === 'dial' && row.setting) {
    const [aperture, shutter, iso] = settingWords(row.setting);
    const same = !dialled?.setting || dialled.setting.iso === row.setting.iso;
    return { what: [aperture, shutter, ...(same ? [] : [iso])].join(' · '), note: settingNote(row.setting, dialled?.setting ?? null) };
  }
  return { what: rowWord(row.kind, book.part), note: eventNote(row, book) };
}

/** @param {NonNullable<Row['setting']>} setting @param {Row['setting']} before */
function settingNote({ limited, timed, residualStops, filterOn }, before) {
  if (before && filterOn !== before.filterOn) return filterOn ? 'filter on from here' : 'filter off from here';
  if (limited && Math.abs(residualStops) > ROUNDING_STOPS) return `${format.stops(residualStops)} stops: past the limits of the shot`;
  if (limited) return 'not the time wanted';
  return timed ? 'a timed exposure' : '';
}

/** @param {Row} row @param {Book} book */
function eventNote(row, book) {
  switch (row.kind) {
    case 'balance':
      return row.endMs === null ? '' : `within a stop till ${format.shortClock(row.endMs, book.open.spot.zone, book.settings.hours)}`;
    case 'be-there': return book.part === 'evening' ? 'focus while there is light, then lock' : '';
    case 'skyline': return `${format.degrees(row.sunAltitudeDeg, 1)} up at ${format.bearing(row.sunAzimuthDeg)}`;
    case 'sunset':
    case 'sunrise': return `at ${format.bearing(row.sunAzimuthDeg)}`;
    default: return '';
  }
}
