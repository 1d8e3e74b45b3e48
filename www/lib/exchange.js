// @ts-check
// Files of records: what the device has as a backup, and whatever was given as one, GeoJSON and GPX too. Nothing
// here believes a file: its records go to the core, which says of each what taking it in would be.

import { planBackup, readSpotLink } from '../core.js';
import { USUAL_LIGHT, blank, newId } from './book.js';
import { dateIn, zoneHere } from './format.js';
import { reasonOf } from './problems.js';

/**
 * @typedef {Record<string, Record<string, any>>} Stores records by store and key
 * @typedef {ReturnType<typeof planBackup>[number]['verdict']} Verdict
 * @typedef {object} Planned a record of a file, and what becomes of it
 * @property {string} store
 * @property {string} key
 * @property {any} record as it would be kept
 * @property {any} mine the device's own of that key
 * @property {Verdict} verdict
 * @property {string} reason why it is refused
 */

export const JSON_TYPE = 'application/json';
const FORMAT = 'duskbook-backup';
const VERSION = 1;
/** A log of a lifetime has fewer. */
const MOST = 100_000;
/** Our elements in GPX. */
const OURS = 'urn:duskbook:spot:1';
/** Of a moment, not for keeping. */
const PASSING = ['timer-run'];

/** @param {any} value */
const isObject = value => typeof value === 'object' && value !== null && !Array.isArray(value);

/** @param {Stores} stores */
const lasting = stores => Object.fromEntries(Object.entries(stores).map(([name, records]) =>
  [name, Object.fromEntries(Object.entries(records).filter(([key]) => name !== 'settings' || !PASSING.includes(key)))]));

/** @param {any} record @param {object | null} changes */
const laid = (record, changes) => (isObject(record) ? { ...record, ...changes } : record);

/** What the records of a store are called, one and many. @type {Record<string, [string, string]>} */
export const STORES = { spots: ['spot', 'spots'], filters: ['filter', 'filters'], frames: ['frame', 'frames'], settings: ['setting', 'settings'] };
/** @type {Record<string, string>} */
const SETTINGS = { choices: 'How the page looks and counts', desk: 'The exposure desk', kit: 'The lens and formats', open: 'The spot on the table', 'timer-plan': 'What the timer was set to' };

/** What a record is called. @param {{ store: string, key: string, record?: any }} entry */
export function titleOf({ store, key, record }) {
  const names = [store === 'settings' && SETTINGS[key], record?.spot?.name, record?.spotName, record?.glass?.text];
  return (names.find(name => name && typeof name === 'string') || `${STORES[store]?.[0] ?? store} ${key}`).slice(0, 80);
}

/**
 * What each record of the device is to this version: one at a time when together they cannot even be asked about.
 * @type {import('../store.js').Judge}
 */
export function judged(entries) {
  /** @type {{ changes: object | null, problem: { message: string } | null }[]} */
  let verdicts;
  try {
    verdicts = planBackup({ format: FORMAT, version: VERSION, entries: entries.map(({ store, key, record }) => ({ store, key, record, mine: null })) });
  } catch (error) {
    if (entries.length > 1) return entries.flatMap(entry => judged([entry]));
    verdicts = entries.map(() => ({ changes: null, problem: { message: reasonOf(error) } }));
  }
  return entries.map((entry, i) => ({
    record: laid(entry.record, verdicts[i].changes),
    title: titleOf(entry),
    reason: PASSING.includes(entry.key) ? '' : verdicts[i].problem?.message ?? '',
  }));
}

/** The text of a backup. @param {Stores} stores */
const backupText = stores =>
  JSON.stringify({ format: FORMAT, version: VERSION, madeAtMs: Date.now(), stores: lasting(stores) }, null, 1);

/** Of this device. */
export const nameNow = (/** @type {string} */ what) => `duskbook-${what}${dateIn(zoneHere(), Date.now())}`;

/** Name, type and text of a backup. @param {Stores} stores @returns {[string, string, string]} */
export const backupFile = stores => [`${nameNow('')}.json`, JSON_TYPE, backupText(stores)];

/**
 * What taking a file in would be.
 * @param {string} text
 * @param {Stores} mine
 * @returns {{ plan: Planned[], passed: number }} `passed` counts what is in the file and no spot
 * @throws {Error} a file that is none of ours or is cut short, with the reason
 */
export function planFile(text, mine) {
  const { file, passed } = readFile(text, mine.spots ?? {});
  const stores = isObject(file?.stores) ? /** @type {Record<string, unknown>} */ (file.stores) : null;
  const entries = stores && Object.entries(stores).flatMap(([store, records]) =>
    (isObject(records) ? Object.entries(/** @type {Record<string, unknown>} */ (records)) : [/** @type {[string, unknown]} */ (['', records])]).map(([key, record]) =>
      ({ store, key, record, mine: (Object.hasOwn(mine, store) && Object.hasOwn(mine[store], key) && mine[store][key]) || null })));
  if (entries && entries.length > MOST) throw new Error('it holds too many records');
  const verdicts = planBackup({ format: file?.format, version: file?.version, entries });
  const plan = (entries ?? []).map((entry, i) => ({
    ...entry,
    record: laid(entry.record, verdicts[i].changes),
    verdict: verdicts[i].verdict,
    reason: verdicts[i].problem?.message ?? '',
  }));
  return { plan, passed };
}

