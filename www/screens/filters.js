// @ts-check
// What glass on the lens does to the time, and which glass gives a time.

import { aperturePriority, filterFor, graduatedFilter, series, testFrame, throughFilters } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { pick } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { exposureCards } from '../elements/exposure-cards.js';
import { field } from '../elements/field.js';
import { filterBag } from '../elements/filter-bag.js';
import { outcome } from '../elements/outcome.js';
import { CLEAR_GLASS, glassWords, longTimes, thirdsBetween } from '../lib/desk.js';
import { el } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { inHand, sameLight } from '../lib/in-hand.js';
import { askedBeside } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/desk.js').Glass} Glass */

/** Where makers say that meters give up, at ISO 100. @returns {[string, string][]} */
const meterLows = () => [['', 'I do not know'], ...[0, -1, -2, -3, -4, -5, -6, -7].map(ev => /** @type {[string, string]} */ ([String(ev), `EV ${format.number(ev)}`]))];

/** The camera's own longest time is taken to be the usual one. */
const USUAL = { longestShutterS: undefined };

const BY_HAND = 'Past the camera’s 30 s: bulb, and a timer';

/** Where the camera's automatic time ends. */
const GIVES_UP = {
  time: 'It stops at its longest time. Set bulb and time it by hand.',
  meter: 'Behind this it is too dark for its meter. Meter with nothing on the lens, or by a test frame.',
};

/** @param {{ apertureLabel: string, isoLabel: string }} setting */
const settingAt = ({ apertureLabel, isoLabel }) => `at ${apertureLabel}, ${isoLabel}`;

/** A residual that is worth words. */
const SEEN_STOPS = 0.05;

/** @param {number} stops */
const offBy = stops => Math.abs(stops) >= SEEN_STOPS && `${format.number(Math.abs(stops), 1)} stop ${stops > 0 ? 'lighter' : 'darker'} than wanted`;

/** @param {number} stops */
const stopsWords = stops => `${format.typed(Number(stops.toFixed(2)))} ${stops === 1 ? 'stop' : 'stops'}`;

