// @ts-check
// Photographs in: what each says of itself, when it was taken, its tones, and what its edit will cost. The files are
// read here, never sent, never kept.

import { editCost, logTable, photoTime } from '../core.js';
import { bands } from '../elements/bands.js';
import { dial } from '../elements/dial.js';
import { field, textInput } from '../elements/field.js';
import { fileChooser } from '../elements/file-chooser.js';
import { logCards } from '../elements/log-cards.js';
import { outcome } from '../elements/outcome.js';
import { stepper } from '../elements/stepper.js';
import { tonePicture } from '../elements/tone-picture.js';
import { announce } from '../lib/announce.js';
import { newId } from '../lib/book.js';
import { develop, takeShared } from '../lib/darkroom.js';
import { thirdsBetween } from '../lib/desk.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { adviceWords, toneNumbers, verdictWords, warningWords } from '../lib/photo-words.js';
import { bandOf } from '../lib/photograph.js';
import { askedBeside, problemWords } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/photograph.js').Photograph} Photograph */
/** @typedef {import('../lib/photograph.js').Seen} Seen */
/** @typedef {ReturnType<typeof photoTime>} Moment */

/** @typedef {import('../lib/frames.js').Frame} Frame */

/**
 * @typedef {object} Item
 * @property {string} id of its frame, once it is in the log
 * @property {string} name of its file
 * @property {Photograph | null} photograph `null` while it is looked into
 * @property {boolean} shown its tones are
 * @property {string | null} kept what the log said of it
 */

/** The most that stand side by side. */
const BESIDE = 2;

/** @type {Record<string, string>} */
const RECKONED = {
  once: '',
  twice: 'The clock went back that night and said this twice; the earlier is taken.',
  never: 'The clock went forward over this time; taken as before the change.',
};

