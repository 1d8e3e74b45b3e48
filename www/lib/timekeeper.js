// @ts-check
// The one running timer of the page: kept on the device from its first moment, looked at on every beat and
// whenever the page wakes. It tells by `change` that a run started, ended or was put away, and by `beat` that
// time has passed.
//
// It is kept by the store and not in localStorage: a strict write of IndexedDB has reached the disk when it says
// so, and what browsers keep of localStorage may be seconds old when they are killed.

import { Bell } from './bell.js';
import { asRun, cueOf, position, stageOf } from './timer.js';

/**
 * @typedef {import('./timer.js').Run} Run
 * @typedef {import('./timer.js').Position} Position
 * @typedef {ReturnType<typeof stageOf>} Stage
 */

/**
 * What a beat carries.
 * @typedef {object} Look
 * @property {Run} run
 * @property {Position} now
 * @property {number} atMs
 * @property {ReturnType<typeof cueOf>} cue
 * @property {Stage | null} stage when it is another than at the beat before
 */

/**
 * What was last set: the page starts with it again. Numbers are as typed, `null` for nothing.
 * @typedef {object} Plan
 * @property {number | null} shutterS
 * @property {number | null} frames
 * @property {number | null} gapS
 * @property {number | null} fillMin a time to fill with frames
 * @property {number | null} frameMb
 * @property {number | null} batteryMin
 * @property {'down' | 'up'} way up counts till it is stopped
 * @property {string} delayS
 * @property {'off' | 'on'} noise long-exposure noise reduction
 * @property {'elapsed' | 'exposed'} of
 */

/** @type {Plan} */
const USUAL = {
  shutterS: 120, frames: 1, gapS: 1, fillMin: 60, frameMb: null, batteryMin: null,
  way: 'down', delayS: '0', noise: 'off', of: 'elapsed',
};

/** Two records, so that a plan changed in one tab cannot undo a run started in another. */
const RUN = 'timer-run';
const PLAN = 'timer-plan';

/** Between two looks: the page shows tenths. A hidden page goes on, so that it is right when it is seen again. */
const BEAT_MS = 100;
/** The end rings again and again, but not all night. */
const RING_EVERY_MS = 4000;
const RING_FOR_MS = 60_000;
const AWAKE_FOR_MS = 600_000;
/** A change that is further back was slept through, and its sound would mislead. */
const LATE_MS = 2000;

export class Timekeeper extends EventTarget {
  /** @type {import('../store.js').Store} */
  #store;
  #bell = new Bell();
  /** @type {Worker | null} */
  #beats = null;
  /** @type {ReturnType<typeof setInterval> | undefined} */
  #ownBeat;
  #rungMs = 0;
  #told = '';

  /** @type {Plan} */
  plan = USUAL;
  /** @type {Run | null} */
  run = null;

  /** @param {import('../store.js').Store} store */
  constructor(store) {
    super();
    this.#store = store;
    document.addEventListener('visibilitychange', () => this.#wake());
    window.addEventListener('pageshow', () => this.#wake());
    // After a reload the sound needs a new touch.
    for (const touch of ['pointerup', 'keydown']) {
      document.addEventListener(touch, () => this.run && this.#bell.unlock());
    }
    store.onChange(() => this.recall());
  }

  /** What helps the timer here. */
  get help() {
    return { awake: this.#bell.awake, audible: this.#bell.audible, kept: this.#store.trouble === null };
  }

  /** Reads what the device kept. */
  recall() {
    this.plan = { ...this.plan, ...this.#store.setting(PLAN) };
    const run = asRun(this.#store.setting(RUN));
    if (JSON.stringify(run) !== JSON.stringify(this.run)) this.#take(run);
  }

  /** @param {Partial<Plan>} plan */
  intend(plan) {
    this.plan = { ...this.plan, ...plan };
    this.#store.changeSetting(PLAN, plan).catch(() => undefined);
  }

  /** Call it from the touch that starts: only then may the page sound. @param {Run} run */
  start(run) {
    this.#bell.unlock();
    this.#take(run);
    this.#keep();
  }

  /** Ends the run, or puts away one that is over. */
  stop() {
    this.#take(null);
    this.#keep();
  }

  /** @param {Run | null} run */
  #take(run) {
    this.run = run;
    this.#told = '';
    this.#rungMs = 0;
    clearInterval(this.#ownBeat);
    // For when the worker is held up, or not to be had; a hidden page lives by the worker alone.
    if (run) this.#ownBeat = setInterval(() => this.#look(), BEAT_MS);
    else {
      this.#bell.rest();
      this.#beats?.terminate();
      this.#beats = null;
    }
    this.dispatchEvent(new Event('change'));
    if (run) this.#bell.stayAwake();
    this.#look();
  }

  #keep() {
    // Where nothing can be kept the store has said so, and the page says it beside the count.
    this.#store.keepSetting(RUN, this.run).catch(() => undefined);
  }

  #wake() {
    if (document.hidden || !this.run) return;
    this.#bell.stayAwake();
    this.#look();
  }

  #look() {
    const { run } = this;
    if (!run) return;
    const atMs = Date.now();
    const now = position(run, atMs);
    const late = atMs - now.fromMs;
    if (now.phase === 'over' && late > AWAKE_FOR_MS) this.#bell.rest();
    const stage = stageOf(now, atMs);
    const told = `${stage} ${now.frame}`;
    const moved = told !== this.#told;
    if (this.#mustRing(stage, atMs, late, moved)) {
      this.#rungMs = atMs;
      this.#bell.ring(stage === 'over' || stage === 'open' ? stage : 'close');
    }
    this.#told = told;
    const cue = cueOf(run, now, atMs);
    this.dispatchEvent(new CustomEvent('beat', { detail: { run, now, atMs, cue, stage: moved ? stage : null } }));
    this.#next(now, atMs);
  }

  /**
   * @param {Stage} stage
   * @param {number} atMs
   * @param {number} late since the phase began
   * @param {boolean} moved
   */
  #mustRing(stage, atMs, late, moved) {
    if (stage === 'over') return atMs - this.#rungMs >= RING_EVERY_MS && (moved || late < RING_FOR_MS);
    const closes = stage === 'dark' || (stage === 'gap' && this.run?.busyMs === this.run?.exposureMs);
    return moved && late < LATE_MS && (stage === 'open' || closes);
  }

  /**
   * Asks for the next look: at the next change, and when what is shown turns.
   * @param {Position} now
   * @param {number} atMs
   */
  #next({ fromMs, untilMs }, atMs) {
    this.#beats ??= this.#worker();
    // When the tenth shown turns.
    const sinceTurn = (((atMs - (untilMs ?? fromMs)) % BEAT_MS) + BEAT_MS) % BEAT_MS;
    this.#beats.postMessage(Math.min(BEAT_MS - sinceTurn, (untilMs ?? Infinity) - atMs));
  }

  #worker() {
    const worker = new Worker(new URL('./beat.js', import.meta.url));
    worker.addEventListener('message', () => this.#look());
    return worker;
  }
}
