// @ts-check
// Frames of the log, a line each; a tap opens one for mending. One form serves them all and moves to the open line.

import { el, fill, say } from '../lib/dom.js';
import { thirdsBetween } from '../lib/desk.js';
import * as format from '../lib/format.js';
import { INTENTS, wordFor } from '../lib/words.js';
import { choice, pick } from './choice.js';
import { dial } from './dial.js';
import { field, textInput } from './field.js';

/** @typedef {import('../lib/frames.js').Frame} Frame */
/** @typedef {import('../../target/types/duskbook.d.ts').LogRow} Row */
/** @typedef {import('../lib/desk.js').Mark} Mark */
/** @typedef {{ frame: Frame, row: Row, number: number | null, clock: string, where: string }} Line */

const STARS = /** @type {const} */ (['0', '1', '2', '3', '4', '5']);
/** Common names of the trade; anything else may be typed. */
const BALANCES = ['Daylight', 'Shade', 'Cloudy', 'Tungsten', 'Fluorescent', 'Auto', '3200 K', '4000 K', '5000 K', '5600 K'];
const MINUTE_MS = 60_000;

/**
 * @param {object} options
 * @param {Record<'apertures' | 'shutters' | 'isos', Mark[]>} options.dials
 * @param {(frame: Frame, problem: (message: string | null) => void) => void} options.onchange
 * @param {(frame: Frame) => void} options.ondelete
 */
export function frameList({ dials, onchange, ondelete }) {
  const element = el('ol', { class: 'frames-list', id: 'frames' });
  /** @type {Map<string, ReturnType<typeof entry>>} */
  const entries = new Map();
  const form = frameForm(dials, onchange, ondelete);
  /** The line that is open for mending. @type {string | null} */
  let openId = null;

  /** @param {string} id */
  function entry(id) {
    const summary = el('summary', { class: 'frame-line' });
    const fold = el('details', { class: 'frame', name: 'frame', on: { toggle: () => turned() } }, summary);
    const item = el('li', { 'data-id': id }, fold);
    /** @type {Line} */
    let line;
    function turned() {
      if (fold.open) {
        openId = id;
        fold.append(form.element);
        form.draw(line);
      } else if (openId === id) {
        openId = null;
      }
    }
    let drawn = '';
    /** @param {Line} next */
    function draw(next) {
      line = next;
      // Numbers are written as the reader likes, which may have changed.
      const words = JSON.stringify([line, format.number(0.5, 1)]);
      if (words === drawn) return;
      drawn = words;
      fill(summary, ...lineWords(line));
      if (openId === id) form.draw(line);
    }
    return { item, draw };
  }

  /** @param {Line[]} lines */
  function draw(lines) {
    const items = lines.map(line => {
      const { id } = line.frame;
      const shown = entries.get(id) ?? entry(id);
      entries.set(id, shown);
      shown.draw(line);
      return shown.item;
    });
    for (const id of [...entries.keys()]) if (!lines.some(({ frame }) => frame.id === id)) entries.delete(id);
    // A line that stays where it is keeps the focus within it.
    if (items.length !== element.children.length || items.some((item, i) => element.children[i] !== item)) fill(element, ...items);
  }

  return { element, draw };
}

/** @param {Line} line */
function lineWords({ frame, row, number, clock, where }) {
  const setting = [row.apertureLabel, row.shutterLabel, row.isoLabel].filter(Boolean).join(' · ');
  const metered = frame.reading && frame.source === 'desk';
  const told = [
    row.sunAltitudeDeg !== null && `sun ${format.degrees(row.sunAltitudeDeg, 1)}`,
    row.moonAltitudeDeg !== null && row.moonAltitudeDeg > 0 && `moon ${format.degrees(row.moonAltitudeDeg, 1)}`,
    wordFor(INTENTS, frame.intent).toLowerCase(),
    frame.filterStops > 0 && `filter ${format.thirds(frame.filterStops)}`,
    frame.compensationStops !== 0 && (metered
      ? `meter wanted ${format.thirds(Math.abs(frame.compensationStops))} ${frame.compensationStops < 0 ? 'lighter' : 'darker'}`
      : `meant ${format.thirds(frame.compensationStops, true)}`),
    frame.whiteBalance,
    row.ev100 !== null && '★'.repeat(frame.rating),
    frame.source === 'photo' && 'from a photograph',
  ].filter(Boolean).join(' · ');
  return [
    el('span', { class: 'frame-when' }, number !== null && el('b', { class: frame.reading ? 'frame-read' : null }, number), ' ', clock),
    el('span', { class: 'frame-what' },
      el('span', { class: 'frame-setting' }, setting || row.problems.map(({ message }) => message).join('; ')),
      el('small', {}, [where, frame.reading && 'a reading', told].filter(Boolean).join(' · ')),
      frame.note && el('small', { class: 'frame-note' }, frame.note)),
    el('span', { class: 'frame-ev' }, row.ev100 === null ? '' : `EV ${format.ev(row.ev100)}`),
  ];
}

