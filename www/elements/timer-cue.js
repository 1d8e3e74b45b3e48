// @ts-check
// A change of a running timer over the whole screen, to be read across a tripod at night.

import { el, say } from '../lib/dom.js';
import { wait } from '../lib/format.js';
import { freeMs } from '../lib/timer.js';

/** @typedef {import('../lib/timer.js').Run} Run */
/** @typedef {import('../lib/timer.js').Position} Position */
/** @typedef {ReturnType<typeof import('../lib/timer.js').cueOf>} Cue */

const CUES = { open: 'Open', close: 'Close', over: 'Close' };

/** @param {() => void} ondone called when someone has seen that all is over */
export function timerCue(ondone) {
  const word = el('p', { id: 'timer-cue-word', class: 'cue-word' });
  const told = el('p', { class: 'cue-told' });
  const done = el('button', { type: 'button', id: 'timer-done', on: { click: ondone } }, 'Done');
  const element = el('dialog', { id: 'timer-cue', class: 'cue', 'aria-labelledby': 'timer-cue-word' }, word, told, done);
  element.addEventListener('cancel', event => {
    event.preventDefault();
    if (shown === 'over') ondone();
  });
  /** @type {Cue} */
  let shown = null;

  /**
   * @param {Cue} cue
   * @param {Run | null} run
   * @param {Position | null} now
   * @param {number} atMs
   * @param {(atMs: number) => string} clock
   */
  function show(cue, run, now, atMs, clock) {
    if (cue && run && now) {
      say(word, CUES[cue]);
      say(told, cue === 'over' ? overWords(run, now, atMs, clock) : run.frames > 1 ? `frame ${now.frame} of ${run.frames}` : '');
    }
    if (cue === shown) return;
    shown = cue;
    element.close();
    element.dataset.cue = cue ?? '';
    done.hidden = cue !== 'over';
    if (cue === 'over') element.showModal();
    else if (cue) element.show();
  }
  return { element, show };
}

/** @param {Run} run @param {Position} now @param {number} atMs @param {(atMs: number) => string} clock */
function overWords(run, { fromMs }, atMs, clock) {
  const free = freeMs(run);
  const busy = free > atMs && free > fromMs && `the camera is busy till ${clock(free)}`;
  const ago = `time was up at ${clock(fromMs)}, ${wait(atMs - fromMs)} ago`;
  return [run.frames > 1 && `${run.frames} frames`, ago, busy].filter(Boolean).join(' · ');
}
