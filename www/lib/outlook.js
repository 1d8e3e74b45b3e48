// @ts-check
// What stands before the lens of the open spot through one evening or morning: asked once, put into words.

import { inFrame, zoneDay } from '../core.js';
import { valueAt } from './curve.js';
import { clock, dateIn, degrees, number } from './format.js';
import { lensInHand } from './kit.js';

/**
 * @typedef {import('./book.js').Book} Book
 * @typedef {ReturnType<typeof inFrame>} Outlook
 * @typedef {Outlook['sun']} Passing
 */

const HOUR_MS = 3_600_000;

/** Where a spot that passed its checks is. @param {Pick<import('./book.js').Open, 'spot'>} open */
export const placeOf = ({ spot: { latitudeDeg, longitudeDeg, elevationM } }) =>
  /** @type {{ latitudeDeg: number, longitudeDeg: number, elevationM: number }} */ ({ latitudeDeg, longitudeDeg, elevationM });

/** What stands around a spot: as surveyed, or flat. @param {Pick<import('./book.js').Open, 'spot' | 'skyline'>} open */
export const skylineOf = ({ spot, skyline }) => ({
  profile: skyline?.profile.length ? skyline.profile : [/** @type {[number, number]} */ ([0, spot.skylineDeg ?? 0])],
  observerHeightM: skyline?.observerHeightM ?? 0,
});

/** The date on the cards of the sky. @param {Book} book @param {number} nowMs */
export const dateOf = (book, nowMs) => book.date ?? dateIn(book.open.spot.zone, nowMs);

/** From noon into the night, or from the night to noon. @param {Book} book @param {number} nowMs @param {Book['part']} [part] */
export function halfDay(book, nowMs, part = book.part) {
  const { startMs } = zoneDay({ zone: book.open.spot.zone, date: dateOf(book, nowMs) });
  const from = startMs + (part === 'evening' ? 12 : -3) * HOUR_MS;
  return { startMs: from, endMs: from + 15 * HOUR_MS };
}

/** @param {Book} book @param {number} nowMs */
export function askOutlook(book, nowMs) {
  const { focalMm, formatMm } = lensInHand(book);
  return inFrame({
    place: placeOf(book.open), ...halfDay(book, nowMs), bearingDeg: book.open.spot.bearingDeg ?? 0, focalMm, formatMm, ...skylineOf(book.open),
  });
}

/** A clock for the open spot. @param {Book} book */
export const clockOf = book => (/** @type {number} */ atMs) => clock(atMs, book.open.spot.zone, book.settings.hours);

/** When a body goes and comes. @param {Passing} passing @param {(atMs: number) => string} at */
function comings({ atMs, hidden }, at) {
  const [start, end] = [atMs[0], atMs[atMs.length - 1]];
  const words = hidden.flatMap(({ fromMs, toMs }) => [
    fromMs > start && `gone behind ${at(fromMs)}`, toMs < end && `in sight from ${at(toMs)}`,
  ]).filter(Boolean).join(', ');
  return words || (hidden.length ? 'not in sight' : 'in sight all the time');
}

/**
 * What a body does, a line each: its comings and goings, its stays in the frame.
 * @param {string} name
 * @param {Passing} passing
 * @param {(atMs: number) => string} at
 */
export const passingWords = (name, passing, at) => [
  `${name}: ${comings(passing, at)}`,
  ...passing.stays.map(({ fromMs, toMs }) => {
    const [first, last] = [fromMs, toMs].map(moment => degrees(valueAt(passing.atMs, passing.altitudeDeg, moment), 1));
    return `${name} in the frame ${at(fromMs)} to ${at(toMs)}, from ${first} to ${last} up`;
  }),
  ...(passing.stays.length ? [] : [`${name} not in the frame`]),
];

/** Where the level frame ends. @param {Outlook} outlook */
export const frameWords = ({ top }) => {
  const [side] = top[0];
  return `The level frame reaches ${number(-side, 1)}° to either side and ${number(top[(top.length - 1) / 2][1], 1)}° up`;
};
