// @ts-check
// Film in dim light: the maker's numbers, and a plain word where they end.

import { filmSheets, reciprocity, series } from '../core.js';
import { pick } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { exposureCards } from '../elements/exposure-cards.js';
import { field, textInput } from '../elements/field.js';
import { outcome } from '../elements/outcome.js';
import { DIAL_ENDS_S, longTimes } from '../lib/desk.js';
import { el } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { inHand } from '../lib/in-hand.js';

/** @typedef {import('../lib/book.js').Book} Book */


/** @param {Book} book */
export function film(book) {
  const sheets = filmSheets();
  /** The time that the reader stepped to, or `null` to follow the Exposure card. @type {import('../lib/desk.js').Mark | null} */
  let ownTime = null;
  const sheet = pick({
    id: 'sheet', value: book.desk.sheet, onchange: value => book.setDesk({ sheet: value }),
    choices: [...sheets.map(each => /** @type {[string, string]} */ ([each.sheet, each.film])), ['', 'An exponent of my own']],
  });
  const sheetField = field({ id: 'sheet', label: 'Film', control: sheet.element });
  const exponent = textInput('exponent', { number: true, attributes: { on: { change: () => typed() } } });
  const exponentField = field({ id: 'exponent', label: 'Exponent from your own tests', control: exponent, hint: '1.3, say: the metered time in seconds to this power' });
  const metered = dial({ id: 'meteredS', label: 'Metered time', marks: [...series().shutters, ...longTimes()], onchange: mark => { ownTime = mark; tell(); } });
  const given = outcome('given', 'Give');
  const element = el(
    'section',
    { class: 'screen screen-film', 'aria-label': 'Film' },
    exposureCards('exposure/film'),
    sheetField.element, exponentField.element, metered.element, given.element,
    el('p', { class: 'aside' }, 'Batches and developers differ: bracket what cannot be repeated.'),
  );

  function typed() {
    const value = format.readNumber(exponent.value);
    if (value === null || Number.isNaN(value)) exponentField.problem = 'A number, such as 1.3';
    else book.setDesk({ exponent: value });
  }

  /** @param {number} nowMs */
  function render(nowMs) {
    const { desk } = book;
    if (!ownTime) metered.mark = inHand(book, nowMs).dials.shutter;
    sheet.value = desk.sheet;
    exponentField.element.hidden = desk.sheet !== '';
    if (document.activeElement !== exponent) exponent.value = format.typed(desk.exponent);
    tell();
  }

  function tell() {
    const { desk } = book;
    const own = desk.sheet === '';
    given.tell({ sheet: sheetField, exponent: exponentField, meteredS: metered }, () => reciprocity({
      sheet: own ? undefined : desk.sheet, exponent: own ? desk.exponent : undefined, meteredS: metered.value,
    }), ({ exposureS, exposureLabel, stopsAdded, beyondData, publishedToS, source }) => ({
      big: exposureLabel,
      words: [
        beyondData && publishedToS !== null && `This sheet stops at ${format.seconds(publishedToS)}. Past it this is a guess drawn on from its end.`,
        stopsAdded === 0 && exposureLabel === metered.mark.label
          ? 'Nothing to add.'
          : `Exactly ${format.seconds(exposureS)}. Or open up ${format.number(stopsAdded, 1)} stops, the time as metered`,
        `By ${source}`,
      ],
      timedS: exposureS > DIAL_ENDS_S && exposureS,
    }));
  }

  return { element, render };
}
