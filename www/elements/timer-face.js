// @ts-check
// A running timer in large figures, and its changes over the whole screen, to be read across a tripod at night.

import { el, say } from '../lib/dom.js';
import { duration, stopwatch } from '../lib/format.js';
import { endMs } from '../lib/timer.js';

/** @typedef {import('../lib/timer.js').Run} Run */
/** @typedef {import('../lib/timer.js').Position} Position */
/** @typedef {ReturnType<typeof import('../lib/timer.js').cueOf>} Cue */

/** @param {Run} run @param {Position} now */
export function phaseWords({ frames }, { phase, frame }) {
  const one = frames > 1 ? `Frame ${frame} of ${frames}` : 'The shutter';
  return {
    wait: 'Opens in',
    open: `${one} is open`,
    dark: `${one} is closed: dark frame`,
    gap: `${one} is closed: the next opens in`,
    over: 'Time is up since',
  }[phase];
}

/**
 * What the large figures stand for: the time left, or the time since where there is no end.
 * @param {Position} now
 * @param {number} atMs
 */
export const counted = ({ fromMs, untilMs }, atMs) => (untilMs === null ? atMs - fromMs : untilMs - atMs);

export function timerFace() {
  const phase = el('p', { class: 'timer-phase' });
  const whole = el('span');
  const tenth = el('span', { class: 'timer-tenth' });
  const count = el('p', { id: 'timer-count', class: 'timer-count', role: 'timer' }, whole, tenth);
  const told = el('p', { class: 'timer-told' });
  /**
   * @param {Run} run
   * @param {Position} now
   * @param {number} atMs
   * @param {(atMs: number) => string} clock
   */
  function show(run, now, atMs, clock) {
    say(phase, phaseWords(run, now));
    const figures = stopwatch(counted(now, atMs));
    say(whole, figures.slice(0, -2));
    say(tenth, figures.slice(-2));
    const end = endMs(run);
    const open = now.phase === 'open' && run.exposureMs !== null
      && `${stopwatch(atMs - now.fromMs).slice(0, -2)} of ${duration(run.exposureMs / 1000)}`;
    say(told, [open, end !== null && `${run.frames > 1 ? 'the last ' : ''}closes at ${clock(end)}`].filter(Boolean).join(' · '));
  }
  return { element: el('div', { class: 'timer-face' }, phase, count, told), show };
}

/** @param {() => void} ondone called when someone has seen that all is over */
export function timerCue(ondone) {
  const word = el('p', { id: 'timer-cue-word', class: 'cue-word' });
  const told = el('p', { class: 'cue-told' });
  const done = el('button', { type: 'button', id: 'timer-done', on: { click: ondone } }, 'Done');
  const cancel = (/** @type {Event} */ event) => {
    event.preventDefault();
    ondone();
  };
  const element = el('dialog',
    { id: 'timer-cue', class: 'cue', 'aria-labelledby': 'timer-cue-word', on: { cancel } }, word, told, done);
  /** @type {Cue} */
  let shown = null;
  /** @param {Cue} cue @param {string} words */
  function show(cue, words) {
    say(told, words);
    if (cue === shown) return;
    shown = cue;
    element.close();
    if (!cue) return;
    say(word, cue === 'open' ? 'Open' : 'Close');
    done.hidden = cue !== 'over';
    // Only the end waits for an answer; the other changes go by themselves.
    if (cue === 'over') element.showModal();
    else element.show();
  }
  return { element, show };
}
