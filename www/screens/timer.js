// @ts-check
// The long-exposure timer: a time or a run of frames set with a thumb, counted by the clock, and whether it ends
// before the light does.

import { framesFor, refusal, sequence } from '../core.js';
import { exposureCards } from '../elements/exposure-cards.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { stepper } from '../elements/stepper.js';
import { counted, phaseWords, timerCue, timerFace } from '../elements/timer-face.js';
import { announce } from '../lib/announce.js';
import { el, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { fieldOf, problemWords } from '../lib/problems.js';
import { clockOf } from '../lib/outlook.js';
import { readRoute } from '../lib/route.js';
import { freeMs } from '../lib/timer.js';
import { lastLight } from '../lib/tonight.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/timekeeper.js').Timekeeper} Timekeeper */
/** @typedef {import('../lib/timekeeper.js').Plan} Plan */
/** @typedef {import('../lib/timekeeper.js').Look} Look */
/** @typedef {(atMs: number) => string} Clock */

export const TIMER = 'exposure/timer';

/** One tap: doublings, rounded as photographers say them. */
const ONE_TAP_S = [30, 60, 120, 240, 480, 900, 1800];
/** Thirds of a stop as shutter dials mark them, and on in the same way, rounded to be said. */
const TIMES_S = [
  1, 1.3, 1.6, 2, 2.5, 3.2, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 240, 300, 400,
  480, 600, 720, 900, 1200, 1500, 1800, 2400, 3000, 3600, 4800, 6000, 7200,
];
const COUNTS = [1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 300, 480];
/** A stop by mistake would lose a frame: a second tap within this counts. */
const SURE_MS = 3000;

const SLEEP_WORDS = 'A page cannot ring while the device sleeps or the browser is put away: keep it in front, on power. What passed in sleep shows on waking.';

/**
 * @param {Book} book
 * @param {Timekeeper} timekeeper
 */
