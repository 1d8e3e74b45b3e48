// @ts-check
// Where to focus for a scene, what to dial for it and why, and what is sharp at any other stop.

import { circleOfConfusion, depthOfField, diffraction, focusFor, series } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice, pick } from '../elements/choice.js';
import { depthPicture } from '../elements/depth-picture.js';
import { dial } from '../elements/dial.js';
import { field } from '../elements/field.js';
import { fold } from '../elements/fold.js';
import { lensCards } from '../elements/lens-cards.js';
import { lensFields } from '../elements/lens-fields.js';
import { PITCHES } from '../elements/lens-fold.js';
import { lengthStepper } from '../elements/length-stepper.js';
import { outcome } from '../elements/outcome.js';
import { stepper } from '../elements/stepper.js';
import { afterPaint, el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { SMALLEST_OPENING } from '../lib/in-hand.js';
import { formatWords, lensInHand } from '../lib/kit.js';
import { askedBeside } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/kit.js').Basis} Basis */
/** @typedef {ReturnType<typeof focusFor>} Answer */

/** @type {[Basis, string][]} */
const BASES = [
  ['modern', 'Diagonal ÷ 1500, modern'],
  ['traditional', 'Diagonal ÷ 1000, traditional'],
  ['customary', '0.030 mm on 36 × 24, customary'],
  ['print', 'A print, looked at'],
];

/** Two distances that are one on a focus scale. */
const SAME_SHARE = 0.02;

/** @param {number} um */
const micrometres = um => `${format.measured(um)} µm`;

/** @param {Book} book */
export function focus(book) {
  const lengths = () => book.settings.lengths;
  const reach = (/** @type {number | null} */ metres) => (metres === null ? 'the sky' : format.reach(metres, lengths()));
  const length = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number} */ metres) =>
    lengthStepper({ id, label, metres, lengths, onchange: tell });
  const number = (/** @type {'printCm' | 'viewingCm' | 'pitchUm' | 'blades'} */ id, /** @type {string} */ label, /** @type {number[]} */ steps) => stepper({
    id: `focus-${id}`, label, steps, read: format.readNumber, write: format.typed, onchange: () => book.setKit({ [id]: numbers[id].value }),
  });
  const near = length('focus-nearM', 'The nearest thing to be sharp', 2);
  const reaches = choice({ name: 'reaches', label: 'The farthest', value: 'sky', choices: [['sky', 'To the sky'], ['far', 'To a distance']], onchange: tell });
  const far = length('focus-farM', 'The farthest', 20);
  const best = outcome('focus-best', 'Focus at, and dial');
  const picture = depthPicture();
  const why = el('ul', { class: 'why', id: 'focus-why' });

  const aperture = dial({ id: 'focus-aperture', label: 'Stop', marks: series().apertures, value: 8, onchange: tell });
  const at = length('focus-focusM', 'Focused at', 5);
  const sharp = outcome('sharp', 'Sharp');

  const body = el('tbody', {});
  const hand = lensFields(book, 'focus');
  const handSummary = el('summary', { id: 'focus-hand' });
  const basis = pick({ id: 'focus-basis', value: 'modern', choices: BASES, onchange: value => book.setKit({ basis: value }) });
  const basisField = field({ id: 'focus-basis', label: 'What passes for a point', control: basis.element });
  /** @type {Record<'printCm' | 'viewingCm' | 'pitchUm' | 'blades', ReturnType<typeof stepper>>} */
  const numbers = {
    printCm: number('printCm', 'The print’s long side, cm', [15, 20, 30, 40, 50, 60, 80, 100, 150, 200]),
    viewingCm: number('viewingCm', 'Looked at from, cm', [25, 30, 40, 50, 60, 80, 100, 150, 200, 300, 500]),
    pitchUm: number('pitchUm', 'From pixel to pixel, µm', PITCHES),
    blades: number('blades', 'Blades of the stop', [5, 6, 7, 8, 9, 10, 11, 12]),
  };
  const prints = el('div', { class: 'pairs' }, numbers.printCm.element, numbers.viewingCm.element);
  const handFold = el('details', { class: 'more' }, handSummary, hand.element, basisField.element, prints, numbers.pitchUm.element, numbers.blades.element);
  /** What the card shows, for the words and the picture of it. @type {{ found: Answer, focalMm: number, cocMm: number, farM: number | null } | null | undefined} */
  let shown = null;
  const elsewhere = fold('Another stop, another focus', tell, aperture.element, at.element, sharp.element);
  const blurs = fold('Blur at every stop', tell, el('div', { class: 'wide' }, el('table', { class: 'blur-table' },
    el('caption', {}, 'Near and far end, µm, focused as above'),
    el('thead', {}, el('tr', {}, ...['Stop', 'Defocus', 'Diffraction', 'Both'].map(word => el('th', { scope: 'col' }, word)))), body)));
  const element = el(
    'section',
    { class: 'screen screen-focus', 'aria-label': 'Focus' },
    lensCards('lens/focus'),
    near.element, el('div', { class: 'field' }, reaches.element), far.element,
    best.element, picture.element, why,
    handFold,
    elsewhere,
    blurs,
    cautions('sun'),
  );

  function render() {
    const { kit } = book;
    hand.draw();
    for (const each of [near, far, at]) each.draw();
    basis.value = kit.basis;
    prints.hidden = kit.basis !== 'print';
    for (const id of /** @type {(keyof typeof numbers)[]} */ (Object.keys(numbers))) numbers[id].value = kit[id];
    tell();
  }

  function tell() {
    const { kit } = book;
    const { focalMm, formatMm, format: name } = lensInHand(book);
    far.element.hidden = reaches.value === 'sky';
    const circle = askedBeside({ formatMm: hand.fields.formatMm, basis: basisField, printCm: numbers.printCm, viewingCm: numbers.viewingCm }, () =>
      circleOfConfusion({ formatMm, basis: kit.basis, printCm: kit.printCm ?? undefined, viewingCm: kit.viewingCm ?? undefined }));
    const cocMm = circle?.cocMm ?? NaN;
    say(handSummary, `${focalMm} mm on ${formatWords(name)} mm${circle ? `, ${micrometres(cocMm * 1000)} for a point` : ''}`);
    const farM = reaches.value === 'sky' ? null : far.value;
    const found = circle && best.tell({ focalMm: hand.fields.focalMm, nearM: near, farM: far }, () => focusFor({
      focalMm, cocMm, nearM: near.value, farM: farM ?? undefined, minAperture: book.open.shot.apertureMin ?? undefined,
      maxAperture: Math.max(SMALLEST_OPENING, book.open.shot.apertureMin ?? 0, book.open.shot.apertureMax ?? 0),
    }), answer => ({ big: `${reach(answer.focusM)}, ${answer.dial.label}`, words: [] }));
    // What is wrong must be in sight.
    if (handFold.querySelector('[aria-invalid]')) handFold.open = true;
    best.element.hidden = picture.element.hidden = why.hidden = blurs.hidden = elsewhere.hidden = !found;
    shown = found && { found, focalMm, cocMm, farM };
    explainLater();
  }

  const explainLater = afterPaint(why, explain);

  function explain() {
    if (!shown) return;
    const { kit } = book;
    const { found, focalMm, cocMm, farM } = shown;
    const held = depthOfField({ focalMm, aperture: found.dial.aperture, cocMm, focusM: found.focusM });
    picture.draw({ nearM: near.value, farM, focusM: found.focusM, fromM: held.nearM, toM: held.farM }, lengths());
    const wave = askedBeside({ pitchUm: numbers.pitchUm, blades: numbers.blades }, () => diffraction({
      aperture: found.dial.aperture, cocMm, pitchUm: kit.pitchUm, blades: kit.blades ?? undefined, wavelengthNm: undefined,
    }));
    const told = [
      `${found.holds ? 'Sharp' : 'By defocus alone sharp'} from ${reach(held.nearM)} to ${reach(held.farM)} at ${found.dial.label}.`,
      ...reasons(found, cocMm),
      third(found),
      wave && wave.pixelAperture !== null && `These pixels show diffraction from ${format.fNumber(wave.pixelAperture)} on (two to the Airy disc, common practice).`,
      wave && wave.rays !== null && `Lamps get ${wave.rays} rays, the stronger the more it is stopped down.`,
    ];
    fill(why, ...told.map(line => line && el('li', {}, line)));
    if (blurs.open) fill(body, ...found.stops.map(stop => el('tr', { class: stop.label === found.dial.label ? 'blur-dial' : null },
      el('th', { scope: 'row' }, stop.label), ...[stop.defocusUm, stop.diffractionUm, stop.blurUm].map(um => el('td', {}, format.measured(um))))));

    if (elsewhere.open) sharp.tell({ aperture, focusM: at }, () => ({
      depth: depthOfField({ focalMm, aperture: aperture.value, cocMm, focusM: at.value }),
      disc: diffraction({ aperture: aperture.value, cocMm, pitchUm: undefined, blades: undefined, wavelengthNm: undefined }),
    }), ({ depth, disc }) => ({
      big: `${reach(depth.nearM)} to ${reach(depth.farM)}`,
      words: [
        `To the sky from a focus of ${reach(depth.hyperfocalM)} on`,
        `Airy disc ${micrometres(disc.airyUm)}, nothing finer than ${format.number(disc.cutoffLpmm)} line pairs a mm`,
        disc.circleAperture !== null && `Past ${format.fNumber(disc.circleAperture)} the disc alone is more than passes for a point`,
        depth.bellowsStops > 0.05 && `So near it loses ${format.number(depth.bellowsStops, 1)} stop of light`,
      ],
    }));
  }

  /** Why this stop. @param {Answer} answer @param {number} cocMm */
  function reasons({ holds, aperture: least, leastLabel, dial: told, sharpest, sharpestDial }, cocMm) {
    const limit = micrometres(cocMm * 1000);
    if (!holds) {
      return [
        `No stop holds both ends within ${limit}: this one is the sharpest, ${micrometres(told.blurUm)}. ${sharpest > told.aperture * 1.1 ? 'Few lenses go further' : 'Past it diffraction blurs all of it'}.`,
        'Give up some of the near end, step back, or take two frames at two focuses.',
      ];
    }
    return [
      leastLabel === told.label && least < told.aperture / 1.15 ? 'Wide open is enough.'
        : leastLabel === told.label ? `By depth it takes ${format.fNumber(least)}; this is the next mark.`
          : `By depth ${leastLabel} would do; diffraction takes its share of the ${limit}.`,
      sharpest > told.aperture && `Both ends are at their sharpest at ${sharpestDial.label}; past that diffraction blurs all of it.`,
    ];
  }

  /** The rule of thumb beside the exact answer. @param {Answer} answer */
  function third({ focusM, thirdM, thirdStops }) {
    if (thirdM === null) return 'The rule “a third of the way in” has no third to the sky: twice the near distance is exact.';
    const off = thirdM / focusM - 1;
    if (Math.abs(off) < SAME_SHARE) return `“A third of the way in”, ${reach(thirdM)}, is right here.`;
    return `“A third of the way in” is ${reach(thirdM)}, too ${off > 0 ? 'far off: the near end' : 'near: the far end'} softens${thirdStops !== null && thirdStops > 0.05 ? `, or it takes ${format.number(thirdStops, 1)} stops more` : ''}.`;
  }

  return { element, render };
}
