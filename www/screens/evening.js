// @ts-check
// The run sheet of one evening or morning: what next, what to dial, and the light it rests on.

import { refusal, runSheet } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { dateTurner } from '../elements/date-turner.js';
import { lightChoices } from '../elements/light-choices.js';
import { runSheetPicture } from '../elements/run-sheet.js';
import { sheetTable } from '../elements/sheet-table.js';
import { announce } from '../lib/announce.js';
import { valueAt } from '../lib/curve.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { fieldOf, problemWords } from '../lib/problems.js';
import { CLOUDS, INTENTS, SCENES, assumptionWords, polarDay, rowWord, settingWords, wordFor } from '../lib/words.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../elements/run-sheet.js').Sheet} Sheet */
/** @typedef {import('../elements/run-sheet.js').Row} Row */
/** @typedef {import('../core.js').Problem} Problem */

const STEP_STOPS = 0.5;
const MINUTE_MS = 60_000;
/** How much of the past stays above "now", and how far "now" may sink before the sheet is folded again. */
const PAST_SHOWN_MS = 4 * MINUTE_MS;
const PAST_MOST_MS = 12 * MINUTE_MS;

/**
 * @param {Book} book
 * @param {string} date
 * @returns {Sheet}
 */
const askSheet = ({ open, part, settings }, date) =>
  runSheet({
    spot: open.spot, shot: open.shot, date, part, ...open.light,
    fromMs: undefined, stepStops: STEP_STOPS, goldenDeg: settings.goldenDeg, blueDeg: settings.blueDeg, readings: [],
  });

/** No zone's clocks are further than this from the sun's midnight, at which an evening ends at the latest. */
const LATEST_EVENING_HOUR = 4;

/**
 * The date that "tonight" means: after midnight the evening may still belong to the day before.
 * @param {Book} book
 * @param {number} nowMs
 */
function tonight(book, nowMs) {
  const { zone } = book.open.spot;
  const today = format.dateIn(zone, nowMs);
  if (book.part !== 'evening' || format.hourIn(zone, nowMs) >= LATEST_EVENING_HOUR) return today;
  const before = format.dateShifted(today, -1);
  return askSheet(book, before).endMs > nowMs ? before : today;
}

/**
 * What stands at a moment, and what comes after it.
 * @param {Sheet} sheet
 * @param {number} nowMs
 */
