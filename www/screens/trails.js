// @ts-check
// How long a trail a car draws, how long the shutter stays open for the one wanted, and the road as the lens sees it.

import { roadTrail, series, trafficTrail } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice, pick } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { field } from '../elements/field.js';
import { lensCards } from '../elements/lens-cards.js';
import { lensFold } from '../elements/lens-fold.js';
import { lengthStepper } from '../elements/length-stepper.js';
import { outcome } from '../elements/outcome.js';
import { roadPicture } from '../elements/road-picture.js';
import { roadPoints } from '../elements/road-points.js';
import { marked } from '../elements/spot-fields.js';
import { stepper } from '../elements/stepper.js';
import { announce } from '../lib/announce.js';
import { DIAL_ENDS_S, longTimes, nearestMark, timeMark } from '../lib/desk.js';
import { el, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { inHand } from '../lib/in-hand.js';
import { ROAD_CHOICES, roadOf } from '../lib/roads.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/desk.js').Mark} Mark */

const HEADINGS = { across: 90, away: 45, nearer: 135, other: NaN };
/** Where nothing is metered, a time that draws something. */
const USUAL_TIME_S = 8;
const UNSEEN_STOPS = 0.05;

/** @param {Book} book */
export function trails(book) {
  const engraved = series();
  const times = [...engraved.shutters, ...longTimes()];
  const nearest = (/** @type {number} */ timeS) => nearestMark(times, timeS);
  /** The time that the reader turned to, or `null` to follow the shot or the exposure in hand. @type {Mark | null} */
  let ownTime = null;
  /** @type {import('../lib/desk.js').Dials} */
  let hand;
  let speedMS = format.speedMetres(book.settings.lengths === 'feet' ? 30 : 50, book.settings.lengths);
  /** @type {import('../lib/roads.js').RoadPoint[] | null} */
  let own = null;
  const lengths = () => book.settings.lengths;

  const length = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number} */ metres) =>
    lengthStepper({ id, label, metres, lengths, onchange: () => tell() });
  const speed = stepper({
    id: 'speedMS', label: 'Speed', steps: [10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 120, 130], read: format.readNumber, write: format.typed,
    onchange: () => { speedMS = format.speedMetres(speed.value ?? NaN, lengths()); tell(); },
  });
  const distance = length('distanceM', 'Distance', 100);
  const below = length('belowM', 'Lens above road', 20);
  const way = choice({
    name: 'way', label: 'Which way the cars drive', value: 'across', onchange: () => tell(),
    choices: [['across', 'Across'], ['away', 'Away'], ['nearer', 'Nearer'], ['other', 'Other']],
  });
  const heading = stepper({
    id: 'headingDeg', label: 'Against the lens, °: 0 away, 90 across, 180 at the lens', steps: Array.from({ length: 13 }, (_, index) => index * 15),
    read: format.readNumber, write: format.typed, onchange: () => tell(),
  });
  heading.value = 60;
  const time = dial({ id: 'shutterS', label: 'Open for', marks: times, onchange: mark => { ownTime = mark; tell(); } });
  let followsHand = true;
  const turned = () => { followsHand = false; tell(); };
  const aperture = dial({ id: 'trails-aperture', label: 'Aperture', marks: engraved.apertures, onchange: turned });
  const iso = dial({ id: 'trails-iso', label: 'ISO', marks: engraved.isos, onchange: turned });
  const bright = outcome('bright', 'The trail comes out lighter by');
  const lens = lensFold('trails', book);
  const trail = outcome('trail', 'One car’s trail spans');
  const wanted = dial({
    id: 'wantedShare', label: 'Of the frame the trail is to span', value: 0.5, onchange: () => tell(),
    marks: [0.1, 0.2, 0.25, 0.33, 0.5, 0.67, 0.75, 1, 1.5, 2].map(exact => ({ label: format.percent(exact), exact })),
  });
  const needed = outcome('needed', 'Open for');
  let neededS = NaN;
  const take = el('button', { type: 'button', class: 'quiet', id: 'take-time', on: { click: () => taken() } }, 'Take this time');

  const shape = pick({
    id: 'road', value: /** @type {typeof ROAD_CHOICES[number][0]} */ ('left'), choices: ROAD_CHOICES,
    onchange: value => { own = value === 'own' ? points() : null; tell(); },
  });
  const drives = choice({ name: 'drives', label: 'On it the cars come', value: 'nearer', choices: [['nearer', 'Nearer'], ['away', 'Away']], onchange: () => tell() });
  const tilt = stepper({ id: 'tiltDeg', label: 'Lens tilted up, °', steps: [-45, -30, -20, -15, -10, -5, 0, 5, 10, 15, 20, 30], read: format.readNumber, write: value => format.number(value), onchange: () => tell() });
  tilt.value = 0;
  const cars = stepper({ id: 'carsPerMin', label: 'Cars a minute', steps: [0.5, 1, 2, 3, 4, 6, 8, 10, 15, 20, 30, 45, 60], read: format.readNumber, write: format.typed, onchange: () => tell() });
  cars.value = 6;
  const begun = stepper({ id: 'startShare', label: 'Where the car is at first, % of its way', steps: [0, 10, 20, 30, 40, 50, 60, 70, 80, 90], read: format.readNumber, write: format.typed, onchange: () => tell() });
  begun.value = 0;
  const pointsSummary = el('summary', {});
  const editor = roadPoints(lengths, list => { own = list; shape.value = 'own'; tell(); });
  const picture = roadPicture();
  const seen = outcome('seen', 'One car draws');
  const flow = outcome('flow', 'To expect in a frame');

  const element = el(
    'section',
    { class: 'screen screen-trails', 'aria-label': 'Trails' },
    lensCards('lens/trails'),
    el('div', { class: 'pairs roomy' }, speed.element, distance.element),
    el('div', { class: 'field way' }, el('p', { class: 'field-hint' }, 'Away and nearer: at 45° to the lens'), way.element), heading.element,
    time.element, lens.element,
    trail.element,
    wanted.element, needed.element, take,
    el('details', { class: 'more' }, el('summary', {}, 'How bright it comes out'), el('div', { class: 'pairs roomy' }, aperture.element, iso.element), bright.element),
    el('h2', {}, 'On a road'),
    el('p', { class: 'aside' }, 'The same speed, distance, time and lens.'),
    el('div', { class: 'pairs roomy' },
      field({ id: 'road', label: 'The road', control: shape.element }).element,
      el('div', { class: 'field' }, el('p', { class: 'field-hint' }, 'Cars come'), drives.element)),
    el('div', { class: 'pairs roomy' }, below.element, tilt.element),
    begun.element, picture.element, seen.element,
    el('details', { class: 'more' }, pointsSummary, editor.element),
    cars.element, flow.element,
    cautions('ground'),
  );

  /** @returns {import('../lib/roads.js').RoadPoint[]} far to near */
  function points() {
    if (own) return own;
    const [along, down] = [distance, below].map(({ value }) => format.readNumber(format.heightTyped(value, lengths())) ?? NaN);
    return roadOf(shape.value === 'own' ? 'left' : shape.value, along, down)
      .map(point => /** @type {import('../lib/roads.js').RoadPoint} */ (point.map(typed => format.heightMetres(typed, lengths()))));
  }

  /** The time needed, on the dial and in the shot of the open spot. */
  function taken() {
    ownTime = neededS > DIAL_ENDS_S ? timeMark(Math.round(neededS)) : nearest(neededS);
    const shutterWantedS = neededS > DIAL_ENDS_S ? Math.round(neededS) : marked(ownTime.label);
    const { spot, shot } = book.open;
    // A spot of its own, so that its form takes the change up.
    book.show({ ...book.open, spot: { ...spot }, shot: { ...shot, shutterWantedS }, edited: !book.open.example });
    announce(`${ownTime.label} is the time wanted at this spot`);
  }

  /** @param {number} nowMs */
  function render(nowMs) {
    const feet = lengths() === 'feet';
    speed.unit = feet ? 'mph' : 'km/h';
    speed.value = format.speedTyped(speedMS, lengths());
    for (const each of [distance, below]) each.draw();
    say(pointsSummary, `Points of the road, ${feet ? 'ft' : 'm'}, far to near`);
    lens.draw();
    const { dials, from } = inHand(book, nowMs);
    const shot = book.open.shot.shutterWantedS;
    hand = dials;
    if (followsHand) [aperture.mark, iso.mark] = [hand.aperture, hand.iso];
    time.mark = ownTime ?? (shot ? nearest(shot) : from === 'usual' ? nearest(USUAL_TIME_S) : hand.shutter);
    tell();
  }

  function tell() {
    heading.element.hidden = way.value !== 'other';
    const { focalMm, formatMm, pitchUm } = lens.lens;
    const shutterS = time.value;
    const headingDeg = way.value === 'other' ? heading.value ?? NaN : HEADINGS[way.value];
    const answer = trail.tell({ speedMS: speed, distanceM: distance, headingDeg: heading, shutterS: time, ...lens.fields }, () => trafficTrail({
      focalMm, formatMm, pitchUm, speedMS, distanceM: distance.value, headingDeg, shutterS, wantedShare: wanted.value, thanShutterS: hand.shutter.exact,
      aperture: aperture.value, iso: iso.value, thanAperture: hand.aperture.exact, thanIso: hand.iso.exact, thanSpeedMS: undefined,
    }), ({ trailMm, frameShare, trailPx, travelledM, crossS, arrivesS, smallShiftMm, againstAmbientStops }) => ({
      big: `${frameShare === 1 ? 'All' : format.percent(frameShare)} of the frame`,
      words: [
        `${format.measured(trailMm)} mm on the sensor${trailPx === null ? '' : `, ${format.measured(trailPx)} pixels`}; the car drives ${format.distance(travelledM, lengths())}`,
        crossS === null ? 'It never passes both sides of the frame' : `From side to side in ${format.seconds(crossS)}`,
        arrivesS !== null && arrivesS <= shutterS && `It is ${trailMm === 0 ? 'at' : 'beside'} the lens after ${format.seconds(arrivesS)}`,
        Math.abs(smallShiftMm - trailMm) > 0.05 * trailMm && `The short formula says ${format.measured(smallShiftMm)} mm`,
        againstAmbientStops !== null && Math.abs(againstAmbientStops) > UNSEEN_STOPS
          && `Against ${hand.shutter.label} it ${againstAmbientStops < 0 ? 'falls behind' : 'gains on'} what stands still by ${format.number(Math.abs(againstAmbientStops), 1)} stops: a trail goes with aperture and ISO, not with the time`,
      ],
    }));
    bright.tell({}, () => answer, told => ({
      big: told?.trailStops == null ? '–' : `${format.stops(told.trailStops)} stops`,
      words: [`Than at ${hand.aperture.label}, ${hand.shutter.label}, ${hand.iso.label}; what stands still by ${format.stops(told?.ambientStops ?? 0)}`],
    }));
    neededS = answer?.wantedS ?? NaN;
    needed.tell({}, () => answer, told => ({
      big: told?.wantedS == null ? 'No such time' : format.seconds(told.wantedS),
      words: [told?.wantedS == null
        ? 'Driving this way it never gets so far across'
        : `${told.wantedS > DIAL_ENDS_S ? 'A timed exposure' : `On the dial: ${nearest(told.wantedS).label}`}. The time wanted is part of the spot’s picture`],
      timedS: neededS > DIAL_ENDS_S && neededS,
    }));
    needed.element.hidden = !answer;
    take.hidden = Number.isNaN(neededS);

    // What is refused above is refused there.
    const list = answer && points();
    if (list) editor.draw(list);
    const onRoad = list && seen.tell({ pointsM: own ? editor : Number.isNaN(below.value) ? below : distance, below, editor, tiltDeg: tilt, startShare: begun, carsPerMin: cars }, () => roadTrail({
      focalMm, formatMm, pitchUm, tiltDeg: tilt.value ?? NaN, pointsM: drives.value === 'nearer' ? list : [...list].reverse(),
      speedMS, shutterS, startShare: (begun.value ?? 0) / 100, carsPerMin: cars.value ?? undefined,
    }), ({ roadShare, trailMm, frameShare, trailPx, wholeS, runsBehind }) => ({
      big: roadShare === null ? 'No road in the frame' : roadShare === 1 ? 'All of the road' : `${format.percent(roadShare)} of the road`,
      words: [
        roadShare !== null && `${format.measured(trailMm)} mm along the line${trailPx === null ? '' : `, ${format.measured(trailPx)} pixels`}, over ${format.percent(frameShare)} of the frame’s width`,
        wholeS !== null && `From where it comes into the frame to where it leaves: ${format.seconds(wholeS)}`,
        runsBehind && 'The road runs behind the lens: what is there is not drawn',
      ],
    }));
    seen.element.hidden = !onRoad;
    picture.element.toggleAttribute('hidden', !onRoad);
    if (onRoad) picture.draw(onRoad, formatMm, `The frame: the road and the trail of one car in ${time.mark.label}`);
    flow.tell({}, () => onRoad, told => ({
      big: told?.expectedTrails == null ? 'No cars' : `${format.measured(told.expectedTrails)} trails`,
      words: told?.emptyChance == null ? [] : [
        `An empty frame: ${format.percent(told.emptyChance)}${told.fullChance ? `. The whole road drawn in one: at least ${format.percent(told.fullChance)}` : ''}`,
        told.unbrokenFrames === null ? 'No stack would close the line' : `For an unbroken line stack ${format.howMany(told.unbrokenFrames, 'frame')}`,
      ],
    }));
    flow.element.hidden = !onRoad;
  }

  return { element, render };
}
