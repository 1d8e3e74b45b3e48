// @ts-check
// The open page of the field book: which spot, which day, which half of the day, under which sky; and the
// settings. Screens read it and change it through its methods; it tells them by a `change` event.

import { usualDesk } from './desk.js';
import { usualDates, usualDecimals, usualHours, usualLengths, writeFor, written, zoneHere } from './format.js';
import { ofSpot } from './frames.js';
import { usualKit } from './kit.js';

/**
 * @typedef {import('../../target/types/duskbook.d.ts').SpotForm} Spot
 * @typedef {import('../../target/types/duskbook.d.ts').ShotForm} Shot
 * @typedef {[string, string][]} Unknown keys of a link that this version does not know, kept as they are
 * @typedef {Pick<import('../../target/types/duskbook.d.ts').RunSheetQuestion, 'cloud' | 'scene' | 'intent'>} Light
 * @typedef {import('../../target/types/duskbook.d.ts').RunSheetQuestion['part']} Part
 * @typedef {'system' | 'day' | 'dark' | 'night'} Theme
 * @typedef {{ profile: [azimuthDeg: number, altitudeDeg: number][], observerHeightM: number }} Surveyed a skyline, as it was sighted
 *
 * @typedef {object} Open the spot on the table, kept or not
 * @property {string | null} id of its record, when it has one
 * @property {Spot} spot
 * @property {Shot} shot
 * @property {Unknown} unknown
 * @property {Light} light
 * @property {Surveyed} [skyline]
 * @property {boolean} edited differs from its record
 * @property {boolean} example shown before anything of the reader's own
 * @property {import('../core.js').Problem[]} [problems] what the address it came from could not mean
 *
 * @typedef {object} Kept a record of the store
 * @property {string} id
 * @property {1 | 2} version
 * @property {number | null} [keptMs] when; the store says it
 * @property {Spot} spot
 * @property {Shot} shot
 * @property {Unknown} unknown
 * @property {Pick<Light, 'scene' | 'intent'>} light
 * @property {Surveyed} [skyline]
 * @property {Taught} [lesson] what its light taught
 *
 * @typedef {import('./lesson.js').Taught} Taught
 *
 * @typedef {import('./frames.js').Frame} Frame
 *
 * @typedef {object} Settings
 * @property {Theme} theme
 * @property {import('./format.js').Lengths} lengths
 * @property {import('./format.js').Hours} hours
 * @property {import('./format.js').Decimals} decimals
 * @property {import('./format.js').Dates} dates
 * @property {[number, number]} goldenDeg
 * @property {[number, number]} blueDeg
 * @property {string | null} homeId the spot to open first
 */

/** @returns {Settings} */
export const usualSettings = () => ({
  theme: 'system',
  lengths: usualLengths(),
  hours: usualHours(),
  decimals: usualDecimals(),
  dates: usualDates(),
  goldenDeg: [6, -4],
  blueDeg: [-4, -6],
  homeId: null,
});

/** @type {Light} */
export const USUAL_LIGHT = { cloud: 'clear', scene: 'street', intent: 'frame' };

/** An invented quay in open water: what a first visit shows. @type {Open} */
export const EXAMPLE = {
  id: null,
  spot: {
    name: 'Gannet Steps', latitudeDeg: 49.82, longitudeDeg: -5.63, elevationM: 6, zone: 'Europe/London',
    bearingDeg: 248, skylineDeg: 1.5, format: '36x24', focalMm: 28, walkMin: 15, setUpMin: 20,
    notes: 'Invented, to show what an evening looks like.',
  },
  shot: {
    apertureMin: 2.8, apertureMax: 11, isoMin: 100, isoMax: 3200, shutterWantedS: null, filterStops: 0,
  },
  unknown: [],
  light: USUAL_LIGHT,
  edited: false,
  example: true,
};

/** A blank to fill in. @returns {Open} */
export const blank = () => ({
  id: null,
  spot: {
    ...EXAMPLE.spot, name: '', latitudeDeg: null, longitudeDeg: null, elevationM: 0,
    zone: zoneHere(),
    bearingDeg: null, skylineDeg: 0, walkMin: 10, notes: '',
  },
  shot: { ...EXAMPLE.shot },
  unknown: [],
  light: USUAL_LIGHT,
  edited: false,
  example: false,
});