/**
 * @param {Record<'apertures' | 'shutters' | 'isos', Mark[]>} dials
 * @param {(frame: Frame, problem: (message: string | null) => void) => void} onchange
 * @param {(frame: Frame) => void} ondelete
 */
function frameForm(dials, onchange, ondelete) {
  /** @type {Frame} */
  let frame;
  const change = (/** @type {Partial<Frame>} */ part) => {
    onchange({ ...frame, ...part }, message => say(error, message ?? ''));
  };
  const turned = (/** @type {'aperture' | 'shutterS' | 'iso' | 'filterStops' | 'compensationStops'} */ key, /** @type {string} */ label, /** @type {Mark[]} */ marks, hint = '') =>
    dial({ id: `frame-${key}`, label, marks, hint, onchange: ({ exact }) => change({ [key]: exact }) });
  const aperture = turned('aperture', 'Aperture', dials.apertures);
  const shutter = turned('shutterS', 'Time', dials.shutters);
  const iso = turned('iso', 'ISO', dials.isos);
  const filter = turned('filterStops', 'Filters took, stops', thirdsBetween(0, 20));
  const meant = turned('compensationStops', 'Lighter than mid-tone, stops', thirdsBetween(-4, 4, value => format.thirds(value, true)),
    'How this frame came out, or was meant to: minus is darker');
  const intent = pick({ id: 'frame-intent', choices: INTENTS, value: 'frame', onchange: value => change({ intent: value }) });
  const balance = textInput('frame-whiteBalance', { attributes: { list: 'balances', maxlength: 80, on: { change: () => change({ whiteBalance: balance.value.trim() }) } } });
  const focal = textInput('frame-focalMm', { number: true, attributes: { on: { change: () => change({ focalMm: format.readNumber(focal.value) }) } } });
  const stars = choice({
    name: 'frame-rating', label: 'Stars', value: '0', onchange: value => change({ rating: Number(value) }),
    choices: STARS.map(code => /** @type {[typeof code, string]} */ ([code, code === '0' ? 'none' : code])),
  });
  const note = el('textarea', { id: 'frame-note', maxlength: 2000, on: { change: () => change({ note: note.value }) } });
  const reading = el('input', { type: 'checkbox', id: 'frame-reading', on: { change: () => change({ reading: reading.checked }) } });
  const later = [-10, -1, 1, 10].map(minutes => el('button', {
    type: 'button', class: 'quiet', on: { click: () => change({ atMs: frame.atMs + minutes * MINUTE_MS }) },
  }, `${Math.abs(minutes)} min ${minutes < 0 ? 'earlier' : 'later'}`));
  const error = el('p', { class: 'field-error', id: 'frame-error', role: 'status' });
  const element = el('div', { class: 'frame-form' },
    el('label', { class: 'chip' }, reading, el('b', {}, 'A reading'), el('small', {}, 'the forecast learns from it')),
    error,
    aperture.element, shutter.element, iso.element, meant.element,
    field({ id: 'frame-intent', label: 'Exposed for', control: intent.element }).element,
    el('div', { class: 'field' }, el('p', { 'aria-hidden': 'true' }, 'Stars'), stars.element),
    field({ id: 'frame-note', label: 'Note', control: note }).element,
    el('div', { class: 'pairs' },
      field({ id: 'frame-whiteBalance', label: 'White balance', control: balance }).element,
      field({ id: 'frame-focalMm', label: 'Focal length', control: focal, unit: 'mm' }).element),
    el('datalist', { id: 'balances' }, ...BALANCES.map(name => el('option', { value: name }))),
    filter.element,
    el('div', { class: 'field' }, el('p', {}, 'It was made'), el('div', { class: 'taps' }, ...later)),
    el('button', { type: 'button', class: 'quiet', id: 'frame-delete', on: { click: () => ondelete(frame) } }, 'Delete this frame'));

  /** @param {Line} line */
  function draw(line) {
    const { row } = line;
    if (frame?.id !== line.frame.id) say(error, '');
    frame = line.frame;
    aperture.mark = { label: row.apertureLabel || String(frame.aperture), exact: frame.aperture };
    shutter.mark = { label: row.shutterLabel || String(frame.shutterS), exact: frame.shutterS };
    iso.mark = { label: row.isoLabel || String(frame.iso), exact: frame.iso };
    filter.mark = { label: format.thirds(frame.filterStops), exact: frame.filterStops };
    meant.mark = { label: format.thirds(frame.compensationStops, true), exact: frame.compensationStops };
    intent.value = frame.intent;
    stars.value = /** @type {typeof STARS[number]} */ (String(frame.rating));
    reading.checked = frame.reading;
    const typed = /** @type {[HTMLInputElement | HTMLTextAreaElement, string][]} */ ([
      [balance, frame.whiteBalance], [focal, frame.focalMm === null ? '' : format.typed(frame.focalMm)], [note, frame.note],
    ]);
    for (const [control, text] of typed) if (document.activeElement !== control) control.value = text;
  }

  return { element, draw };
}
