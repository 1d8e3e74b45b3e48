// @ts-check
// The lens that a card reckons with: that of the open spot until its reader steps to another.

import { el, say } from '../lib/dom.js';
import { measured, readNumber } from '../lib/format.js';
import { FORMATS } from '../lib/words.js';
import { choice, pick } from './choice.js';
import { field } from './field.js';
import { stepper } from './stepper.js';

/** @typedef {import('../lib/book.js').Book} Book */

const FOCALS = [10, 12, 14, 16, 18, 20, 24, 28, 35, 40, 50, 70, 85, 100, 135, 200, 300, 400, 600];
const PITCHES = [1, 1.5, 2, 2.5, 3, 3.3, 3.8, 4.3, 4.6, 5.1, 5.9, 6.5, 8.4];

/** @param {string} format @returns {[number, number]} */
const sides = format => {
  const [width, height] = format.split(/[x×]/i).map(Number);
  return [width, height];
};

/**
 * @param {string} prefix keeps ids apart where two cards ask the same
 * @param {Book} book
 * @param {() => void} onchange
 */
export function lensFold(prefix, book, onchange) {
  /** @type {import('../lib/book.js').Spot | undefined} */
  let followed;
  const tell = () => { title(); onchange(); };
  const focal = stepper({ id: `${prefix}focalMm`, label: 'Focal length, mm', steps: FOCALS, read: readNumber, write: String, onchange: tell });
  const size = pick({ id: `${prefix}format`, choices: FORMATS, value: '36x24', onchange: tell });
  const sizeField = field({ id: `${prefix}format`, label: 'Format', control: size.element });
  const held = choice({ name: `${prefix}held`, label: 'Camera held', value: 'level', choices: [['level', 'Level'], ['upright', 'Upright']], onchange: tell });
  const pitch = stepper({
    id: `${prefix}pitchUm`, label: 'Pixel pitch, µm', steps: PITCHES, read: readNumber, write: String,
    onchange: () => {
      if (Number(pitch.value) > 0) book.choose({ pitchUm: Number(pitch.value) });
      onchange();
    },
  });
  const summary = el('summary', {});
  const element = el('details', { class: 'more' }, summary, focal.element, sizeField.element,
    el('div', { class: 'field' }, el('p', {}, 'Camera held'), held.element), pitch.element,
    el('p', { class: 'aside' }, 'Pitch: width of the sensor in micrometres over its pixels across. It is kept.'));

  const title = () => say(summary, `${measured(focal.value ?? NaN)} mm on ${size.value.replace('x', ' × ')} mm, ${held.value}`);

  return {
    element,
    fields: { focalMm: focal, formatMm: sizeField, pitchUm: pitch },
    /** Goes with the open spot when that changes. */
    follow() {
      const { spot } = book.open;
      if (spot.focalMm !== followed?.focalMm) focal.value = spot.focalMm;
      if (spot.format !== followed?.format) size.value = spot.format;
      followed = spot;
      pitch.value = book.settings.pitchUm;
      title();
    },
    /** For questions. */
    get lens() {
      const formatMm = sides(size.value);
      if (held.value === 'upright') formatMm.reverse();
      return { focalMm: focal.value ?? NaN, formatMm, pitchUm: pitch.value ?? undefined };
    },
  };
}
