// @ts-check
// When the light fits the picture: the minutes in which its time can be given, bare and through each filter of the
// bag; and the settings of a time-lapse through the same light.

import { exposureWindow, intervalRamp, series, throughFilters } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { dial } from '../elements/dial.js';
import { siblingCards } from '../elements/sibling-cards.js';
import { glassWords, longTimes, nearestMark } from '../lib/desk.js';
import { afterPaint, el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { clockOf } from '../lib/outlook.js';
import { askedBeside } from '../lib/problems.js';
import { askSheet, lightOf, tonight } from '../lib/tonight.js';
import { settingWords } from '../lib/words.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {ReturnType<typeof exposureWindow>} Answer */

export const WINDOW = 'evening/window';

/** Where nobody has said what time the picture needs: water that is soft, and not yet smooth. */
const USUAL_S = 1;
/** Marks on either side of the time wanted that are taken to be as good. */
const AS_GOOD = 2;
/** From frame to frame, as time-lapses are made. */
const INTERVALS = [2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 30, 45, 60].map(seconds => ({ label: `${seconds} s`, exact: seconds }));

/** @param {Book} book */
export function exposureFit(book) {
  const { shutters, apertures } = series();
  const times = [...shutters, ...longTimes()];
  const least = dial({ id: 'shutterMinS', label: 'The picture’s time, at least', marks: times, onchange: ({ exact }) => book.setDesk({ fitMinS: exact }) });
  const most = dial({ id: 'shutterMaxS', label: 'At most', marks: times, onchange: ({ exact }) => book.setDesk({ fitMaxS: exact }) });
  const bounds = el('p', { class: 'aside', id: 'window-bounds' });
  const error = el('p', { class: 'field-error', id: 'window-error' });
  const found = el('ol', { class: 'windows', id: 'windows' });
  const relaxed = el('div', { class: 'notice', id: 'window-relax' });
  const balance = el('p', { id: 'window-balance' });
  const interval = dial({ id: 'intervalS', label: 'From frame to frame', marks: INTERVALS, value: 10, onchange: () => tellLater() });
  const aperture = dial({ id: 'ramp-aperture', label: 'Aperture, which stays', marks: apertures, value: 8, onchange: () => tellLater() });
  const rampTold = el('p', { class: 'aside', id: 'ramp-told' });
  const rampRows = el('tbody', { id: 'ramp' });
  const ramp = el('details', { class: 'more' }, el('summary', {}, 'A time-lapse through it'),
    interval.element, aperture.element, rampTold,
    el('div', { class: 'wide', role: 'region', tabindex: 0, 'aria-label': 'Settings of the time-lapse' }, el('table', {},
      el('thead', {}, el('tr', {}, ...['From', 'Frame', 'Time', 'ISO', 'EV'].map(word => el('th', { scope: 'col' }, word)))), rampRows)));
  const element = el('section', { class: 'screen screen-window', 'aria-label': 'When it fits' },
    siblingCards('Evening', [['evening', 'Evening'], [WINDOW, 'When it fits']], WINDOW),
    least.element, most.element, bounds, error, found, relaxed, balance, ramp,
    cautions('ground'));
  const fields = {
    question: { set problem(/** @type {string | null} */ message) { say(error, message ?? ''); } },
    shutterMinS: least, shutterMaxS: most, intervalS: interval, aperture,
  };

  const clock = clockOf(book);
  /** @param {number} fromMs @param {number} toMs */
  const span = (fromMs, toMs) => `${format.shortClock(fromMs, book.open.spot.zone, book.settings.hours)} to ${clock(toMs)}`;

  /** The time that the shot wants, as two ends of a range on the dial. */
  function wanted() {
    const at = times.indexOf(nearestMark(times, book.open.shot.shutterWantedS ?? USUAL_S));
    return [times[Math.max(0, at - AS_GOOD)].exact, times[Math.min(times.length - 1, at + AS_GOOD)].exact];
  }

  const tellLater = afterPaint(element, () => tell(Date.now()));

  function render() {
    const { open: { shot }, desk, filters } = book;
    const [lowS, highS] = wanted();
    least.value = desk.fitMinS ?? lowS;
    most.value = desk.fitMaxS ?? highS;
    say(bounds, `With f/${shot.apertureMin} to f/${shot.apertureMax} and ISO ${shot.isoMin} to ${shot.isoMax}, as kept with the spot; ${filters.length ? 'filters as in the bag.' : 'no filters: the bag is empty.'}`);
    tellLater();
  }

  /** @param {number} nowMs */
  function tell(nowMs) {
    const { open: { shot }, filters } = book;
    const told = askedBeside(fields, () => {
      const date = book.date ?? tonight(book, nowMs);
      const light = lightOf(book, askSheet(book, date), date);
      const limits = { isoMin: shot.isoMin ?? NaN, isoMax: shot.isoMax ?? NaN };
      const bag = filters.filter(({ glass }) => glass.kind !== 'graduated')
        .map(({ glass }) => ({ name: glassWords(glass), stops: throughFilters({ baseS: 1, filters: [glass], longestShutterS: undefined }).stops }));
      return {
        bag,
        windows: exposureWindow({
          ...light, ...limits, apertureMin: shot.apertureMin ?? NaN, apertureMax: shot.apertureMax ?? NaN,
          shutterMinS: least.value, shutterMaxS: most.value, filtersStops: bag.map(({ stops }) => stops),
        }),
        ramp: intervalRamp({
          ...light, startMs: nowMs > light.startMs && nowMs < light.endMs ? nowMs : light.startMs, ...limits, intervalS: interval.value, aperture: aperture.value, shutterMaxS: undefined, filterStops: undefined,
        }),
      };
    });
    for (const part of [found, relaxed, balance, ramp]) part.toggleAttribute('hidden', !told);
    if (!told) return;
    const name = (/** @type {number} */ stops) =>
      (stops === 0 ? 'No filter' : told.bag.filter(each => each.stops === stops).map(each => each.name).join(' or ') || format.thirdStops(stops));
    drawWindows(told.windows, name);
    fill(rampRows, ...told.ramp.changes.map(({ atMs, frame, ev, setting }) => el('tr', {},
      ...[clock(atMs), format.number(frame + 1), setting.shutterLabel, setting.isoLabel.replace('ISO ', ''), format.ev(ev)].map(text => el('td', {}, text)))));
    say(rampTold, `${told.ramp.frames} frames; the settings change ${told.ramp.changes.length - 1} times.`);
  }

  /** @param {Answer} answer @param {(stops: number) => string} name */
  function drawWindows({ windows, relax, balance: equal }, name) {
    fill(found, ...windows.map(({ filterStops, startMs, endMs, earliestMs, latestMs, settings }) => {
      const [first, , last] = settings.map(settingWords);
      const changes = last.filter(word => !first.includes(word));
      return el('li', { 'data-filter': filterStops },
        el('b', {}, span(startMs, endMs)), el('span', {}, name(filterStops)),
        el('span', {}, first.join(' · '), changes.length > 0 && ` → ${changes.join(' · ')}`),
        el('small', {}, `likely within ${span(earliestMs, latestMs)}`));
    }));
    fill(relaxed, relax && el('p', {}, el('b', {}, 'The light never fits this. '),
      `Nearest at ${clock(relax.atMs)}, ${relax.filterStops ? `through ${name(relax.filterStops)}` : 'without a filter'}: ${format.thirdStops(relax.stops)} too ${relax.bright ? 'much' : 'little'} light. Any one of these would do:`),
      relax && el('ul', {}, ...[
        relax.aperture && `${relax.bright ? 'stop down' : 'open'} to ${relax.aperture.label}`,
        relax.shutter && `take ${relax.shutter.label}`,
        relax.iso && relax.iso.label,
        relax.insteadStops !== null && (relax.insteadStops > 0 ? `a filter of ${format.thirdStops(relax.insteadStops)} instead` : 'no filter'),
      ].filter(Boolean).map(words => el('li', {}, String(words)))));
    say(balance, equal ? `Sky and lamps balance at ${clock(equal.atMs)}, likely ${span(equal.earliestMs, equal.latestMs)}.` : 'Sky and lamps never balance in this light.');
  }

  return { element, render };
}
