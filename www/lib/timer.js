// @ts-check
// A timed run of frames as a function of the clock. Every moment is UTC epoch milliseconds, fixed at the start:
// nothing counts, so that nothing is lost while the device sleeps, the page reloads or the zone changes.

/**
 * @typedef {object} Run
 * @property {number} startMs when it was started
 * @property {number} openMs when the first shutter opens
 * @property {number | null} exposureMs how long each stays open; `null` till it is stopped by hand
 * @property {number} busyMs from opening until the camera is free: longer by the dark frame, if it takes one
 * @property {number} periodMs from one opening to the next
 * @property {number} frames
 *
 * @typedef {'wait' | 'open' | 'dark' | 'gap' | 'over'} Phase
 *
 * @typedef {object} Position
 * @property {Phase} phase
 * @property {number} frame from 1
 * @property {number} fromMs when the phase began
 * @property {number | null} untilMs when it ends; `null` for never
 */

/** Frames shorter than this follow each other too fast for a picture of each. */
const CUED_FROM_MS = 10_000;
/** How long the picture of a change inside a run stays. */
const CUE_MS = 3000;
/** Exposures from these lengths on are worth a word at their half and ten seconds before their end. */
const HALF_SAID_FROM_MS = 60_000;
const TEN_SAID_FROM_MS = 30_000;
const TEN_MS = 10_000;

/**
 * Where a run stands at a moment.
 * @param {Run} run
 * @param {number} atMs
 * @returns {Position}
 */
export function position({ startMs, openMs, exposureMs, busyMs, periodMs, frames }, atMs) {
  if (atMs < openMs) return { phase: 'wait', frame: 1, fromMs: startMs, untilMs: openMs };
  if (exposureMs === null) return { phase: 'open', frame: 1, fromMs: openMs, untilMs: null };
  const index = Math.min(Math.floor((atMs - openMs) / periodMs), frames - 1);
  const opened = openMs + index * periodMs;
  const frame = index + 1;
  const [closed, free, next] = [opened + exposureMs, opened + busyMs, opened + periodMs];
  if (atMs < closed) return { phase: 'open', frame, fromMs: opened, untilMs: closed };
  if (frame === frames) return { phase: 'over', frame, fromMs: closed, untilMs: null };
  if (atMs < free) return { phase: 'dark', frame, fromMs: closed, untilMs: free };
  return { phase: 'gap', frame, fromMs: free, untilMs: next };
}

/** When the last exposure ends, or `null`. @param {Run} run */
export const endMs = ({ openMs, exposureMs, periodMs, frames }) =>
  exposureMs === null ? null : openMs + (frames - 1) * periodMs + exposureMs;

/** When the camera is free after the last frame. @param {Run} run */
export const freeMs = ({ openMs, busyMs, periodMs, frames }) => openMs + (frames - 1) * periodMs + busyMs;

/**
 * What must be seen across the tripod at a moment: that a shutter opens or closes, for a while, and that all is
 * over, until someone has seen it.
 * @param {Run} run
 * @param {Position} now
 * @param {number} atMs
 * @returns {'open' | 'close' | 'over' | null}
 */
export function cueOf(run, { phase, frame, fromMs }, atMs) {
  if (phase === 'over') return 'over';
  const follows = frame > 1 || run.openMs > run.startMs;
  if (run.exposureMs === null || run.exposureMs < CUED_FROM_MS || atMs - fromMs >= CUE_MS) return null;
  if (phase === 'open') return follows ? 'open' : null;
  return phase === 'dark' || (phase === 'gap' && run.busyMs === run.exposureMs) ? 'close' : null;
}

/**
 * What is worth saying aloud: each phase once, and of a long exposure its half and its last ten seconds.
 * @param {Position} now
 * @param {number} atMs
 * @returns {Phase | 'half' | 'ten'}
 */
export function stageOf({ phase, fromMs, untilMs }, atMs) {
  if (phase !== 'open' || untilMs === null) return phase;
  const [length, left] = [untilMs - fromMs, untilMs - atMs];
  if (length >= TEN_SAID_FROM_MS && left <= TEN_MS) return 'ten';
  return length >= HALF_SAID_FROM_MS && left <= length / 2 ? 'half' : 'open';
}

/**
 * A run as it was kept, or `null` where the record is none.
 * @param {any} kept
 * @returns {Run | null}
 */
export function asRun(kept) {
  if (!kept || kept.exposureMs === undefined) return null;
  const { startMs, openMs, exposureMs, busyMs, periodMs, frames } = kept;
  const numbers = [startMs, openMs, busyMs, periodMs, frames, exposureMs ?? 0].every(Number.isFinite);
  return numbers && frames >= 1 && (exposureMs === null || (exposureMs > 0 && periodMs >= exposureMs && busyMs >= exposureMs))
    ? { startMs, openMs, exposureMs, busyMs, periodMs, frames }
    : null;
}
