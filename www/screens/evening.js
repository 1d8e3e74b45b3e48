// @ts-check
// The run sheet of one evening or morning: what next, what to dial, and the light it rests on.

import { logTable, refusal } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { dateTurner } from '../elements/date-turner.js';
import { lightChoices } from '../elements/light-choices.js';
import { madeLine } from '../elements/made-line.js';
import { nextLine } from '../elements/next-line.js';
import { readingsTold } from '../elements/readings-told.js';
import { runSheetPicture } from '../elements/run-sheet.js';
import { sheetTable, tableRow } from '../elements/sheet-table.js';
import { tickList } from '../elements/tick-list.js';
import { announce } from '../lib/announce.js';
import { newId } from '../lib/book.js';
import { sheetCalendar } from '../lib/calendar.js';
import { afterPaint, el, fill, say } from '../lib/dom.js';
import { handOver } from '../lib/file.js';
import * as format from '../lib/format.js';
import { frameAt } from '../lib/frames.js';
import { settingNow } from '../lib/in-hand.js';
import { fieldOf, problemWords } from '../lib/problems.js';
import { framesOf, learnSheet, lit, tonight } from '../lib/tonight.js';
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

/** @param {Book} book */
export function evening(book) {
  const date = dateTurner('date', chosen => book.turnTo({ date: chosen }));
  const part = choice({
    name: 'part', label: 'Half of the day', value: book.part,
    choices: [['evening', 'Evening'], ['morning', 'Morning']],
    onchange: value => book.turnTo({ part: value }),
  });
  const example = el('p', { class: 'example' }, 'An invented spot, its evening worked out to the end. ', el('a', { href: '#spot-form' }, 'Make it yours'));
  const next = nextLine(announce);
  const made = madeLine({
    standing: () => sheet && settingNow(book, sheet, Date.now()),
    intent: () => wordFor(INTENTS, book.open.light.intent).toLowerCase(),
    onframe: setting => keep(setting, {}),
    onreading: (setting, wantsStops) => keep(setting, { compensationStops: -wantsStops, reading: true, source: 'desk' }),
  });
  const told = readingsTold();
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
  // Its room is there before it is drawn, so that nothing below it moves.
  const body = el(
    'div',
    { class: 'awaited' },
    before,
    el('div', { class: 'sheet-top' },
      el('p', { class: 'sheet-heads', 'aria-hidden': 'true' }, el('span', {}, 'lamps'), el('span', {}, 'EV at ISO 100')), fold),
    picture.element,
    after,
    el('a', { class: 'button quiet', id: 'to-window', href: '#evening/window' }, 'When does the shot fit?'),
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
    example,
    el('div', { class: 'when' }, date.element, part.element),
    next.element,
    made.element,
    told.element,
    el('details', { class: 'more light-told' }, lightSummary, light.element),
    notice,
    body,
    cautions('sun', 'ground'),
  );

  /** @type {Sheet | null} */
  let sheet = null;
  /** Frames of it, as marks and as rows of the table. @type {ReturnType<typeof marksOf>} */
  let frames = [];
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
    example.hidden = !book.open.example;
    light.value = book.open.light;
    part.value = book.part;
    say(lightSummary, lightInWords(book));
    if (!sheet) return reckon(nowMs);
    if (book.date) date.value = book.date;
    reckonLater();
  }

  const reckonLater = afterPaint(body, () => reckon(Date.now()));

  /** @param {number} nowMs */
  function reckon(nowMs) {
    date.problem = null;
    light.floorProblem = null;
    fill(notice);
    try {
      shownDate = book.date ?? tonight(book, nowMs);
      date.value = shownDate;
      sheet = learnSheet(book, shownDate);
      frames = marksOf(book, framesOf(book, shownDate));
      told.draw(sheet, book.open.light.scene !== 'unlit', clock);
    } catch (error) {
      sheet = null;
      told.draw(null, false, clock);
      refuse(refusal(error));
    }
    folded = true;
    if (sheet) foldFrom(sheet, nowMs);
    // The next line first: it is what a hurried reader came for.
    tick(nowMs);
    drawLater();
  }

  const drawLater = afterPaint(body, () => draw(Date.now()));

  /** @param {Sheet} sheet @param {number} nowMs */
  function foldFrom(sheet, nowMs) {
    const { fromMs, toMs } = lit(sheet);
    foldedFromMs = nowMs > fromMs + PAST_MOST_MS && nowMs < toMs ? nowMs - PAST_SHOWN_MS : fromMs;
  }

  /** @param {Problem} problem */
  function refuse(problem) {
    const field = fieldOf(problem);
    if (field === 'date') date.problem = problemWords(problem);
    else if (field === 'floorEv') light.floorProblem = problemWords(problem);
    else fill(notice, el('p', { class: 'problem' }, problem.message, ' ', el('a', { href: '#spot-form' }, 'Mend the spot')));
  }

  /**
   * @param {import('../lib/frames.js').Setting} setting
   * @param {Partial<import('../lib/frames.js').Frame>} rest
   */
  async function keep(setting, rest) {
    const nowMs = Date.now();
    await book.keepFrame({ ...frameAt(book, setting, newId(), nowMs), ...rest });
    const what = rest.reading ? 'A reading' : 'A frame';
    return `${what} ${book.lasts ?? `kept at ${clock(nowMs)}`}.`;
  }

  /** @param {Row} row */
  const darkRow = row => el('li', {}, `${clock(row.atMs)}  ${rowWord(row.kind, book.part)}`);

  const tableLater = afterPaint(body, () => {
    if (!sheet) return;
    const rows = sheet.rows.map(row => tableRow(row, row.kind === 'dial' ? 'Dial' : rowWord(row.kind, book.part), row.setting ? settingWords(row.setting).join(' ') : ''));
    table.draw(`${rowTitle(book)}, ${format.dateInWords(shownDate)}, ${book.open.spot.name}`,
      [...rows, ...frames.map(({ row }) => row)].sort((a, b) => a.atMs - b.atMs), clock);
  });

  /** @param {number} nowMs */
  function draw(nowMs) {
    body.hidden = !sheet;
    body.className = '';
    if (sheet) {
      const { fromMs, toMs } = lit(sheet);
      foldFrom(sheet, nowMs);
      const earlier = sheet.rows.filter(row => row.atMs >= fromMs && row.atMs < foldedFromMs).length;
      fill(before, ...sheet.rows.filter(row => row.atMs < fromMs).map(darkRow));
      fill(after, ...sheet.rows.filter(row => row.atMs > toMs).map(darkRow));
      fold.hidden = earlier === 0;
      say(fold, folded ? `Show ${earlier} past` : 'Fold the past');
      picture.draw({
        sheet, nowMs, marks: frames.map(({ mark }) => mark), clock: shortClock, fromMs: folded ? foldedFromMs : fromMs, toMs,
        words: (row, dialled) => pictureWords(row, dialled, book),
      });
      tableLater();
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
    made.element.hidden = !sheet || nowMs < sheet.startMs || nowMs > sheet.endMs;
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

/**
 * Frames as they stand on the picture and in the table; one with something wrong in it stands in the log alone.
 * @param {Book} book
 * @param {import('../lib/frames.js').Frame[]} frames
 */
function marksOf(book, frames) {
  const rows = logTable({ frames, spots: [{ id: book.open.id ?? undefined, spot: book.open.spot }] });
  return frames.flatMap(({ atMs, reading }, i) => {
    const { ev100, sunAltitudeDeg, ...told } = rows[i];
    if (ev100 === null) return [];
    const mark = { atMs, ev: ev100, reading, number: i + 1 };
    const row = {
      atMs, kind: reading ? 'reading' : 'frame', what: `${reading ? 'Reading' : 'Frame'} ${i + 1}`, dial: settingWords(told).join(' '),
      ev: format.ev(ev100), band: '', sun: sunAltitudeDeg === null ? '' : format.degrees(sunAltitudeDeg, 1),
    };
    return [{ mark, row }];
  });
}

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
    case 'gap':
    case 'skyline': return `${format.degrees(row.sunAltitudeDeg, 1)} up at ${format.bearing(row.sunAzimuthDeg)}`;
    case 'sunset':
    case 'sunrise': return `at ${format.bearing(row.sunAzimuthDeg)}`;
    default: return '';
  }
}