/**
 * What was set, over what is usual; a file may say nothing where this page needs something.
 * @template T
 * @param {T} usual
 * @param {T} now where nothing can be read
 * @param {any} set
 * @returns {T}
 */
const over = (usual, now, set) => (set ? { ...usual, ...Object.fromEntries(Object.entries(set).filter(([, value]) => value !== null)) } : now);

export class Book extends EventTarget {
  /** @type {import('../store.js').Store} */
  #store;
  /** Another tab's change was told last: that tab keeps what it teaches, or the two would contradict each other for ever. */
  #fromOutside = false;

  /** @type {Open} */
  open = EXAMPLE;
  /** @type {Settings} */
  settings = usualSettings();
  /** @type {Kept[]} */
  kept = [];
  /** @type {import('./desk.js').Desk} */
  desk = usualDesk();
  /** @type {import('./kit.js').Kit} */
  kit = usualKit();
  /** The reader's own filters. @type {import('./desk.js').OwnFilter[]} */
  filters = [];
  /** The log, oldest first. @type {Frame[]} */
  frames = [];
  /** The chosen date, or `null` to follow the calendar. @type {string | null} */
  date = null;
  /** @type {Part} */
  part = 'evening';
  /** A spot for the form to take up: one whose values cannot all be right. @type {Open | null} */
  offered = null;
  /** Cards with work that is not kept; a reload would lose it. @type {Set<string>} */
  unkept = new Set();
  /** Photographs that the system handed to the app, for their card. @type {File[]} */
  handed = [];
  /** Whether the browser has promised not to clear what is kept, once it has said. @type {boolean | undefined} */
  lasting;

  /** @param {import('../store.js').Store} store */
  constructor(store) {
    super();
    this.#store = store;
  }

  /** Why nothing stays on this device, or `null`. */
  get trouble() {
    return this.#store.trouble;
  }

  /** Whether the browser threw away what was kept before. */
  get gone() {
    return this.#store.gone;
  }

  /** How many changes wait to be kept. */
  get waiting() {
    return this.#store.waiting;
  }

  /** What lies in the store and cannot be read; it is left as it is. */
  get refused() {
    return this.#store.refused;
  }