/** @param {Book} book */
export function photos(book) {
  /** @type {Item[]} */
  let items = [];
  /** Where the clocks without an offset were set; `null` is the spot's zone. @type {string | null} */
  let zone = null;
  let correctionS = 0;
  /** The photograph that shows a clock. @type {Item | null} */
  let clockPhoto = null;

  const list = el('ul', { class: 'photo-list', id: 'photo-list' });
  const zoneInput = textInput('photo-zone', { attributes: { on: { change: () => { zone = zoneInput.value.trim() || null; tell(); } } } });
  const zoneField = field({ id: 'photo-zone', label: 'Zone of clocks without an offset', control: zoneInput, hint: 'The spot’s own, or a name like Europe/Lisbon' });
  const lag = stepper({
    id: 'correctionS', label: 'Add to the camera’s clock, seconds', steps: [-7200, -3600, -60, -1, 0, 1, 60, 3600, 7200],
    read: format.readNumber, write: value => format.number(value, Number.isInteger(value) ? 0 : 2), onchange: () => { correctionS = lag.value ?? 0; tell(); },
  });
  const shown = textInput('shownClock', { attributes: { inputmode: 'text', placeholder: '18:04:05', on: { change: byClock } } });
  const shownField = field({ id: 'shownClock', label: 'What the clock in it shows', control: shown, hint: 'A right clock, in the zone above' });
  const clockLead = el('p', {});
  const clockPart = el('div', { hidden: true }, clockLead, shownField.element);
  const clockFold = el('details', { class: 'more', id: 'photo-clock', hidden: true }, el('summary', {}, 'The camera’s clock'),
    zoneField.element, lag.element, clockPart,
    el('p', { class: 'aside' }, 'A clock that is off: photograph a phone that shows seconds, and press “It shows a clock” at that picture. The correction holds for all.'));
  const beside = el('div', { class: 'beside', id: 'photo-tones' });
  const edit = editPart(book, () => tell());
  const element = el(
    'section',
    {
      class: 'screen screen-photos', 'aria-label': 'Photographs',
      on: {
        dragover: (/** @type {DragEvent} */ event) => event.preventDefault(),
        drop: (/** @type {DragEvent} */ event) => { event.preventDefault(); take([...event.dataTransfer?.files ?? []]); },
      },
    },
    logCards('log/photo'),
    fileChooser({ id: 'photo-files', label: 'Choose photographs', look: 'photo-pick', attributes: { multiple: true }, onchange: take }),
    location.hash.endsWith('?lost') && el('p', { class: 'problem' }, 'Not all that was shared came through: choose it here.'),
    el('p', { class: 'aside' }, 'Or drop them here. Read on this device, never sent nor kept. A file knows nothing of filters: tell the log what they took.'),
    list, clockFold, beside, edit.element,
  );

  /** @param {File[]} files */
  async function take(files) {
    await Promise.all(files.map(file => {
      /** @type {Item} */
      const item = { id: newId(), name: file.name, photograph: null, shown: false, kept: null };
      items.push(item);
      tell();
      return develop(file).then(photograph => {
        item.photograph = photograph;
        if (photograph.seen && items.filter(each => each.shown).length < BESIDE) item.shown = true;
      }, () => announce(`${file.name} ${item.kept = 'could not be read'}`)).then(tell);
    }));
  }

  const zoneOf = () => zone ?? book.open.spot.zone;

  /** @param {Item} item @returns {Moment | null} */
  function momentOf({ photograph }) {
    if (!photograph?.record.atLocal) return null;
    const { atLocal, offsetMin } = photograph.record;
    return askedBeside({ zone: zoneField, correctionS: lag }, () =>
      photoTime({ atLocal, offsetMin: offsetMin ?? undefined, zone: zoneOf(), correctionS, shownClock: undefined }));
  }

  function byClock() {
    const record = clockPhoto?.photograph?.record;
    if (!record?.atLocal || !shown.value.trim()) return;
    const { atLocal, offsetMin } = record;
    const answer = askedBeside({ shownClock: shownField, zone: zoneField }, () =>
      photoTime({ atLocal, offsetMin: offsetMin ?? undefined, zone: zoneOf(), correctionS: undefined, shownClock: shown.value }));
    if (!answer) return;
    ({ correctionS } = answer);
    lag.value = correctionS;
    announce('The clock is corrected');
    tell();
  }

  /** @param {Item} item */
  function askClock(item) {
    clockPhoto = item;
    clockPart.hidden = false;
    say(clockLead, `${item.name} shows a right clock. The camera said ${item.photograph?.record.atLocal?.replace('T', ', ')}.`);
    clockFold.open = true;
    shown.focus();
  }

  /** @param {Item} item @param {boolean} reading */
  async function keep(item, reading) {
    const record = item.photograph?.record;
    const atMs = momentOf(item)?.atMs;
    if (!record || atMs === undefined || record.aperture === null || record.shutterS === null || record.iso === null) return;
    const known = book.frames.find(({ id }) => id === item.id);
    /** @type {Frame} */
    const frame = {
      id: item.id, version: 1, spotId: book.open.id, spotName: book.open.spot.name,
      aperture: record.aperture, shutterS: record.shutterS, iso: record.iso, filterStops: 0,
      compensationStops: record.compensationStops ?? 0, focalMm: record.focalMm, whiteBalance: '',
      intent: book.open.light.intent, note: item.name, rating: 0, source: 'photo',
      // Taken in again, it is the same frame, as it was mended in the log meanwhile.
      ...known, reading: reading || known?.reading === true, atMs: Math.floor(atMs),
    };
    const [{ problems }] = logTable({ frames: [frame], spots: [] });
    item.kept = problems.length ? `Not kept: ${problems.map(problemWords).join('; ')}`
      : await book.keepFrame(frame).then(() => (frame.reading ? 'In the log, a reading' : 'In the log'), error => `Not kept: ${error.message}`);
    tell();
  }

  /** @param {Item} item */
  function row(item) {
    const { name, photograph } = item;
    if (!photograph) return el('li', {}, el('h2', {}, name), el('p', { class: 'photo-told' }, item.kept ?? 'Looking into it…'));
    const { record, seen } = photograph;
    const moment = momentOf(item);
    const when = moment
      ? [`${format.dateInWords(format.dateIn(zoneOf(), moment.atMs))}, ${format.clock(moment.atMs, zoneOf(), book.settings.hours)}`,
        record.offsetMin === null && `clock taken as ${zoneOf()}`].filter(Boolean).join(', ')
      : record.atLocal?.replace('T', ', ');
    const told = [
      [record.ev !== null && `EV ${format.ev(record.ev)} at ISO 100`, record.compensationStops && `compensation ${format.thirds(record.compensationStops, true)}`,
        record.focalMm !== null && `${format.measured(record.focalMm)} mm`],
      [when], [record.camera, record.lens],
      [seen ? null : 'This browser cannot decode its pixels: no tones. The record above still holds.'],
      ...record.warnings.map(code => [warningWords(code)]), [moment && RECKONED[moment.reckoned]], [item.kept],
    ].map(parts => parts.filter(Boolean).join(' · ')).filter(Boolean);
    const act = (/** @type {string} */ word, /** @type {() => void} */ click) => el('button', { type: 'button', class: 'quiet', 'aria-label': `${word}: ${name}`, on: { click } }, word);
    const usable = moment && record.ev !== null;
    return el('li', {}, el('h2', {}, name), record.labels.length > 0 && el('p', { class: 'photo-set' }, record.labels.join('  ')),
      ...told.map(line => el('p', { class: 'photo-told' }, line)),
      el('div', { class: 'acts' },
        seen && el('button', { type: 'button', class: 'quiet', 'aria-pressed': String(item.shown), on: { click: () => show(item) } }, 'Tones'),
        usable && act('Into the log', () => keep(item, false)),
        usable && act('And as a reading', () => keep(item, true)),
        record.atLocal && act('It shows a clock', () => askClock(item)),
        act('Put away', () => { items = items.filter(each => each !== item); tell(); })));
  }

  /** @param {Item} item */
  function show(item) {
    item.shown = !item.shown;
    const others = items.filter(each => each.shown && each !== item);
    if (item.shown && others.length >= BESIDE) others[0].shown = false;
    tell();
  }

  /** @param {Item} item */
  function tonesOf({ name, photograph }) {
    const seen = /** @type {Seen} */ (photograph?.seen);
    const numbers = toneNumbers(seen.tones);
    const words = `Tones of ${name}: ${numbers.map(pair => pair.join(' ')).join(', ')}`;
    return el('div', {}, el('h2', {}, name), tonePicture(seen.counts, seen.tones.marks, words),
      el('dl', {}, ...numbers.map(([word, value]) => el('div', {}, el('dt', {}, word), el('dd', {}, value)))),
      ...seen.tones.advice.map(code => el('p', { class: 'photo-advice' }, adviceWords(seen.tones, code))));
  }

  function render() {
    take(book.handed.splice(0));
    if (zone === null) zoneInput.value = book.open.spot.zone;
    if (document.activeElement?.id !== 'correctionS') lag.value = correctionS;
    tell();
  }

  function tell() {
    if (items.length) book.unkept.add('log/photo');
    else book.unkept.delete('log/photo');
    // What is rebuilt keeps the focus where it was.
    const focused = [...list.querySelectorAll('button')].indexOf(/** @type {HTMLButtonElement} */ (document.activeElement));
    fill(list, ...items.map(row));
    if (focused >= 0) list.querySelectorAll('button')[focused]?.focus();
    clockFold.hidden = !items.some(({ photograph }) => photograph?.record.atLocal);
    const looked = items.filter(each => each.shown && each.photograph?.seen);
    fill(beside, ...looked.map(tonesOf),
      looked.length > 0 && el('p', { class: 'aside' }, 'Heights by the square root, so that few pixels show. Filled: luminance. Below: stops from middle grey.'));
    edit.tell(looked[0]?.photograph ?? null, looked[0]?.name ?? '');
  }

  takeShared(file => take([file])).catch(() => undefined);
  return { element, render };
}

