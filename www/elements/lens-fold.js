// @ts-check
// The lens in hand and its pixels, folded to one line on the cards that ask for it once.

import { el, say } from '../lib/dom.js';
import { measured, readNumber, typed } from '../lib/format.js';
import { formatWords, lensInHand } from '../lib/kit.js';
import { lensFields } from './lens-fields.js';
import { stepper } from './stepper.js';

export const PITCHES = [1, 1.5, 2, 2.4, 3, 3.3, 3.8, 4.3, 4.6, 5.1, 5.9, 6.5, 8.4];

/**
 * @param {string} card keeps ids apart where two cards ask the same
 * @param {import('../lib/book.js').Book} book
 */
export function lensFold(card, book) {
  const hand = lensFields(book, card);
  const pitch = stepper({
    id: `${card}-pitchUm`, label: 'From pixel to pixel, µm', steps: PITCHES, read: readNumber, write: typed,
    onchange: () => book.setKit({ pitchUm: pitch.value ?? NaN }),
  });
  const summary = el('summary', {});
  return {
    element: el('details', { class: 'more' }, summary, hand.element, pitch.element,
      el('p', { class: 'aside' }, 'Pitch: width of the sensor in micrometres over its pixels across.')),
    fields: { ...hand.fields, pitchUm: pitch },
    draw() {
      hand.draw();
      pitch.value = book.kit.pitchUm;
      const { focalMm, format } = lensInHand(book);
      say(summary, `${measured(focalMm)} mm on ${formatWords(format)} mm, ${book.kit.upright ? 'upright' : 'level'}`);
    },
    /** For questions. */
    get lens() {
      const { focalMm, formatMm } = lensInHand(book);
      return { focalMm, formatMm, pitchUm: book.kit.pitchUm };
    },
  };
}