  /** Reads what the device kept. */
  recall() {
    const reloaded = sameSitting();
    this.#readSettings(reloaded);
    this.#readRecords();
    this.#readOpen(reloaded);
    this.#store.onChange(first => {
      this.#readSettings(first && reloaded);
      this.#readRecords();
      if (first && this.open.example) this.#readOpen(true);
      this.#told(true);
    });
    navigator.storage?.persisted?.().then(lasting => { this.lasting = lasting; }, () => undefined);
  }

  /** @param {boolean} whole also the reading and the lens: those of another evening or tab are no start for this one */
  #readSettings(whole) {
    const { desk: { metered, from, sinceMs, dials, compensationStops }, kit: { lens } } = this;
    const set = (/** @type {string} */ key) => this.#store.setting(key);
    this.settings = over(usualSettings(), this.settings, set('choices'));
    writeFor(this.settings);
    this.desk = over(usualDesk(), this.desk, set('desk'));
    this.kit = over(usualKit(), this.kit, set('kit'));
    if (whole) return;
    Object.assign(this.desk, { metered, from, sinceMs, dials, compensationStops });
    this.kit.lens = lens;
  }

  #readRecords() {
    this.kept = this.#store.spots();
    this.filters = this.#store.filters();
    this.frames = this.#store.frames();
  }

  /** A reload shows what was open; a fresh start shows the home spot, unless edits wait to be kept. @param {boolean} reloaded */
  #readOpen(reloaded) {
    const last = this.#store.setting('open');
    const home = this.kept.find(kept => kept.id === this.settings.homeId);
    if (last && (last.edited || !home || reloaded)) this.open = last;
    else if (home) this.open = asOpen(home);
  }

  /** Tries again to keep what waits. @param {boolean} [whole] also into a store that was emptied */
  retry(whole) {
    return this.#store.retry([], whole);
  }

  /** Forgets what cannot be read. */
  dropRefused() {
    return this.#store.dropRefused();
  }

  /** How long what is put down here lasts when that is not for good, or `null`. */
  get lasts() {
    return this.trouble ? `until this page closes: not kept on this device (${this.trouble})` : null;
  }

  /** @param {Open} open */
  show(open) {
    this.open = open;
    this.#rememberOpen();
    this.#told();
  }

  /** Puts a spot into the form only: the table keeps the one that makes sense. @param {Open} open */
  offer(open) {
    this.offered = open;
    this.#told();
  }

  /** @param {File[]} photographs */
  hand(photographs) {
    this.handed.push(...photographs);
    this.#told();
  }

  /** Why a setting cannot be, in words beside its field, or nothing. @param {string} key @param {object} set */
  wrong(key, set) {
    return written(this.#store.wrong(key, set).replace(/^\S+: /, ''));
  }

  /** @param {Partial<Light>} change @returns {string} why not, or nothing */
  setLight(change) {
    const light = { ...this.open.light, ...change };
    const wrong = this.wrong('open', { ...EXAMPLE, light });
    if (!wrong) this.show({ ...this.open, light });
    return wrong;
  }

  /**
   * What stands around the open spot; written at once when nothing else of the spot waits to be kept.
   * @param {Surveyed} skyline
   * @returns {Promise<boolean>} whether it is safely written
   */
  async setSkyline(skyline) {
    const kept = !this.open.edited && this.kept.find(({ id }) => id === this.open.id);
    const written = kept && { ...kept, skyline };
    // Known at once, so that a quick second change starts from this one.
    if (written) this.kept = this.kept.map(each => (each === kept ? written : each));
    this.show({ ...this.open, skyline, example: false, edited: !written });
    if (!written) return false;
    await this.#store.keepSpot(written);
    return !this.trouble;
  }

  /** @param {{ date?: string | null, part?: Part }} when */
  turnTo(when) {
    Object.assign(this, when);
    this.#told();
  }

  /** @param {Partial<Settings>} settings */
  async choose(settings) {
    this.settings = { ...this.settings, ...settings };
    this.#told();
    await this.#store.changeSetting('choices', settings);
  }

  /**
   * Keeps a spot; resolves once it is safely written.
   * @param {Open} open
   * @returns {Promise<Open>} the spot as it then lies open
   */
  async keep(open) {
    // One that cannot be read here is not written over.
    const id = open.id && !this.refused.some(({ key }) => key === open.id) ? open.id : newId();
    const { cloud: _tonight, ...light } = open.light;
    await this.#store.keepSpot({
      id, version: 1, spot: open.spot, shot: open.shot, unknown: open.unknown, light, skyline: open.skyline, lesson: taughtAt(this.kept, open),
    });
    this.kept = this.#store.spots();
    // Frames that were made here before the spot was worth keeping.
    const own = open.id ? [] : ofSpot(this.frames, open).map(frame => ({ ...frame, spotId: id }));
    if (own.length) await this.keepFrames(own);
    const safe = { ...open, id, edited: false, example: false };
    this.show(safe);
    // Asked after a spot is worth keeping, and never waited for: some browsers put a question to the reader.
    navigator.storage?.persist?.().then(lasting => {
      this.lasting = lasting;
      this.#told();
    }, () => undefined);
    return safe;
  }

  /** @param {string} id */
  async forget(id) {
    await this.#store.forgetSpot(id);
    this.kept = this.#store.spots();
    if (this.settings.homeId === id) await this.choose({ homeId: null });
    if (this.open.id === id) this.open = { ...this.open, id: null, edited: true };
    this.#told();
  }

  /** Every record of the device, by store and key. */
  everything() {
    return this.#store.everything();
  }

  /**
   * Takes in records that passed their checks; resolves once all of them are safely written.
   * @param {{ store: string, key: string, record: any }[]} entries
   */
  async takeIn(entries) {
    await this.#store.putAll(entries);
    this.#readSettings(true);
    if (entries.some(({ store, key }) => store === 'settings' && key === 'open')) this.open = this.#store.setting('open');
    this.#told();
  }

  /** @param {Partial<import('./desk.js').Desk>} change */
  setDesk(change) {
    this.desk = { ...this.desk, ...change };
    // Best effort, as below.
    this.#store.changeSetting('desk', change).catch(() => undefined);
    this.#told();
  }

  /** @param {Partial<import('./kit.js').Kit>} change */
  setKit(change) {
    this.kit = { ...this.kit, ...change };
    // Best effort, as below.
    this.#store.changeSetting('kit', change).catch(() => undefined);
    this.#told();
  }

  /**
   * Puts a filter into the bag; resolves once it is safely written.
   * @param {import('./desk.js').Glass} glass
   */
  async keepFilter(glass) {
    await this.#store.keepFilter({ id: newId(), version: 1, sinceMs: Date.now(), glass });
    this.filters = this.#store.filters();
    this.#told();
  }

  /** @param {string} id */
  async forgetFilter(id) {
    await this.#store.forgetFilter(id);
    this.filters = this.#store.filters();
    this.setDesk({ onLens: this.desk.onLens.filter(each => each !== id) });
  }

  /**
   * Puts a frame into the log; resolves once it is safely written.
   * @param {Frame} frame
   */
  keepFrame(frame) {
    return this.keepFrames([frame]);
  }

  /**
   * The same for several, all or none.
   * @param {Frame[]} frames
   */
  async keepFrames(frames) {
    if (frames.length) await this.#store.keepFrames(frames);
    this.frames = this.#store.frames();
    this.#told();
  }

  /** @param {string} id */
  async forgetFrame(id) {
    await this.#store.forgetFrame(id);
    this.frames = this.#store.frames();
    this.#told();
  }

  /**
   * Keeps what the light of the open spot taught by now, if the spot is kept itself.
   * @param {Taught | undefined} lesson
   */
  async teach(lesson) {
    const kept = sameView(this.kept, this.open);
    if (this.#fromOutside || !kept || JSON.stringify(lesson) === JSON.stringify(kept.lesson)) return;
    await this.#store.keepSpot({ ...kept, lesson });
    this.kept = this.#store.spots();
  }

  #rememberOpen() {
    // Best effort: losing which spot was open loses no work.
    if (!this.open.example) this.#store.keepSetting('open', this.open).catch(() => undefined);
  }

  #told(outside = false) {
    this.#fromOutside = outside;
    writeFor(this.settings);
    this.dispatchEvent(new Event('change'));
  }
}