/**
 * What bringing sky and foreground of one picture together will cost.
 * @param {Book} book
 * @param {() => void} onchange
 */
function editPart(book, onchange) {
  const marked = bands(onchange);
  const stops = thirdsBetween(-4, 2, value => format.thirds(value, true));
  const target = dial({ id: 'targetStops', label: 'The foreground is to end at, from middle grey', unit: 'stops', marks: stops, value: -1, onchange });
  const keep = dial({ id: 'edit-keepStops', label: 'The sky stays brighter by', unit: 'stops', marks: thirdsBetween(-1, 4), value: 1, onchange });
  const number = (/** @type {'fullWellE' | 'readNoiseE' | 'baseIso'} */ key, /** @type {string} */ label, /** @type {number[]} */ steps) => {
    const own = stepper({
      id: key, label, steps, read: format.readNumber, write: format.typed,
      onchange: () => { if (own.value) book.setDesk({ [key]: own.value }); },
    });
    return own;
  };
  const fullWell = number('fullWellE', 'Full well at base ISO, electrons', [10_000, 15_000, 20_000, 30_000, 40_000, 50_000, 60_000, 80_000, 100_000]);
  const readNoise = number('readNoiseE', 'Read noise at this ISO, electrons', [1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10]);
  const baseIso = number('baseIso', 'Base ISO', [50, 64, 80, 100, 125, 160, 200, 400]);
  const iso = stepper({
    id: 'edit-iso', label: 'ISO of the frame, where the file says none', steps: [100, 200, 400, 800, 1600, 3200, 6400], read: format.readNumber, write: format.typed, onchange,
  });
  iso.value = 100;
  const cost = outcome('edit-cost', 'Sky and foreground brought together');
  const lead = el('p', {});
  const fold = el('details', { class: 'more', id: 'photo-edit', hidden: true, on: { toggle: onchange } }, el('summary', {}, 'What the edit will cost'),
    lead, marked.element, target.element, keep.element, cost.element, iso.element, fullWell.element, readNoise.element, baseIso.element,
    el('p', { class: 'aside' }, 'The sensor’s numbers are kept: from your own tests or a published measurement. At first a guess at 36×24 mm.'));
  /** @type {ImageData | null} */
  let drawn = null;

  /** @param {Photograph | null} photograph @param {string} name */
  function tell(photograph, name) {
    const seen = photograph?.seen;
    fold.hidden = !seen;
    if (!seen || !fold.open) return;
    say(lead, name);
    if (drawn !== seen.preview) marked.show(seen.preview);
    drawn = seen.preview;
    [fullWell.value, readNoise.value, baseIso.value] = [book.desk.fullWellE, book.desk.readNoiseE, book.desk.baseIso];
    iso.element.hidden = photograph.record.iso !== null;
    const [sky, foreground] = [marked.sky, marked.foreground].map(band => bandOf(seen.preview, band));
    cost.tell({ targetStops: target, keepStops: keep, fullWellE: fullWell, readNoiseE: readNoise, baseIso, iso }, () => editCost({
      sky, foreground, targetStops: target.value, keepStops: keep.value, iso: photograph.record.iso ?? iso.value ?? NaN,
      fullWellE: book.desk.fullWellE, readNoiseE: book.desk.readNoiseE, baseIso: book.desk.baseIso,
    }), answer => ({ big: verdictWords(answer), words: costWords(answer) }));
  }

  return { element: fold, tell };
}