export function timer(book, timekeeper) {
  const number = (/** @type {string} */ name, /** @type {string} */ label, steps = COUNTS) => stepper({
    id: `timer-${name}`, label, steps, read: format.readNumber, write: format.typed, onchange: changed,
  });
  /** @template {string} Code @param {string} name @param {string} label @param {[Code, string][]} choices */
  const oneOf = (name, label, choices) =>
    choice({ name: `timer-${name}`, label, choices, value: choices[0][0], onchange: changed });
  const fields = {
    shutterS: stepper({
      id: 'timer-shutterS', label: 'Time of each frame, in seconds or as 4:00', steps: TIMES_S,
      read: format.readDuration, write: format.duration, onchange: changed,
    }),
    frames: number('frames', 'Frames'),
    gapS: number('gapS', 'Gap between frames, writing the file included, s', [0, 0.5, ...COUNTS]),
    fillMin: number('fillMin', 'Time to fill, min'),
    frameMb: number('frameMb', 'One frame of yours, MB'),
    batteryMin: number('batteryMin', 'One battery of yours, min'),
  };
  const controls = {
    ...fields,
    way: oneOf('way', 'Count', [['down', 'Down'], ['up', 'Up, no end']]),
    delayS: oneOf('delayS', 'Start', [['0', 'At once'], ['2', 'In 2 s'], ['10', 'In 10 s']]),
    noise: oneOf('noise', 'Noise reduction: closed for as long again', [['off', 'Off'], ['on', 'On']]),
    of: oneOf('of', 'Fill it', [['elapsed', 'First to last'], ['exposed', 'Shutter open']]),
  };
  const asked = (/** @type {{ element: HTMLElement }} */ { element }) =>
    el('div', { class: 'field' }, el('p', { 'aria-hidden': 'true' }, element.getAttribute('aria-label')), element);

  const taps = el('div', { class: 'taps' }, ...ONE_TAP_S.map(seconds => el('button', {
    type: 'button', class: 'quiet', on: { click: () => take({ shutterS: seconds }) },
  }, format.wait(seconds * 1000))));
  const told = el('p', { id: 'timer-told' });
  const light = el('p', { id: 'timer-light' });
  const filled = el('p', { id: 'timer-filled' });
  const use = el('button', {
    type: 'button', class: 'quiet', id: 'timer-use', on: { click: () => take({ frames: Number(use.value) }) },
  });
  const start = el('button', { type: 'button', id: 'timer-start', class: 'timer-act', on: { click: begin } }, 'Start');
  const timed = el('div', { class: 'group' }, fields.shutterS.element, taps);
  const run = el('details', { class: 'more' }, el('summary', {}, 'A run of frames'),
    el('div', { class: 'group' }, fields.frames.element, fields.gapS.element, asked(controls.noise)));
  const filling = el('details', { class: 'more' }, el('summary', {}, 'How many frames fill a time'),
    el('div', { class: 'group' },
      fields.fillMin.element, asked(controls.of), fields.frameMb.element, fields.batteryMin.element, filled, use));
  const plan = el('div', { id: 'timer-plan' },
    el('div', { class: 'group' }, asked(controls.way)),
    timed,
    el('div', { class: 'group' }, asked(controls.delayS), told, light, start),
    run, filling);

  const face = timerFace();
  const stop = el('button', { type: 'button', id: 'timer-stop', class: 'timer-act', on: { click: end } });
  const help = el('p', { class: 'aside', id: 'timer-help' });
  const running = el('div', { id: 'timer-running' }, face.element, stop, help);
  const was = el('p', { id: 'timer-was' });
  const element = el('section', { class: 'screen screen-timer', 'aria-label': 'Timer' },
    exposureCards(TIMER), was, running, plan, el('p', { class: 'aside' }, SLEEP_WORDS), cautions('ground'));

  /** What the fields ask for, once it makes sense. @type {ReturnType<typeof sequence> | null} */
  let answer = null;
  /** @type {number | null} */
  let closesMs = null;
  let sureTillMs = 0;

  timekeeper.addEventListener('change', arrange);
  timekeeper.addEventListener('beat', event => {
    if (element.hidden) return;
    const { run, now, atMs } = /** @type {CustomEvent<Look>} */ (event).detail;
    face.show(run, now, atMs, clockOf(book));
    say(help, helpWords(timekeeper.help));
    say(stop, atMs < sureTillMs ? 'Tap again to stop' : 'Stop');
  });

  /** @param {number} nowMs */
  function render(nowMs) {
    show();
    preset();
    closesMs = attempt(() => lastLight(book, nowMs));
    arrange();
  }

  /** Takes up a time that the address brings, and takes it out of the address: it is set once. */
  function preset() {
    const { card, query } = readRoute(location.hash);
    const seconds = query.get('s');
    if (card !== TIMER || seconds === null) return;
    history.replaceState(null, '', `#${TIMER}`);
    fields.shutterS.text = seconds;
    controls.way.value = 'down';
    changed();
  }

  function arrange() {
    running.hidden = !timekeeper.run;
    plan.hidden = Boolean(timekeeper.run);
    if (timekeeper.run) say(was, '');
    else reckon(Date.now());
  }

  function show() {
    for (const [name, control] of Object.entries(controls)) {
      Object.assign(control, { value: timekeeper.plan[/** @type {keyof Plan} */ (name)] });
    }
  }

  function changed() {
    const typed = Object.entries(controls).map(([name, control]) => [name, control.value]);
    take(Object.fromEntries(typed));
  }

  /** @param {Partial<Plan>} plan */
  function take(plan) {
    timekeeper.intend(plan);
    show();
    reckon(Date.now());
  }

  /** Shows what the fields come to. @param {number} nowMs */
  function reckon(nowMs) {
    const { way, delayS, noise, of, fillMin, frameMb, batteryMin, ...plan } = timekeeper.plan;
    const up = way === 'up';
    for (const field of Object.values(fields)) field.problem = null;
    for (const part of [timed, run, filling]) part.hidden = up;
    // Nothing typed is no number, and named so beside its field.
    const numbers = { shutterS: plan.shutterS ?? NaN, gapS: plan.gapS ?? NaN, noiseReduction: noise === 'on' };
    const startMs = nowMs + Number(delayS) * 1000;
    answer = up ? null : attempt(() => sequence({
      ...numbers, frames: plan.frames ?? NaN, startMs, closesMs: closesMs ?? undefined,
    }));
    say(told, up ? 'Counts up from the start, until you stop it.' : answer ? lengthWords(answer, startMs, clockOf(book)) : '');
    say(light, answer && closesMs !== null ? lightWords(answer.spareS ?? 0, closesMs, nowMs, clockOf(book)) : '');
    const fills = up ? null : attempt(() => framesFor({
      ...numbers, of, totalS: (fillMin ?? NaN) * 60, frameMb: frameMb ?? undefined, batteryMin: batteryMin ?? undefined,
    }));
    say(filled, fills ? fillWords(fills) : '');
    use.hidden = !fills;
    use.value = String(fills?.run.frames);
    say(use, `Set ${use.value} frames`);
  }

  /**
   * An answer, or `null` with the problem beside its field.
   * @template T
   * @param {() => T} ask
   */
  function attempt(ask) {
    try {
      return ask();
    } catch (error) {
      const problem = refusal(error);
      const name = fieldOf(problem) === 'totalS' ? 'fillMin' : fieldOf(problem);
      // What is wrong with the spot is said on its own screens.
      if (name in fields) fields[/** @type {keyof typeof fields} */ (name)].problem = problemWords(problem);
      return null;
    }
  }

  function begin() {
    const startMs = Date.now();
    const { way, delayS } = timekeeper.plan;
    reckon(startMs);
    if (way === 'down' && !answer) return announce('Not started: look at the fields marked');
    timekeeper.start({
      startMs,
      openMs: startMs + Number(delayS) * 1000,
      exposureMs: answer && (answer.lastEndS - answer.lastStartS) * 1000,
      busyMs: answer ? (answer.totalS - answer.lastStartS) * 1000 : 0,
      periodMs: answer ? answer.periodS * 1000 : 0,
      frames: answer ? answer.frames : 1,
    });
    stop.focus();
    scrollTo(0, 0);
  }

  function end() {
    const atMs = Date.now();
    const sure = atMs < sureTillMs;
    sureTillMs = sure ? 0 : atMs + SURE_MS;
    if (!sure) return say(stop, 'Tap again to stop');
    const openMs = timekeeper.run?.openMs ?? atMs;
    timekeeper.stop();
    say(was, `Stopped after ${format.stopwatch(atMs - openMs)}.`);
    start.focus();
  }

  return { element, render, tick: (/** @type {number} */ nowMs) => timekeeper.run || reckon(nowMs) };
}

