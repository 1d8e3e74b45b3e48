// @ts-check
// When the sun crosses what, on one civil day at the spot: a ladder of altitudes, the morning climbed on
// the left, the evening descended on the right.

import { refusal, skyEvents, skyPosition, zoneDay } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { dateTurner } from '../elements/date-turner.js';
import { field, textInput } from '../elements/field.js';
import { ladder } from '../elements/ladder.js';
import { skyCards } from '../elements/sky-cards.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { placeOf } from '../lib/outlook.js';
import { problemWords } from '../lib/problems.js';
import { POLAR, polarDay } from '../lib/words.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../elements/ladder.js').Rung} Rung */
/** @typedef {ReturnType<typeof skyEvents>} Events */

const TWILIGHTS = [-6, -12, -18];

/** Altitudes come back through radians; limits are set in whole or half degrees. */
const SAME_DEG = 1e-6;

/** @param {number} a @param {number} b */
const same = (a, b) => Math.abs(a - b) < SAME_DEG;

/** What an altitude is called. @param {number} altitudeDeg @param {Book['settings']} settings */
function names(altitudeDeg, { goldenDeg, blueDeg }) {
  const golden = goldenDeg.includes(altitudeDeg) ? 'golden hour' : '';
  const blue = blueDeg.includes(altitudeDeg) ? 'blue hour' : '';
  const twilight = { [-6]: 'civil twilight', [-12]: 'nautical twilight', [-18]: 'astronomical twilight' }[altitudeDeg];
  return [twilight, golden, blue].filter(Boolean).join(', ');
}

/**
 * The day's crossings and turning points as rungs, the highest first.
 * @param {Events} events
 * @param {number[]} altitudes
 * @param {Book['settings']} settings
 * @returns {Rung[]}
 */
function rungs({ sun, transits, polar }, altitudes, settings) {
  const at = (/** @type {string} */ kind, /** @type {number | null} */ altitudeDeg) =>
    sun.filter(event => event.kind === kind && (altitudeDeg === null || same(event.altitudeDeg, altitudeDeg)));
  const state = (/** @type {(altitudeDeg: number) => boolean} */ which) =>
    polar.find(({ altitudeDeg }) => which(altitudeDeg))?.state;
  const horizon = at('rise', null)[0]?.altitudeDeg ?? at('set', null)[0]?.altitudeDeg ?? -0.83;
  return [
    ...altitudes.map(altitudeDeg => ({
      altitudeDeg, name: names(altitudeDeg, settings), strong: false,
      morning: at('rising', altitudeDeg), evening: at('falling', altitudeDeg),
      never: state(each => same(each, altitudeDeg)),
    })),
    {
      altitudeDeg: horizon, name: 'sunrise, sunset', strong: true,
      morning: at('rise', null), evening: at('set', null),
      never: state(each => !altitudes.some(asked => same(asked, each))),
    },
    ...transits.map(({ kind, altitudeDeg, atMs, azimuthDeg }) => ({
      altitudeDeg, name: kind === 'noon' ? 'highest' : 'lowest', strong: false, turn: { atMs, azimuthDeg },
      morning: [], evening: [], never: undefined,
    })),
  ].sort((a, b) => b.altitudeDeg - a.altitudeDeg);
}

/** @param {Book} book */
export function sky(book) {
  const date = dateTurner('sky-date', chosen => book.turnTo({ date: chosen }));
  const here = el('p', { class: 'sky-now', id: 'sky-now' });
  const notice = el('div', { class: 'notice' });
  const steps = ladder();
  const limits = hourLimits(book);
  const element = el(
    'section',
    { class: 'screen screen-sky', 'aria-label': 'Sky' },
    skyCards('sky'),
    el('div', { class: 'when' }, date.element),
    here,
    notice,
    steps.element,
    el('p', { class: 'aside' }, 'For a sea-level horizon: your skyline is on the run sheet. Bearings from true north.'),
    el('details', { class: 'more' }, el('summary', {}, 'Limits of the golden and the blue hour'), limits.element),
    cautions('sun'),
  );

  /** @param {number} nowMs */
  function render(nowMs) {
    const { spot } = book.open;
    const { settings } = book;
    const shown = book.date ?? format.dateIn(spot.zone, nowMs);
    date.value = shown;
    date.problem = null;
    limits.render();
    fill(notice);
    try {
      const day = zoneDay({ zone: spot.zone, date: shown });
      const altitudes = [...new Set([...settings.goldenDeg, ...settings.blueDeg, ...TWILIGHTS])].filter(Number.isFinite);
      const events = skyEvents({ ...placeOf(book.open), ...day, sunAltitudesDeg: altitudes });
      const clock = (/** @type {number} */ atMs) => format.clock(atMs, spot.zone, settings.hours);
      steps.draw(rungs(events, altitudes, settings), clock, state => POLAR[state]);
      const polar = polarDay(events.polar);
      fill(notice, polar && el('p', {}, polar));
      steps.element.hidden = false;
    } catch (error) {
      const problem = refusal(error);
      steps.element.hidden = true;
      if (problem.field === 'date') date.problem = problemWords(problem);
      else fill(notice, el('p', { class: 'problem' }, problem.message));
    }
    tick(nowMs);
  }

  /** @param {number} nowMs */
  function tick(nowMs) {
    try {
      const { sun } = skyPosition({ ...placeOf(book.open), atMs: nowMs });
      say(here, `Now the sun stands ${format.degrees(Math.abs(sun.altitudeDeg), 1)} ${sun.altitudeDeg < 0 ? 'below' : 'above'} level, at ${format.bearing(sun.azimuthDeg)}`);
    } catch (error) {
      say(here, refusal(error).message);
    }
  }

  return { element, render, tick };
}

/**
 * The altitudes between which the light is called golden or blue: no authority sets them, so the reader may.
 * @param {Book} book
 */
function hourLimits(book) {
  const limit = (/** @type {'goldenDeg' | 'blueDeg'} */ key, /** @type {0 | 1} */ end, /** @type {string} */ label) => {
    const id = `${key}-${end}`;
    const input = textInput(id, { number: true, attributes: { inputmode: 'text', on: { change: () => typed() } } });
    const shown = field({ id, label, control: input, unit: '°' });
    const typed = () => {
      /** @type {[number, number]} */
      const pair = [...book.settings[key]];
      pair[end] = format.readNumber(input.value) ?? NaN;
      const wrong = book.wrong('choices', { [key]: pair });
      shown.problem = wrong;
      if (!wrong) book.choose({ [key]: pair });
    };
    const render = () => {
      if (document.activeElement === input) return;
      input.value = format.typed(book.settings[key][end]);
      shown.problem = null;
    };
    return { element: shown.element, render };
  };
  const inputs = [
    limit('goldenDeg', 0, 'Golden hour, sun at most'), limit('goldenDeg', 1, 'Golden hour, sun at least'),
    limit('blueDeg', 0, 'Blue hour, sun at most'), limit('blueDeg', 1, 'Blue hour, sun at least'),
  ];
  const element = el(
    'div',
    {},
    el('p', { class: 'aside' }, 'Common practice: golden from 6° down to −4°, blue to −6°; others go to −8°.'),
    el('div', { class: 'pairs' }, ...inputs.map(input => input.element)),
  );
  return { element, render: () => inputs.forEach(input => input.render()) };
}
