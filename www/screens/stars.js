// @ts-check
// How long until stars draw, how far they draw, and how many frames an arc takes.

import { refusal, series, starFrame, starTrail } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { lensCards } from '../elements/lens-cards.js';
import { lensFold } from '../elements/lens-fold.js';
import { outcome } from '../elements/outcome.js';
import { stepper } from '../elements/stepper.js';
import { longTimes } from '../lib/desk.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { inHand } from '../lib/in-hand.js';
import { problemWords } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** Where nothing is metered: a lens wide open, for as long as a sky takes. */
const USUAL = { aperture: { label: 'f/2.8', exact: Math.SQRT2 * 2 }, time: { label: '15 s', exact: 16 } };

const POLES = { north: 'The north pole of the sky is in it.', south: 'The south pole of the sky is in it.' };

/** @param {Book} book */
export function stars(book) {
  const dials = series();
  let [followsAperture, followsTime] = [true, true];
  const where = choice({
    name: 'where', label: 'Which stars', value: 'frame', choices: [['frame', 'In this frame'], ['declination', 'At a declination']], onchange: () => tell(),
  });
  const numeric = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number[]} */ steps, /** @type {number} */ value) => {
    const made = stepper({ id, label, steps, read: format.readNumber, write: number => format.number(number, Number.isInteger(number) ? 0 : 1), onchange: () => tell() });
    made.value = value;
    return made;
  };
  const altitude = numeric('altitudeDeg', 'Lens points up, °', [-10, 0, 10, 20, 30, 40, 50, 60, 70, 80, 90], 30);
  const declination = numeric('declinationDeg', 'Declination, °', [-90, -75, -60, -45, -30, -15, 0, 15, 30, 45, 60, 75, 90], 0);
  const told = el('p', { class: 'aside', id: 'in-frame' });
  const aperture = dial({ id: 'stars-aperture', label: 'Aperture', marks: dials.apertures, onchange: () => { followsAperture = false; tell(); } });
  const time = dial({ id: 'stars-time', label: 'Open for', marks: [...dials.shutters, ...longTimes()], onchange: () => { followsTime = false; tell(); } });
  const shows = choice({ name: 'npfK', label: 'Trailing that may show', value: '1', choices: [['1', 'None'], ['2', 'A little'], ['3', 'Some']], onchange: () => tell() });
  const lens = lensFold('stars', book);
  const limit = outcome('limit', 'Stars stay points for');
  const limits = el('tbody', {});
  const drawn = outcome('star-trail', 'In the time on the dial a star draws');
  const arc = numeric('wantedArcDeg', 'Arc around the pole, °', [1, 2, 5, 10, 15, 20, 30, 45, 60, 90, 120, 180], 30);
  const gap = numeric('gapS', 'Between frames, s', [0, 0.5, 1, 2, 3, 5, 10], 1);
  const stack = outcome('stack', 'A stack of');
  const element = el(
    'section',
    { class: 'screen screen-stars', 'aria-label': 'Stars' },
    lensCards('lens/stars'),
    where.element, altitude.element, declination.element, told,
    el('div', { class: 'pairs roomy' }, aperture.element, time.element),
    lens.element,
    limit.element,
    el('table', { class: 'limits', id: 'limits' }, el('caption', { class: 'unseen' }, 'Three limits'), limits),
    el('div', { class: 'field' }, el('p', { class: 'field-hint' }, 'Trailing that may show, for the full NPF'), shows.element),
    drawn.element,
    el('h2', {}, 'Arcs on purpose'),
    el('div', { class: 'pairs roomy' }, arc.element, gap.element),
    stack.element,
    cautions('ground'),
  );

  /** @param {number} nowMs */
  function render(nowMs) {
    const { dials: hand, from } = inHand(book, nowMs);
    const measured = from !== 'usual';
    if (followsAperture) aperture.mark = measured ? hand.aperture : USUAL.aperture;
    if (followsTime) time.mark = measured ? hand.shutter : USUAL.time;
    lens.draw();
    tell();
  }

  /** The fastest declination in the frame, or the one given; what the frame holds is said. */
  function fastest() {
    const inFrame = where.value === 'frame';
    altitude.element.hidden = told.hidden = !inFrame;
    declination.element.hidden = inFrame;
    if (!inFrame) return declination.value ?? NaN;
    const { spot } = book.open;
    const { focalMm, formatMm } = lens.lens;
    altitude.problem = null;
    try {
      const { leastDeg, mostDeg, fastestDeg, pole } = starFrame({
        focalMm, formatMm, latitudeDeg: spot.latitudeDeg ?? NaN, bearingDeg: spot.bearingDeg ?? NaN, altitudeDeg: altitude.value ?? NaN,
      });
      say(told, `Lens at ${format.bearing(spot.bearingDeg ?? 0)}: declinations ${format.degrees(leastDeg)} to ${format.degrees(mostDeg)}, the fastest at ${format.degrees(fastestDeg)}. ${pole ? POLES[/** @type {'north' | 'south'} */ (pole)] : ''}`);
      return fastestDeg;
    } catch (error) {
      const problem = refusal(error);
      if (problem.field === 'altitudeDeg') {
        altitude.problem = problemWords(problem);
        say(told, '');
        return NaN;
      }
      say(told, spot.latitudeDeg === null || spot.bearingDeg === null
        ? 'The spot has no position or no bearing yet: taken for stars on the sky’s equator, which move fastest.' : '');
      return 0;
    }
  }

  function tell() {
    const declinationDeg = fastest();
    const { focalMm, formatMm, pitchUm } = lens.lens;
    const answer = limit.tell({ declinationDeg: declination, wantedArcDeg: arc, gapS: gap, frames: gap, ...lens.fields }, () => starTrail({
      focalMm, formatMm, pitchUm, aperture: aperture.value, declinationDeg, shutterS: time.value,
      npfK: Number(shows.value), wantedArcDeg: arc.value ?? undefined, gapS: gap.value ?? undefined,
    }), ({ npfFullS }) => ({
      big: npfFullS === null ? 'As long as you like' : format.seconds(npfFullS),
      words: [npfFullS === null ? 'At the pole a star stands still' : 'By the full NPF'],
    }));
    const shown = [limits.parentElement, drawn.element, stack.element];
    for (const each of shown) each?.toggleAttribute('hidden', !answer);
    if (!answer) return;
    const { npfFullS, npfSimpleS, limit500S, trailUm, trailPx, arcDeg, stackFrames, stackS, gapPx } = answer;
    fill(limits, ...[
      ['Full NPF', npfFullS === null ? 'none' : format.seconds(npfFullS), 'Michaud, Havre'],
      ['Simple NPF', format.seconds(npfSimpleS), 'Michaud, Havre'],
      ['500 rule', format.seconds(limit500S), 'common practice'],
    ].map(([rule, limitS, source]) => el('tr', {}, el('th', { scope: 'row' }, rule), el('td', {}, el('b', {}, limitS)), el('td', {}, source))));
    drawn.tell({}, () => answer, () => ({
      big: `${format.measured(trailPx)} pixels`,
      words: [`${format.measured(trailUm)} µm in ${time.mark.label}; the sky turns ${format.measured(arcDeg)}°`],
    }));
    stack.tell({}, () => answer, () => ({
      big: stackFrames === null ? '–' : format.howMany(stackFrames, 'frame'),
      words: [
        stackS !== null && `${format.seconds(stackS)} from the first opening to the last closing`,
        gapPx !== null && gapPx > 0 && `Each gap leaves a hole of ${format.measured(gapPx)} pixels in the trail of such a star`,
      ],
    }));
  }

  return { element, render };
}