/** @param {ReturnType<typeof editCost>} cost */
function costWords(cost) {
  const ratio = (/** @type {number} */ value) => format.measured(value);
  return [
    `Sky ${format.thirds(cost.skyStops, true)}, foreground ${format.thirds(cost.foregroundStops, true)} from middle grey`,
    `Lift the foreground ${format.thirds(cost.liftStops, true)}, ${cost.holdStops < 0 ? 'lift' : 'hold'} the sky ${format.thirdStops(Math.abs(cost.holdStops))}`,
    `Lifted, it looks like ISO ${ratio(cost.looksLikeIso)}: ${ratio(cost.electrons)} electrons a pixel, signal ${ratio(cost.signalToNoise)} times the noise, ${cost.quality}`,
    cost.longerStops > 0.1 && `One frame ${format.thirdStops(cost.longerStops)} longer at ISO ${ratio(cost.longerIso)}: ${ratio(cost.longerSignalToNoise)} times`,
    cost.liftStops > 0.1 && `A second frame ${format.thirdStops(cost.liftStops)} longer for the foreground: ${ratio(cost.bracketSignalToNoise)} times`,
    cost.graduatedStops > 0.3 && `A graduated filter of ${format.thirdStops(cost.graduatedStops)} would have done it on the spot`,
    cost.skyClipped > 0.005 && `${format.number(cost.skyClipped * 100)} % of the sky has clipped: nothing brings that back, and its level is a least`,
  ];
}
