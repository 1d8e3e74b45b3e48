// @ts-check
// A running timer in large figures.

import { el, say } from '../lib/dom.js';
import { duration, stopwatch } from '../lib/format.js';
import { endMs } from '../lib/timer.js';

/** @typedef {import('../lib/timer.js').Run} Run */
/** @typedef {import('../lib/timer.js').Position} Position */

/** @param {Run} run @param {Position} now */
export function phaseWords({ frames, exposureMs }, { phase, frame }) {
  const which = frames > 1 ? `Frame ${frame} of ${frames}` : 'The shutter';
  switch (phase) {
    case 'wait': return 'Opens in';
    case 'open': return exposureMs === null ? `${which} is open: counting up` : `${which} is open`;
    case 'dark': return `After frame ${frame} of ${frames}: the camera takes a dark frame`;
    case 'gap': return `Frame ${frame + 1} of ${frames} opens in`;
    default: return frames > 1 ? `All ${frames} frames are over since` : 'Over since';
  }
}

/** What the large figures stand for: the time left, or the time since where there is no end. @param {Position} now @param {number} atMs */
export const counted = ({ fromMs, untilMs }, atMs) => (untilMs === null ? atMs - fromMs : untilMs - atMs);

export function timerFace() {
  const phase = el('p', { class: 'timer-phase' });
  const whole = el('span');
  const tenth = el('span', { class: 'timer-tenth' });
  const count = el('p', { id: 'timer-count', class: 'timer-count', role: 'timer', 'aria-live': 'off' }, whole, tenth);
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
    const last = end !== null && (run.frames > 1 ? `all closed at ${clock(end)}` : `closes at ${clock(end)}`);
    say(told, now.phase === 'over' ? '' : [open, last].filter(Boolean).join(' · '));
  }
  return { element: el('div', { class: 'timer-face' }, phase, count, told), show };
}
