// @ts-check
// Frames of the log: which belong to a spot and to one of its evenings, and how two logs become one.

import { dateIn, hourIn } from './format.js';

/**
 * @typedef {import('../../target/types/duskbook.d.ts').FrameForm & { version: 1 }} Frame a record of the store
 * @typedef {Pick<import('./book.js').Open, 'id' | 'spot'>} Place
 * @typedef {{ dials: import('./desk.js').Dials, filterStops: number } & Pick<Frame, 'source'>} Setting what was dialled, and who says so
 */

/**
 * Frames made at a spot; one that is not kept goes by its name.
 * @param {Frame[]} frames
 * @param {Place} place
 */
export const ofSpot = (frames, { id, spot }) =>
  frames.filter(({ spotId, spotName }) => spotId === id && (id !== null || spotName === spot.name));

/** Up to here the night may belong to the evening before: no zone's clocks are further from the sun's midnight. */
export const LATEST_EVENING_HOUR = 4;
const NOON = 12;
const HOUR_MS = 3_600_000;
const HALF_DAY_MS = 12 * HOUR_MS;

/** Hour, date and evening's date by the clocks of a zone, whose answers are slow. @type {Record<string, [number, string, string]>} */
const said = {};

/**
 * Frames of one evening or morning, by the clocks of the spot. The dead of night belongs to both.
 * @param {Frame[]} frames
 * @param {string} zone
 * @param {string} date
 * @param {import('./book.js').Part} part
 */
export function ofHalfDay(frames, zone, date, part) {
  return frames.filter(({ atMs }) => {
    const [hour, day, evening] = said[atMs + zone] ??= [hourIn(zone, atMs), dateIn(zone, atMs), dateIn(zone, atMs - HALF_DAY_MS)];
    return part === 'morning' ? hour < NOON && day === date : (hour >= NOON || hour < LATEST_EVENING_HOUR) && evening === date;
  });
}

/**
 * The day whose evening or morning a moment belongs to, or is nearest to.
 * @param {string} zone
 * @param {number} atMs
 * @param {import('./book.js').Part} part
 */
export const dayOf = (zone, atMs, part) => dateIn(zone, atMs - (part === 'evening' ? LATEST_EVENING_HOUR * HOUR_MS : 0));

/**
 * A frame made at a spot just now; the white balance stays as it was on the frame before.
 * @param {Pick<import('./book.js').Book, 'open' | 'frames'>} book
 * @param {Setting} setting
 * @param {string} id
 * @param {number} atMs
 * @returns {Frame}
 */
export function frameAt({ open, frames }, { dials, filterStops, source }, id, atMs) {
  const { aperture, shutter, iso } = dials;
  return {
    id, version: 1, spotId: open.id, spotName: open.spot.name, atMs: Math.floor(atMs),
    aperture: aperture.exact, shutterS: shutter.exact, iso: iso.exact, filterStops, compensationStops: 0,
    focalMm: open.spot.focalMm ?? null, whiteBalance: ofSpot(frames, open).at(-1)?.whiteBalance ?? '',
    intent: open.light.intent, note: '', rating: 0, reading: false, source,
  };
}

/** A frame's fields in one order, its record's own word aside. @param {Frame} frame */
const content = frame => JSON.stringify(Object.entries(frame).filter(([key]) => key !== 'id').sort());

/**
 * What a log from elsewhere adds to this one. Nothing here is overwritten by it: what differs is handed back.
 * @param {Frame[]} here
 * @param {import('../../target/types/duskbook.d.ts').FrameForm[]} read
 * @param {() => string} newId
 */
export function merged(here, read, newId) {
  /** @type {Record<'fresh' | 'same' | 'differing', Frame[]>} */
  const sorted = { fresh: [], same: [], differing: [] };
  const known = new Map(here.map(frame => [frame.id, content(frame)]));
  const contents = new Set(known.values());
  for (const form of read) {
    /** @type {Frame} */
    const frame = { ...form, version: 1 };
    const [mine, its] = [known.get(frame.id), content(frame)];
    // A line without a word of its own is known by what it says.
    const same = mine === its || (!frame.id && contents.has(its));
    if (same) sorted.same.push(frame);
    else if (mine !== undefined) sorted.differing.push(frame);
    else sorted.fresh.push({ ...frame, id: frame.id || newId() });
    if (!same) known.set(frame.id, mine ?? its);
    contents.add(its);
  }
  return sorted;
}