/**
 * @param {string} text
 * @param {Record<string, any>} kept
 * @returns {{ file: any, passed: number }}
 */
function readFile(text, kept) {
  if (text.trimStart()[0] === '<') return spotsOf(readGpx(text), kept);
  let found;
  try {
    found = JSON.parse(text);
  } catch (error) {
    throw new Error(`it is damaged or cut short (${reasonOf(error)})`);
  }
  const isGeoJson = found?.type === 'FeatureCollection' || found?.type === 'Feature';
  return isGeoJson ? spotsOf(readGeoJson(found), kept) : { file: found, passed: 0 };
}

/**
 * @typedef {object} Point
 * @property {string | null} id
 * @property {Record<string, any>} spot what the file says of it
 * @property {Record<string, any>} shot
 * @property {any} unknown
 */

/** @param {any} found @returns {(Point | null)[]} */
function readGeoJson(found) {
  const features = Array.isArray(found.features) ? found.features : [found];
  return features.map((/** @type {any} */ feature) => {
    const { type, coordinates } = feature?.geometry ?? {};
    if (type !== 'Point' || !Array.isArray(coordinates)) return null;
    const { unknown, ...said } = feature.properties ?? {};
    const form = blank();
    const own = (/** @type {object} */ fields) => Object.fromEntries(Object.entries(said).filter(([key]) => Object.hasOwn(fields, key)));
    const height = coordinates.length > 2 ? { elevationM: coordinates[2] } : {};
    const spot = { ...height, ...own(form.spot), longitudeDeg: coordinates[0], latitudeDeg: coordinates[1] };
    return { id: typeof feature.id === 'string' ? feature.id : null, spot, shot: own(form.shot), unknown };
  });
}

/** @param {string} text @returns {Point[]} */
function readGpx(text) {
  if (/<!DOCTYPE/i.test(text)) throw new Error('a document type has no place in GPX');
  const file = new DOMParser().parseFromString(text, 'application/xml');
  if (file.querySelector('parsererror')) throw new Error('the XML is damaged or cut short');
  if (file.documentElement?.localName !== 'gpx') throw new Error('this XML is no GPX');
  const number = (/** @type {string | null | undefined} */ written) => (written?.trim() ? Number(written) : null);
  return [...file.getElementsByTagNameNS('*', 'wpt')].map(wpt => {
    const said = (/** @type {string} */ tag) => [...wpt.children].find(child => child.localName === tag)?.textContent?.trim();
    const ours = (/** @type {string} */ tag) => wpt.getElementsByTagNameNS(OURS, tag)[0]?.textContent;
    const link = ours('spot') ? readSpotLink({ fragment: String(ours('spot')) }) : null;
    const height = number(said('ele'));
    const notes = said('desc') ?? said('cmt');
    const spot = {
      ...link?.spot, ...(height === null ? {} : { elevationM: height }), ...(notes === undefined || link ? {} : { notes }),
      ...(link ? {} : { name: said('name') ?? '' }),
      latitudeDeg: number(wpt.getAttribute('lat')), longitudeDeg: number(wpt.getAttribute('lon')),
    };
    return { id: ours('id') ?? null, spot, shot: link?.shot ?? {}, unknown: link?.unknown };
  });
}

/**
 * Points as the spots of a backup: each over the record that it came from or that bears its name at its place, or else
 * over a blank one.
 * @param {(Point | null)[]} points
 * @param {Record<string, any>} kept
 */
function spotsOf(points, kept) {
  /** Without inherited keys: a point's own word may be any. @type {Record<string, any>} */
  const spots = Object.create(null);
  const placed = points.flatMap(point => (point && point.spot.latitudeDeg != null && point.spot.longitudeDeg != null ? [point] : []));
  for (const point of placed) {
    const known = (point.id && Object.hasOwn(kept, point.id) && kept[point.id]) || Object.values(kept).find(({ spot }) =>
      ['name', 'latitudeDeg', 'longitudeDeg'].every(key => spot?.[key] === point.spot[key]));
    const { spot, shot, unknown, light: { cloud: _tonight, ...light } } = { ...blank(), light: USUAL_LIGHT };
    const under = known ?? { id: point.id ?? newId(), version: 2, keptMs: null, spot, shot, unknown, light };
    spots[under.id] = {
      ...under, spot: { ...under.spot, ...point.spot }, shot: { ...under.shot, ...point.shot }, unknown: point.unknown ?? under.unknown,
    };
  }
  return { file: { format: FORMAT, version: VERSION, stores: { spots } }, passed: points.length - placed.length };
}