/** @param {Book} book */
export function filters(book) {
  const { shutters, isos, apertures } = series();
  const times = [...shutters, ...longTimes()];
  /** The time without filters that the reader stepped to, or `null` to follow the Exposure card. @type {import('../lib/desk.js').Mark | null} */
  let ownBase = null;
  /** The desk as last drawn. @type {ReturnType<typeof inHand>} */
  let hand;

  const base = dial({ id: 'baseS', label: 'Time with nothing on the lens', marks: times, onchange: mark => { ownBase = mark; tell(); } });
  const bag = filterBag({
    onlens: onLens => book.setDesk({ onLens }),
    onforget: id => { book.forgetFilter(id).catch(error => { bag.problem = `Not taken out: ${error.message}`; }); },
    onkeep: (glass, problem) => {
      const place = { set problem(/** @type {string | null} */ message) { problem(message); } };
      if (askedBeside({ text: place }, () => strengthOf(glass))) book.keepFilter(glass).catch(error => problem(`Not kept: ${error.message}`));
    },
  });
  const through = outcome('through', 'With these on the lens');
  const wanted = dial({ id: 'wantedS', label: 'The time I want', marks: times, value: 2, onchange: tell });
  const needed = outcome('filter-needed', 'It takes');
  const putOn = el('button', { type: 'button', class: 'quiet', id: 'put-on' }, 'Put these on');
  const testTime = dial({ id: 'test-shutterS', label: 'The test frame’s time', marks: shutters, value: 2, onchange: tell });
  const testIso = dial({ id: 'test-iso', label: 'The test frame’s ISO', marks: isos, value: 6400, onchange: tell });
  const toIso = dial({ id: 'toIso', label: 'The picture’s ISO', marks: isos, value: 100, onchange: tell });
  const long = outcome('long', 'The picture’s time');
  const evs = thirdsBetween(-6, 18);
  const sky = dial({ id: 'skyEv', label: 'The sky, EV at ISO 100', marks: evs, value: 10, onchange: tell });
  const foreground = dial({ id: 'foregroundEv', label: 'The foreground, EV at ISO 100', marks: evs, value: 6, onchange: tell });
  const keep = dial({ id: 'keepStops', label: 'How much brighter the sky is to stay', unit: 'stops', marks: thirdsBetween(-1, 4), value: 1, onchange: tell });
  const grad = outcome('grad', 'Graduated filter');
  const aperture = dial({ id: 'automatic-aperture', label: 'Aperture set', marks: apertures, onchange: tell });
  const compensation = dial({ id: 'automatic-compensation', label: 'Compensation set', unit: 'stops', marks: thirdsBetween(-5, 5, value => format.thirds(value, true)), value: 0, onchange: tell });
  const low = pick({ id: 'meterLowEv', choices: meterLows(), value: '', onchange: value => book.setDesk({ meterLowEv: value === '' ? null : Number(value) }) });
  const automatic = outcome('automatic', 'The camera will take');

  const fold = (/** @type {string} */ summary, /** @type {(Element | string)[]} */ ...inside) =>
    el('details', { class: 'more' }, el('summary', {}, summary), ...inside);
  const element = el(
    'section',
    { class: 'screen screen-filters', 'aria-label': 'Filters' },
    exposureCards('exposure/filters'),
    base.element,
    bag.element,
    through.element,
    bag.fold,
    fold('Which filters give a time', wanted.element, needed.element, putOn),
    fold('From a test frame at high ISO', el('p', { class: 'aside' }, 'A short frame that came out right with nothing on the lens; the picture at the same aperture, through what is on the lens above.'),
      testTime.element, testIso.element, toIso.element, long.element),
    fold('Graduated: sky and foreground', sky.element, foreground.element, keep.element, grad.element,
      el('p', { class: 'aside' }, 'Common practice: the difference less what is to stay. Soft for a broken skyline, hard for a level horizon, reverse for a sun upon it.')),
    fold('What aperture priority will do', el('p', { class: 'aside' }, 'For the light of the Exposure card, through what is on the lens.'),
      aperture.element, compensation.element,
      field({ id: 'meterLowEv', label: 'The meter’s low limit', control: low.element, hint: 'In the camera’s manual, at ISO 100' }).element, automatic.element),
    cautions('sun', 'rays'),
  );

  /** @returns {Glass[]} */
  const onLens = () => book.filters.filter(({ id }) => book.desk.onLens.includes(id)).map(({ glass }) => glass);

  /** @param {Glass} glass */
  const strengthOf = glass => {
    const { stops, skyStops } = throughFilters({ baseS: 1, filters: [{ ...CLEAR_GLASS, ...glass }], ...USUAL });
    return skyStops ? `${stopsWords(skyStops)} off the sky` : stopsWords(stops);
  };

  /** @param {number} nowMs */
  function render(nowMs) {
    hand = inHand(book, nowMs);
    if (!ownBase) base.mark = hand.dials.shutter;
    aperture.mark = hand.dials.aperture;
    low.value = book.desk.meterLowEv === null ? '' : String(book.desk.meterLowEv);
    bag.draw(book.filters, book.desk.onLens, strengthOf);
    tell();
  }

  function tell() {
    const stack = through.tell({ filters: bag, baseS: base }, () => throughFilters({ baseS: base.value, filters: onLens(), ...USUAL }), answer => ({
      big: answer.dialledLabel,
      words: onLens().length === 0 ? ['Nothing: tap a filter above.'] : [
        `${stopsWords(answer.stops)}: exactly ${format.seconds(answer.exactS)}`,
        answer.leastS !== answer.mostS && `${format.seconds(answer.leastS)} to ${format.seconds(answer.mostS)} as the polariser is turned`,
        answer.skyStops > 0 && `The sky gets ${stopsWords(answer.skyStops)} less than that`,
        offBy(answer.residualStops),
        answer.timed && BY_HAND,
      ],
      timedS: answer.timed && answer.dialledS,
    }));
    const filterStops = stack?.stops;
    tellWanted();
    long.tell({ shutterS: testTime, iso: testIso, toIso }, () => testFrame({
      aperture: hand.dials.aperture.exact, shutterS: testTime.value, iso: testIso.value, toAperture: undefined, toIso: toIso.value, filterStops, ...USUAL,
    }), picture => ({
      big: picture.shutterLabel,
      words: [settingAt(picture), offBy(picture.residualStops), picture.timed && BY_HAND],
      timedS: picture.timed && picture.shutterS,
    }));
    grad.tell({ skyEv: sky, foregroundEv: foreground, keepStops: keep }, () => graduatedFilter({ skyEv: sky.value, foregroundEv: foreground.value, keepStops: keep.value }),
      ({ stops, density }) => (stops > 0
        ? { big: format.thirdStops(stops), words: [`a density of ${format.number(density, 1)}`] }
        : { big: 'none', words: ['The sky is not that much brighter.'] }));
    automatic.tell({ aperture, compensationStops: compensation }, () => aperturePriority({
      ev100: sameLight(book, hand).ev100, aperture: aperture.value, iso: hand.dials.iso.exact, filterStops,
      compensationStops: compensation.value, meterLowEv: book.desk.meterLowEv ?? undefined, ...USUAL,
    }), ({ setting, givesUp }) => ({
      big: setting.shutterLabel,
      words: [settingAt(setting), offBy(setting.residualStops), givesUp && GIVES_UP[givesUp]],
    }));
  }

  function tellWanted() {
    // Grads, polarisers and night-sky filters go on for what else they do.
    const bagged = book.filters.filter(({ glass }) => !glass.kind);
    const glass = needed.tell({ wantedS: wanted }, () => filterFor({ baseS: base.value, wantedS: wanted.value, bag: bagged.length ? bagged.map(({ glass }) => glass) : undefined }), ({ stops, factor, density, fromBag }) => ({
      big: stopsWords(Number(stops.toFixed(1))),
      words: [
        `a factor of ${format.measured(factor)}, a density of ${format.number(density, 1)}`,
        fromBag && (fromBag.places.length ? `From your bag: ${fromBag.places.map(place => glassWords(bagged[place].glass)).join(' + ')}` : 'Nothing in your bag comes nearer than none'),
        fromBag && offBy(fromBag.residualStops),
      ],
    }));
    const places = glass?.fromBag?.places ?? [];
    putOn.hidden = !places.length;
    putOn.onclick = () => book.setDesk({ onLens: places.map(place => bagged[place].id) });
  }

  return { element, render };
}
