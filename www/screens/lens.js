// @ts-check
// What the lens sees: its angles, what it covers at a distance, the same on the other camera, and what fits.

import { equivalentLens, view } from '../core.js';
import { choice, pick } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { field, textInput } from '../elements/field.js';
import { fold } from '../elements/fold.js';
import { lensCards } from '../elements/lens-cards.js';
import { lensFields } from '../elements/lens-fields.js';
import { lengthStepper } from '../elements/length-stepper.js';
import { outcome } from '../elements/outcome.js';
import { viewPlan } from '../elements/view-plan.js';
import { afterPaint, el, fill } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { formatWords, formatsOf, lensInHand, sidesOf } from '../lib/kit.js';
import { askedBeside } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** The stop that depths are compared at. */
const COMPARED_AT = 8;

/** @param {number[]} values @param {string} unit */
const scale = (values, unit) => values.map(exact => ({ label: `${exact}${unit}`, exact }));
const degrees = (/** @type {number} */ from) => scale(Array.from({ length: (360 - from) / 10 + 1 }, (_, index) => from + index * 10), '°');

/** @param {number} mm */
const millimetres = mm => `${format.measured(mm)} mm`;

/** @param {Book} book */
export function lens(book) {
  const lengths = () => book.settings.lengths;
  const length = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number} */ metres) =>
    lengthStepper({ id, label, metres, lengths, onchange: tell });
  const hand = lensFields(book, 'lens');
  const distance = length('lens-distanceM', 'How far off', 100);
  const covers = outcome('covers', 'The picture there is');
  const plan = viewPlan();
  const other = pick({ id: 'toMm', value: String(), choices: [], onchange: value => book.setKit({ other: value }) });
  const otherField = field({ id: 'toMm', label: 'Your other camera', control: other.element });
  const there = outcome('equivalent', 'This view on your other camera');
  const [wide, high] = [length('subject-width', 'It is wide', 20), length('subject-height', 'It is high', 20)];
  const fits = outcome('fits', 'It takes');
  const sweep = dial({ id: 'sweepDeg', label: 'The panorama turns', marks: degrees(30), value: 180, onchange: tell });
  const rows = choice({ name: 'panorama-rows', label: 'Rows', value: 'one', choices: [['one', 'One row'], ['more', 'Several']], onchange: tell });
  const rise = dial({ id: 'riseDeg', label: 'It rises through', marks: degrees(10).slice(0, 18), value: 90, onchange: tell });
  const overlap = dial({ id: 'panorama-overlap', label: 'Frames share', marks: [10, 20, 30, 40, 50, 60].map(share => ({ label: `${share} %`, exact: share / 100 })), value: 0.3, onchange: tell });
  const panorama = outcome('panorama', 'It takes');
  const own = textInput('own-format', { attributes: { inputmode: null } });
  const ownField = field({
    id: 'own-format', label: 'Width × height, mm', control: own, hint: '53.4 × 40, say',
    beside: el('button', { type: 'button', class: 'quiet', on: { click: add } }, 'Add'),
  });
  const ownList = el('div', { class: 'chips' });
  const fitting = fold('Does it fit?', tell, el('p', { class: 'aside' }, 'A building, a bridge, as far off as above.'), wide.element, high.element, fits.element);
  const turning = fold('Panorama', tell, sweep.element, rows.element, rise.element, overlap.element, panorama.element);
  const element = el(
    'section',
    { class: 'screen screen-lens', 'aria-label': 'Lens' },
    lensCards('lens'),
    hand.element,
    distance.element,
    covers.element,
    plan.element,
    otherField.element,
    there.element,
    fitting,
    turning,
    el('details', { class: 'more' }, el('summary', {}, 'A format of your own'), ownField.element, ownList),
  );

  function add() {
    const mm = sidesOf(own.value);
    const good = askedBeside({ toMm: ownField }, () => equivalentLens({ focalMm: 50, fromMm: [36, 24], toMm: mm, aperture: undefined }));
    const code = mm.join('x');
    if (!good || formatsOf(book.kit).some(([known]) => known === code)) return;
    own.value = '';
    book.setKit({ ownFormats: [...book.kit.ownFormats, code] });
  }

  function render() {
    const { kit } = book;
    hand.draw();
    for (const each of [distance, wide, high]) each.draw();
    other.choices = formatsOf(kit);
    other.value = kit.other;
    fill(ownList, ...kit.ownFormats.map(code => el('button', {
      type: 'button', class: 'quiet', on: { click: () => book.setKit({ ownFormats: kit.ownFormats.filter(each => each !== code) }) },
    }, `Forget ${formatWords(code)}`)));
    tell();
  }

  /** What is asked of the lens, or nothing where that was refused. @type {ReturnType<typeof asked> | null} */
  let shown = null;
  const compareLater = afterPaint(there.element, compare);
  const far = (/** @type {number} */ metres) => format.reach(metres, lengths());

  function asked() {
    const { focalMm, formatMm } = lensInHand(book);
    return { focalMm, formatMm, distanceM: distance.value, focusM: undefined, subjectM: undefined, sweepDeg: undefined, riseDeg: undefined, overlap: undefined };
  }

  function tell() {
    const question = asked();
    const seen = covers.tell({ ...hand.fields, distanceM: distance }, () => view(question), ({ widthM, heightM, horizontalDeg, verticalDeg, diagonalDeg }) => ({
      big: `${far(widthM)} × ${far(heightM)}`,
      words: [`${format.degrees(horizontalDeg, 1)} across, ${format.degrees(verticalDeg, 1)} up, ${format.degrees(diagonalDeg, 1)} corner to corner`],
    }));
    plan.element.hidden = !seen;
    if (seen) plan.draw(seen.widthM, distance.value, [far(seen.widthM), far(distance.value), format.degrees(seen.horizontalDeg)]);
    fits.element.hidden = panorama.element.hidden = !seen;
    shown = seen && question;
    compareLater();
  }

  /** The same beside another camera, a subject, a panorama. */
  function compare() {
    const { focalMm, format: name } = lensInHand(book);
    there.tell({ ...hand.fields, toMm: otherField }, () => equivalentLens({ focalMm, fromMm: sidesOf(name), toMm: sidesOf(book.kit.other), aperture: COMPARED_AT }),
      ({ focalMm: match, crop, otherShape, byWidthMm, byHeightMm, aperture }) => ({
        big: millimetres(match),
        words: [
          `${format.number(crop, 2)} times the focal length, by the diagonals`,
          otherShape && `Another shape: ${millimetres(byWidthMm)} for the same width, ${millimetres(byHeightMm)} for the same height`,
          aperture !== null && `f/${COMPARED_AT} here has the depth of ${format.fNumber(aperture)} there. The exposure stays the same`,
        ],
      }));
    const question = shown;
    if (!question) return;
    if (fitting.open) fits.tell({ 'subject-width': wide, 'subject-height': high }, () => view({ ...question, subjectM: [wide.value, high.value] }), ({ subjectShares, fittingFocalMm }) => ({
      big: (subjectShares ?? []).map(share => `${format.measured(share * 100)} %`).join(' × '),
      words: ['of the width and of the height', fittingFocalMm !== null && `Up to ${millimetres(fittingFocalMm)} holds all of it`],
    }));
    rise.element.hidden = rows.value === 'one';
    if (turning.open) panorama.tell({ sweepDeg: sweep, riseDeg: rise, overlap }, () => view({
      ...question, sweepDeg: sweep.value, riseDeg: rows.value === 'one' ? undefined : rise.value, overlap: overlap.value,
    }), ({ panorama: turn }) => ({
      big: turn ? `${turn.columns}${turn.rows > 1 ? ` × ${turn.rows}` : ''} frames` : '',
      words: turn ? [`Turn ${format.degrees(turn.stepDeg)} from one to the next`, turn.rows > 1 && `Rows ${format.degrees(turn.rowStepDeg)} apart`] : [],
    }));
  }

  return { element, render };
}
