// @ts-check
// What stands in the way: the skyline at the spot, when sun and moon are behind it, and how to survey it.

import { refusal, sighting, skyPosition, skylineAltitude } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { dateTurner } from '../elements/date-turner.js';
import { lengthStepper } from '../elements/length-stepper.js';
import { outcome } from '../elements/outcome.js';
import { skyCards } from '../elements/sky-cards.js';
import { skyPicture } from '../elements/sky-picture.js';
import { stepper } from '../elements/stepper.js';
import { announce } from '../lib/announce.js';
import { readCompass } from '../lib/compass.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { askOutlook, clockOf, dateOf, frameWords, passingWords, placeOf } from '../lib/outlook.js';
import { problemWords, reasonOf } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** @param {number} from @param {number} to @param {number} step */
const range = (from, to, step) => Array.from({ length: (to - from) / step + 1 }, (_, index) => from + index * step);
const places = (/** @type {number} */ value) => format.typed(Number(value.toFixed(1)));

/** @param {Book} book */
export function skyline(book) {
  const lengths = () => book.settings.lengths;
  const date = dateTurner('skyline-date', chosen => book.turnTo({ date: chosen }));
  const picture = skyPicture();
  const told = el('ul', { class: 'told', id: 'skyline-told' });
  const azimuth = stepper({ id: 'azimuthDeg', label: 'Towards, °', steps: range(0, 360, 1), read: format.readNumber, write: places, onchange: () => undefined });
  const altitude = stepper({ id: 'point-altitudeDeg', label: 'Stands up, °', steps: range(-5, 60, 0.5), read: format.readNumber, write: places, onchange: () => undefined });
  const state = el('p', { class: 'field-hint', id: 'skyline-state', role: 'status' });
  const lead = el('p', {});
  const chips = el('div', { class: 'chips' });
  const points = el('div', { id: 'points' }, lead, chips);
  const [high, far, eye] = /** @type {[string, string, number][]} */ ([['heightM', 'Its height', 30], ['top-distanceM', 'How far off', 300], ['observerHeightM', 'Your eye’s height', 1.5]])
    .map(([id, label, metres]) => lengthStepper({ id, label, metres, lengths, onchange: reckon }));
  const stands = outcome('stands', 'Its top stands up');
  const sightIt = el('button', { type: 'button', id: 'sight', on: { click: sight } }, 'Sight now');
  const sighted = el('div', { class: 'told', id: 'sighted', role: 'status' });
  const shadow = el('p', { id: 'shadow' });
  const take = (/** @type {string} */ id, /** @type {string} */ word, /** @type {() => void} */ click) =>
    el('button', { type: 'button', class: 'quiet', id, on: { click } }, word);
  const takeShadow = take('take-shadow', 'Take this bearing', () => { azimuth.value = shadowDeg; });
  const fold = (/** @type {string} */ title, /** @type {Node[]} */ ...inside) => el('details', { class: 'more' }, el('summary', {}, title), ...inside);
  const element = el(
    'section',
    { class: 'screen screen-skyline', 'aria-label': 'Skyline' },
    skyCards('sky/skyline'),
    el('div', { class: 'when' }, date.element),
    picture.element, told,
    el('h2', {}, 'Points of the skyline'),
    points,
    el('div', { class: 'pairs roomy' }, azimuth.element, altitude.element),
    el('div', { class: 'acts' }, take('add-point', 'Add this point', add)),
    state,
    fold('Sight along the phone', el('p', { class: 'aside' },
      'Lay the phone along your line of sight like a ruler, its upper end at the skyline’s edge; tap, and hold still until it answers. Steel turns a compass: not on a bridge, by a car or a railing, nor in a magnetic case. Never sight the sun.'),
    sightIt, sighted),
    fold('By height and distance', high.element, far.element, eye.element, stands.element,
      take('take-altitude', 'Take this altitude', () => { altitude.value = standsDeg; })),
    fold('A bearing from a shadow', shadow, takeShadow, el('p', { class: 'aside' },
      'Shadows of upright things point away from the sun: look along one, never at the sun. Sighted with the phone it tells what the compass is off.')),
    cautions('sun', 'edges'),
  );

  /** The spot that the fields started from. @type {typeof book.open.spot | null} */
  let seen = null;
  let shadowDeg = 0;
  let standsDeg = 0;

  /** @param {number} nowMs */
  function render(nowMs) {
    date.value = dateOf(book, nowMs);
    const { spot, skyline: surveyed } = book.open;
    for (const each of [high, far, eye]) each.draw();
    if (seen !== spot) {
      azimuth.value = spot.bearingDeg;
      altitude.value = spot.skylineDeg;
      if (surveyed) eye.value = surveyed.observerHeightM;
      seen = spot;
    }
    const list = surveyed?.profile ?? [];
    say(lead, list.length ? 'Tap one to forget it.' : `None yet: flat, ${format.degrees(spot.skylineDeg ?? 0, 1)} up all round.`);
    fill(chips, ...list.map((point, index) => {
      const words = point.map(value => `${places(value)}°`).join(', ');
      return el('button', {
        type: 'button', class: 'quiet', 'aria-label': `Forget ${words}`, on: { click: () => put(list.filter((_, each) => each !== index)).then(() => /** @type {HTMLElement} */ (chips.querySelector('button') ?? azimuth.element.querySelector('input')).focus({ preventScroll: true })) },
      }, words);
    }));
    date.problem = null;
    try {
      const outlook = askOutlook(book, nowMs);
      const clock = clockOf(book);
      picture.draw(outlook, atMs => format.shortClock(atMs, spot.zone, book.settings.hours), off => format.bearing((spot.bearingDeg ?? 0) + off + 360));
      fill(told, ...[...passingWords('Sun', outlook.sun, clock), ...passingWords('Moon', outlook.moon, clock), frameWords(outlook)].map(line => el('li', {}, line)));
    } catch (error) {
      date.problem = problemWords(refusal(error));
    }
    reckon();
    tick(nowMs);
  }

  /** @param {number} nowMs */
  function tick(nowMs) {
    const { sun } = skyPosition({ ...placeOf(book.open), atMs: nowMs });
    const up = sun.altitudeDeg > 0;
    shadowDeg = sun.shadowAzimuthDeg;
    say(shadow, up ? `Now shadows point to ${format.degrees(shadowDeg, 1)}` : 'The sun is down: no shadow now.');
    takeShadow.hidden = !up;
  }

  function reckon() {
    stands.tell({ heightM: high, distanceM: far, observerHeightM: eye }, () => skylineAltitude({ heightM: high.value, distanceM: far.value, observerHeightM: eye.value }), ({ altitudeDeg }) => {
      standsDeg = altitudeDeg;
      return { big: format.degrees(altitudeDeg, 2), words: [] };
    });
  }

  function add() {
    const [towards, up] = [azimuth.value ?? NaN, altitude.value ?? NaN];
    const [level, upright] = [towards >= 0 && towards <= 360, Math.abs(up) <= 90];
    azimuth.problem = level ? null : 'A bearing of 0° to 360°';
    altitude.problem = upright ? null : 'An altitude of −90° to 90°';
    if (level && upright) put([...(book.open.skyline?.profile ?? []), /** @type {[number, number]} */ ([towards, up])].sort(([a], [b]) => a - b));
  }

  /** @param {[number, number][]} profile */
  async function put(profile) {
    say(state, '');
    try {
      const kept = await book.setSkyline({ profile, observerHeightM: eye.value || 0 });
      fill(state, ...(kept ? ['Kept with the spot.'] : ['Used, and kept with the spot when you ', el('a', { href: '#spot-form' }, 'keep that'), '.']));
    } catch (error) {
      say(state, `Not kept: ${reasonOf(error)}`);
    }
  }

  async function sight() {
    sightIt.disabled = true;
    say(sighted, 'Hold still …');
    try {
      const read = await readCompass();
      const found = sighting({ place: placeOf(book.open), atMs: Date.now(), ...read });
      azimuth.value = found.azimuthDeg;
      altitude.value = found.altitudeDeg;
      navigator.vibrate?.(150);
      fill(sighted, ...[
        `${format.degrees(found.azimuthDeg, 1)} from true north, ${format.degrees(found.altitudeDeg, 1)} up: above, to be added.`,
        `${read.samples.length} readings, scattered by ${format.degrees(found.azimuthScatterDeg, 1)} sideways and ${format.degrees(found.altitudeScatterDeg, 1)} up and down${found.scatterMinutes === null ? '' : `, which is ${format.number(found.scatterMinutes, 1)} min of the sun’s disappearance`}.`,
        `Declination ${format.number(found.declinationDeg, 1)}° ± ${format.number(found.declinationErrorDeg, 1)}° is in it.${found.isCurrent ? '' : ' The magnetic model is out of date.'} Steel nearby is not, and does not scatter: check against a shadow.`,
      ].map(line => el('p', {}, line)));
      announce('Sighted');
    } catch (error) {
      say(sighted, reasonOf(error));
    }
    sightIt.disabled = false;
  }

  return { element, render, tick };
}