function around({ rows }, nowMs) {
  const dials = rows.filter(row => row.setting);
  const after = (/** @type {Row} */ row) => row.atMs > nowMs;
  return {
    dial: dials.filter(row => !after(row)).pop(),
    nextDial: dials.find(row => after(row) && row.kind === 'dial'),
    nextEvent: rows.find(row => after(row) && row.kind !== 'dial'),
  };
}

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
    onchange: value => book.turnTo({ part: /** @type {import('../lib/book.js').Part} */ (value) }),
  });
  const next = {
    lead: el('p', { class: 'next-lead' }),
    dial: el('p', { class: 'next-dial' }),
    event: el('p', { class: 'next-event' }),
    step: el('p', { class: 'next-step' }),
    sure: el('p', { class: 'next-sure' }),
  };
  const light = lightChoices('', value => book.setLight(value));
  const lightSummary = el('summary', {});
  const notice = el('div', { class: 'notice', id: 'evening-notice' });
  const fold = el('button', { type: 'button', class: 'quiet fold', on: { click: () => unfold() } });
  const picture = runSheetPicture();
  const table = sheetTable();
  const rests = el('ul', {});
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
    el('details', { class: 'more' }, el('summary', {}, 'As a table'), table.element),
    el('details', { class: 'more' }, el('summary', {}, 'What this rests on'), rests),
  );
  const element = el(
    'section',
    { class: 'screen screen-evening', 'aria-label': 'Evening' },
    el('div', { class: 'when' }, date.element, part.element),
    el('div', { id: 'next', class: 'next' }, next.lead, next.dial, next.event, next.step, next.sure),
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
  /** @type {number | undefined} */
  let announcedMs;

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
    lightSummary.replaceChildren(...lightInWords(book));
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
    announcedMs = undefined;
    draw(nowMs);
  }

  /** @param {Problem} problem */
  function refuse(problem) {
    const field = fieldOf(problem);
    if (field === 'date') date.problem = problemWords(problem);
    else if (field === 'floorEv') light.floorProblem = problemWords(problem);
    else fill(notice, el('p', { class: 'problem' }, problem.message, ' ', el('a', { href: '#spot-form' }, 'Mend the spot')));
  }

  /** @param {number} nowMs */
  function draw(nowMs) {
    body.hidden = !sheet;
    if (sheet) {
      const { fromMs, toMs } = lit(sheet);
      const within = nowMs > fromMs + PAST_MOST_MS && nowMs < toMs;
      foldedFromMs = within ? nowMs - PAST_SHOWN_MS : fromMs;
      const earlier = sheet.rows.filter(row => row.atMs >= fromMs && row.atMs < foldedFromMs).length;
      const dark = (/** @type {Row} */ row) => el('li', {}, `${clock(row.atMs)}  ${rowWord(row.kind, book.part)}`);
      fill(before, ...sheet.rows.filter(row => row.atMs < fromMs).map(dark));
      fill(after, ...sheet.rows.filter(row => row.atMs > toMs).map(dark));
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
      fill(notice, ...sheet.polar.filter(({ altitudeDeg }) => altitudeDeg > -1 && altitudeDeg < 0).map(({ state }) => el('p', {}, polarDay(state))));
    }
    tick(nowMs);
  }

  /** @param {number} nowMs */
  function tick(nowMs) {
    if (!sheet) {
      for (const node of Object.values(next)) say(node, '');
      return;
    }
    if (folded && nowMs < lit(sheet).toMs && nowMs - foldedFromMs > PAST_MOST_MS) return draw(nowMs);
    picture.moveNow(nowMs);
    const { dial, nextDial, nextEvent } = around(sheet, nowMs);
    const { curve } = sheet;
    const over = nowMs > sheet.endMs;
    const atMs = Math.max(sheet.startMs, Math.min(nowMs, sheet.endMs));
    const standing = over ? undefined : dial ?? nextDial;
    say(next.lead, lead());
    fillDial(standing);
    say(next.event, nextEvent
      ? `${rowWord(nextEvent.kind, book.part)} ${inWords(nextEvent.atMs, nowMs)}`
      : over ? goneWords(book.part) : '');
    say(next.step, dial && nextDial && !over ? `${stepWords(dial, nextDial)} ${inWords(nextDial.atMs, nowMs)}` : '');
    const value = (/** @type {ArrayLike<number>} */ column) => format.ev(valueAt(curve.atMs, column, atMs));
    say(next.sure, over ? '' : `EV ${value(curve.ev)}, likely ${value(curve.low)} to ${value(curve.high)}: a guess until you meter`);
    if (announcedMs !== undefined && nextEvent && nextEvent.atMs !== announcedMs) announce(next.event.textContent ?? '');
    announcedMs = nextEvent?.atMs;

    function lead() {
      if (over || !standing) return '';
      return dial ? `now ${clock(nowMs)}, dial` : `from ${clock(standing.atMs)}, dial`;
    }
  }

  /** @param {Row | undefined} row */
  function fillDial(row) {
    const words = row?.setting ? settingWords(row.setting) : [];
    if (next.dial.textContent !== words.join('')) fill(next.dial, ...words.map(word => el('span', {}, word)));
  }

  /** @param {number} atMs @param {number} nowMs */
  function inWords(atMs, nowMs) {
    const away = atMs - nowMs;
    if (away > 20 * 60 * MINUTE_MS) return `at ${clock(atMs)}`;
    return away < 60 * MINUTE_MS ? `in ${format.wait(away)}, ${shortClock(atMs)}` : `in ${format.wait(away)}, at ${clock(atMs)}`;
  }

  return { element, render, tick };
}

/** @param {Book} book */
const rowTitle = book => (book.part === 'evening' ? 'Evening' : 'Morning');

/** @param {import('../lib/book.js').Part} part */
const goneWords = part => `The light of this ${part} has gone: turn to another day or half of the day.`;

/** @param {Book} book */
function lightInWords({ open: { light } }) {
  const scene = typeof light.scene === 'object' ? `lamps at EV ${format.ev(light.scene.floorEv)}` : wordFor(SCENES, light.scene);
  return ['For ', [wordFor(CLOUDS, light.cloud), scene, wordFor(INTENTS, light.intent)].join(' · ').toLowerCase().replaceAll('ev ', 'EV ')];
}

/** @param {Row} dial @param {Row} nextDial */
function stepWords(dial, nextDial) {
  const [was, becomes] = [dial, nextDial].map(row => (row.setting ? settingWords(row.setting) : []));
  return `then ${becomes.filter(word => !was.includes(word)).join(' · ') || 'the same'}`;
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
    return { what: [aperture, shutter, ...(same ? [] : [iso])].join(' · '), note: settingNote(row.setting) };
  }
  return { what: rowWord(row.kind, book.part), note: eventNote(row, book) };
}

/** @param {NonNullable<Row['setting']>} setting */
function settingNote({ limited, timed, residualStops }) {
  if (limited) return `${format.stops(residualStops)} stops off: past the limits of the shot`;
  return timed ? 'a timed exposure' : '';
}

/** @param {Row} row @param {Book} book */
function eventNote(row, book) {
  switch (row.kind) {
    case 'balance':
      return row.endMs === null ? '' : `within a stop till ${format.shortClock(row.endMs, book.open.spot.zone, book.settings.hours)}`;
    case 'skyline': return `${format.degrees(row.sunAltitudeDeg, 1)} up at ${format.bearing(row.sunAzimuthDeg)}`;
    case 'sunset':
    case 'sunrise': return `at ${format.bearing(row.sunAzimuthDeg)}`;
    default: return '';
  }
}
