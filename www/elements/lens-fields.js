// @ts-check
// The lens in hand: focal length, format, and how the camera is held. It starts from the spot and comes back to it.

import { el } from '../lib/dom.js';
import { readNumber, typed } from '../lib/format.js';
import { formatsOf, lensInHand } from '../lib/kit.js';
import { choice, pick } from './choice.js';
import { field } from './field.js';
import { stepper } from './stepper.js';

/** As zooms and prime lenses are engraved. */
const FOCAL_MM = [8, 10, 12, 14, 16, 18, 20, 24, 28, 30, 35, 40, 50, 55, 70, 85, 100, 135, 150, 180, 200, 250, 300, 400, 500, 600, 800];

/**
 * @param {import('../lib/book.js').Book} book
 * @param {string} card whose fields these are
 */
export function lensFields(book, card) {
  const focal = stepper({ id: `${card}-focalMm`, label: 'Focal length, mm', steps: FOCAL_MM, read: readNumber, write: typed, onchange: taken });
  const format = pick({ id: `${card}-formatMm`, value: String(), choices: [], onchange: taken });
  const formatField = field({ id: `${card}-formatMm`, label: 'Format', control: format.element });
  const held = choice({
    name: `${card}-held`, label: 'Camera held', value: 'level', choices: [['level', 'Level'], ['upright', 'Upright']],
    onchange: value => book.setKit({ upright: value === 'upright' }),
  });
  const back = el('button', { type: 'button', class: 'quiet', on: { click: () => book.setKit({ lens: null }) } }, 'As at the spot');

  function taken() {
    const focalMm = focal.value;
    if (!focalMm) focal.problem = 'A number, such as 24';
    else book.setKit({ lens: { focalMm, format: format.value } });
  }

  return {
    element: el('div', { class: 'lens-fields' }, focal.element, formatField.element, el('div', { class: 'acts' }, held.element, back)),
    /** Where to say what is wrong. */
    fields: { focalMm: focal, formatMm: formatField, fromMm: formatField },
    draw() {
      const hand = lensInHand(book);
      focal.value = hand.focalMm;
      format.choices = formatsOf(book.kit);
      format.value = hand.format;
      held.value = book.kit.upright ? 'upright' : 'level';
      back.hidden = book.kit.lens === null;
    },
  };
}