/**
 * @param {ReturnType<typeof sequence>} answer
 * @param {number} startMs
 * @param {Clock} clock
 */
function lengthWords({ frames, totalS, lastStartS, lastEndS }, startMs, clock) {
  const after = (/** @type {number} */ seconds) => clock(startMs + seconds * 1000);
  const opens = `${frames} frames take ${format.duration(Math.round(totalS))}; the last opens at ${after(lastStartS)}`;
  const free = totalS > lastEndS ? `; the camera is free at ${after(totalS)}` : '';
  return `Started now, ${frames > 1 ? `${opens} and` : 'it'} closes at ${after(lastEndS)}${free}.`;
}

/**
 * @param {number} spareS
 * @param {number} closesMs
 * @param {number} nowMs
 * @param {Clock} clock
 */
function lightWords(spareS, closesMs, nowMs, clock) {
  const last = `last useful light, ${clock(closesMs)}`;
  if (closesMs < nowMs) return `After the ${last}.`;
  return `That ends ${format.wait(Math.abs(spareS) * 1000)} ${spareS < 0 ? 'after' : 'before'} the ${last}.`;
}

/** @param {ReturnType<typeof framesFor>} fills */
function fillWords({ run, storageMb, batteries }) {
  return [
    `${run.frames} frames in ${format.duration(Math.round(run.totalS))}`,
    storageMb != null && `${format.number(storageMb / 1000, 1)} GB`,
    batteries != null && `${format.number(batteries, 1)} batteries`,
  ].filter(Boolean).join(' · ');
}

/** @param {Timekeeper['help']} help */
function helpWords({ awake, audible, kept }) {
  return [
    awake ? 'The screen is kept on' : 'The screen may go dark: it cannot be kept on here',
    audible ? 'sound is on' : 'no sound until you touch the page',
    !('vibrate' in navigator) && 'no vibration here',
    !kept && 'a reload loses this: nothing can be kept here',
  ].filter(Boolean).join(' · ');
}

/**
 * What shows of a running timer whichever screen is open: the cue, a line that leads back to it, and sparing words.
 * @param {Book} book
 * @param {Timekeeper} timekeeper
 * @param {() => string} card the screen in front
 */
export function timerEverywhere(book, timekeeper, card) {
  const cue = timerCue(() => timekeeper.stop());
  const strip = el('a', { href: `#${TIMER}`, id: 'timer-strip', class: 'timer-strip', hidden: true });
  timekeeper.addEventListener('change', () => {
    if (timekeeper.run) return;
    cue.show(null, '');
    strip.hidden = true;
  });
  timekeeper.addEventListener('beat', event => {
    const { run, now, atMs, cue: shown, stage } = /** @type {CustomEvent<Look>} */ (event).detail;
    cue.show(shown, shown ? cueWords(run, now, atMs, clockOf(book)) : '');
    const left = format.wait(counted(now, atMs));
    strip.hidden = card() === TIMER;
    say(strip, `${phaseWords(run, now)} · ${left}`);
    if (stage === 'half' || stage === 'ten') announce(`${left} left`);
    else if (stage === 'over') announce('Time is up: close the shutter');
    else if (stage) announce(`${phaseWords(run, now)}${now.untilMs === null ? '' : `, ${left}`}`);
  });
  return [strip, cue.element];
}

/**
 * @param {Look['run']} run
 * @param {Look['now']} now
 * @param {number} atMs
 * @param {Clock} clock
 */
function cueWords(run, now, atMs, clock) {
  if (now.phase !== 'over') return phaseWords(run, now);
  const free = freeMs(run);
  const busy = free > atMs && free > now.fromMs ? `, and the camera is busy till ${clock(free)}` : '';
  return `Time was up at ${clock(now.fromMs)}, ${format.wait(atMs - now.fromMs)} ago${busy}`;
}
