// @ts-check
// The log: frames and readings of an evening, of a spot, of all spots; into a file and back.

import { logTable, readLogCsv, refusal, series, writeLogCsv } from '../core.js';
import { choice } from '../elements/choice.js';
import { dateTurner } from '../elements/date-turner.js';
import { eveningCurve } from '../elements/evening-curve.js';
import { fileChooser } from '../elements/file-chooser.js';
import { frameList } from '../elements/frame-list.js';
import { logCards } from '../elements/log-cards.js';
import { dialled } from '../elements/made-line.js';
import { announce } from '../lib/announce.js';
import { newId } from '../lib/book.js';
import { afterPaint, el, fill, say } from '../lib/dom.js';
import { canSend, handOver, send } from '../lib/file.js';
import * as format from '../lib/format.js';
import { dayOf, frameAt, merged, ofHalfDay, ofSpot } from '../lib/frames.js';
import { settingNow } from '../lib/in-hand.js';
import { problemWords, reasonOf } from '../lib/problems.js';
import { askSheet, learnSheet, lit } from '../lib/tonight.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/frames.js').Frame} Frame */
/** @typedef {'evening' | 'spot' | 'all'} Scope */

const CSV = 'text/csv';

/** @param {Book} book */
export function log(book) {
  const scope = choice({
    name: 'log-scope', label: 'Which frames', value: /** @type {Scope} */ ('evening'), onchange: () => render(),
    choices: [['evening', 'One day'], ['spot', 'This spot'], ['all', 'All spots']],
  });
  const date = dateTurner('log-date', chosen => book.turnTo({ date: chosen }));
  const make = el('button', { type: 'button', id: 'log-frame', on: { click: made } }, 'Made this frame now');
  const setting = el('p', { class: 'aside', id: 'log-setting' });
  const curve = eveningCurve();
  const none = el('p', { class: 'aside', id: 'log-none' });
  const state = el('div', { class: 'notice', id: 'log-state', role: 'status' });
  const list = frameList({ dials: series(), onchange: changed, ondelete: deleted });
  const file = fileChooser({ id: 'log-file', label: 'Read a table', attributes: { accept: `.csv,${CSV}` }, onchange: ([chosen]) => { read(chosen); } });
  const save = el('button', { type: 'button', class: 'quiet', id: 'log-save', on: { click: () => saved() } }, 'Save as a table');
  const sender = el('button', { type: 'button', class: 'quiet', id: 'log-send', on: { click: () => sent() } }, 'Send it');
  const element = el('section', { class: 'screen screen-log', 'aria-label': 'Log' },
    logCards('log'),
    el('div', { class: 'log-scope' }, scope.element, date.element),
    make, setting, state, curve.element, none, list.element,
    el('details', { class: 'more' }, el('summary', {}, 'Into a file, and back'),
      el('p', { class: 'aside' }, 'A table that any spreadsheet opens (CSV, RFC 4180; times in UTC), of the frames chosen above. Reading one back adds what is not here, and overwrites nothing by itself.'),
      el('div', { class: 'acts' }, save, sender, file)),
  );

  /** The frames last shown. @type {Frame[]} */
  let shown = [];
  /** What the core tells of each. @type {ReturnType<typeof logTable>} */
  let rows = [];

  const spots = () => [
    ...book.kept.map(({ id, spot }) => ({ id: /** @type {string | undefined} */ (id), spot })), { id: undefined, spot: book.open.spot },
  ];

  /** @param {number} atMs @param {string} [zone] */
  const clock = (atMs, zone = book.open.spot.zone) => format.clock(atMs, zone, book.settings.hours);

  /** @param {number} atMs */
  const dayHere = atMs => dayOf(book.open.spot.zone, atMs, book.part);

  /** @param {Frame} frame */
  const zoneOf = frame => book.kept.find(({ id }) => id === frame.spotId)?.spot.zone ?? book.open.spot.zone;

  const drawLater = afterPaint(element, () => draw(Date.now()));

  function render() {
    if (book.date) date.value = book.date;
    drawLater();
  }

  /** @param {number} nowMs */
  function draw(nowMs) {
    const day = book.date ?? dayHere(nowMs);
    /** @type {ReturnType<typeof askSheet> | null} */
    let sheet = null;
    date.problem = null;
    try {
      sheet = learnSheet(book, day);
      say(setting, dialled(settingNow(book, sheet, nowMs)));
    } catch (error) {
      date.problem = problemWords(refusal(error));
      say(setting, '');
    }
    date.value = day;
    make.disabled = !sheet;
    const here = ofSpot(book.frames, book.open);
    shown = { evening: here.filter(({ atMs }) => dayHere(atMs) === day), spot: here, all: book.frames }[scope.value];
    rows = logTable({ frames: shown, spots: spots() });
    const byEvening = scope.value === 'evening';
    date.element.hidden = !byEvening;
    curve.element.toggleAttribute('hidden', !byEvening || !sheet);
    if (sheet && byEvening) {
      // The picture is of the half-day; what was made at another hour of it would press it flat.
      const half = ofHalfDay(shown, book.open.spot.zone, day, book.part);
      const marks = shown.flatMap((frame, i) => {
        const { atMs, reading } = frame;
        const ev = rows[i].ev100;
        return ev === null || !half.includes(frame) ? [] : [{ atMs, ev, reading, number: i + 1 }];
      });
      curve.draw({ sheet, lit: lit(sheet), marks, clock: atMs => format.shortClock(atMs, book.open.spot.zone, book.settings.hours) });
    }
    say(none, shown.length ? '' : {
      evening: 'Nothing made or metered here on this day yet.', spot: 'Nothing made or metered at this spot yet.', all: 'The log is empty.',
    }[scope.value]);
    listLater();
    save.disabled = sender.disabled = shown.length === 0;
    sender.hidden = !canSend('log.csv', CSV);
  }

  // A task of its own: many frames take their time.
  const listLater = afterPaint(list.element, () => {
    const byEvening = scope.value === 'evening';
    const lines = shown.map((frame, i) => ({
      frame, row: rows[i], number: byEvening ? i + 1 : null,
      clock: byEvening ? clock(frame.atMs) : `${format.dateInWords(format.dateIn(zoneOf(frame), frame.atMs))}, ${clock(frame.atMs, zoneOf(frame))}`,
      where: scope.value === 'all' ? frame.spotName || 'Without a name' : '',
    }));
    list.draw(byEvening ? lines : lines.reverse());
  });

  /** @param {string} words @param {...import('../lib/dom.js').Child} more */
  const tell = (words, ...more) => fill(state, words && el('p', {}, words), ...more);
  const failed = (/** @type {unknown} */ error) => tell(`Not kept: ${reasonOf(error)}`);

  /** @param {Promise<unknown>} kept @param {() => void} then */
  const after = (kept, then) => { kept.then(then, failed); };

  function made() {
    const nowMs = Date.now();
    const sheet = askSheet(book, dayHere(nowMs));
    after(book.keepFrame(frameAt(book, settingNow(book, sheet, nowMs), newId(), nowMs)), () => tell(keptWords()));
  }

  const keptWords = () => (book.lasts ? `In the log ${book.lasts}.` : 'Kept in the log.');

  /** @param {Frame} frame @param {(message: string | null) => void} problem */
  function changed(frame, problem) {
    const [{ problems }] = logTable({ frames: [frame], spots: [] });
    problem(problems.map(problemWords).join('; ') || null);
    if (!problems.length) book.keepFrame(frame).catch(error => problem(`Not kept: ${error.message}`));
  }

  /** @param {Frame} frame */
  function deleted(frame) {
    const undo = el('button', {
      type: 'button', class: 'quiet', id: 'log-undo', on: { click: () => after(book.keepFrame(frame), () => tell('It is back.')) },
    }, 'Bring it back');
    after(book.forgetFrame(frame.id), () => {
      tell(`Deleted: the frame of ${clock(frame.atMs, zoneOf(frame))}.`, undo);
      undo.focus();
    });
  }

  /** The lines that are shown, as a file: its name, kind and text. @returns {[string, string, string]} */
  function table() {
    const text = writeLogCsv({ frames: shown, spots: spots() });
    const name = scope.value === 'all' ? 'all' : book.open.spot.name.replace(/[^\p{L}\p{N}]+/gu, '-') || 'spot';
    return [`log-${name}-${format.dateIn('UTC', Date.now())}.csv`, CSV, text];
  }

  function saved() {
    const [name, ...rest] = table();
    handOver(name, ...rest);
    tell(`${format.howMany(shown.length, 'frame')} in ${name}.`);
  }

  async function sent() {
    const trouble = await send(...table());
    if (trouble) tell(`Not sent: ${trouble}`);
  }

  /** @param {File} chosen */
  async function read(chosen) {
    try {
      const { frames, problems } = readLogCsv({ text: await chosen.text() });
      const { fresh, same, differing } = merged(book.frames, frames, newId);
      await book.keepFrames(fresh);
      const take = el('button', {
        type: 'button', class: 'quiet', id: 'log-take', on: { click: () => after(book.keepFrames(differing), () => tell('The file’s are taken.')) },
      }, 'Take the file’s');
      tell([`${format.howMany(fresh.length, 'frame')} added`, same.length && `${same.length} here already`].filter(Boolean).join(', ') + '.',
        differing.length > 0 && el('p', {}, `${format.howMany(differing.length, 'frame')} in the file ${differing.length === 1 ? 'differs' : 'differ'} from yours; nothing of yours was changed.`), differing.length > 0 && take,
        problems.length > 0 && el('details', { open: true }, el('summary', { class: 'problem' }, `Left out: ${format.howMany(problems.length, 'problem')}`),
          el('ul', {}, ...problems.slice(0, 99).map(({ line, problem }) => el('li', {}, `line ${line}: ${problem.message}`)))));
      announce(state.textContent ?? '');
    } catch (error) {
      tell(error instanceof Error && 'field' in error ? problemWords(refusal(error)) : `Not read: ${error}`);
    }
  }

  return { element, render };
}