/**
 * @param {Kept} kept
 * @returns {Open}
 */
export function asOpen(kept) {
  return {
    id: kept.id,
    spot: kept.spot,
    shot: kept.shot,
    unknown: kept.unknown,
    light: { ...USUAL_LIGHT, ...kept.light },
    skyline: kept.skyline,
    edited: false,
    example: false,
  };
}

/**
 * The record of a spot, while it is still of the same place and view: what it taught is of no other.
 * @param {Kept[]} kept
 * @param {Open} open
 */
const sameView = (kept, { id, spot }) => kept.find(each =>
  each.id === id && /** @type {const} */ (['latitudeDeg', 'longitudeDeg', 'bearingDeg']).every(key => each.spot[key] === spot[key]));

/** @param {Kept[]} kept @param {Open} open */
export const taughtAt = (kept, open) => sameView(kept, open)?.lesson;

/** Whether this tab has shown the page before: a reload, not a fresh start. */
function sameSitting() {
  try {
    const before = sessionStorage.getItem('duskbook-open') !== null;
    sessionStorage.setItem('duskbook-open', '');
    return before;
  } catch {
    return false;
  }
}

/** `randomUUID` exists only on secure origins; a phone may be testing over plain http. */
export function newId() {
  return crypto.randomUUID?.() ?? `${Date.now().toString(36)}-${Math.random().toString(36).slice(2)}`;
}
