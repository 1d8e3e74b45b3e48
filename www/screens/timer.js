// @ts-check
// The long-exposure timer: a time or a run of frames set with a thumb, counted by the clock, and whether it ends
// before the light does.

import { framesFor, refusal, sequence } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice } from '../elements/choice.js';
import { stepper } from '../elements/stepper.js';
import { timerCue } from '../elements/timer-cue.js';
import { counted, phaseWords, timerFace } from '../elements/timer-face.js';
import { announce } from '../lib/announce.js';
import { el, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { fieldOf, problemWords } from '../lib/problems.js';
import { readRoute } from '../lib/route.js';
import { lastLight } from '../lib/tonight.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/timekeeper.js').Timekeeper} Timekeeper */
/** @typedef {import('../lib/timekeeper.js').Plan} Plan */
/** @typedef {import('../lib/timekeeper.js').Look} Look */
/** @typedef {import('../lib/timer.js').Run} Run */

export const TIMER = 'exposure/timer';

const MINUTE_S = 60;
/** One tap: doublings, rounded as photographers say them. */
const ONE_TAP_S = [30, 60, 120, 240, 480, 900, 1800];
/** Thirds of a stop as shutter dials mark them, and on in the same way, rounded to be said. */
const TIMES_S = [
  1, 1.3, 1.6, 2, 2.5, 3.2, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 120, 150, 200, 240, 300, 400,
  480, 600, 720, 900, 1200, 1500, 1800, 2400, 3000, 3600, 4800, 6000, 7200,
];
const GAPS_S = [0, 0.5, 1, 2, 3, 5, 10, 15, 30, 60];
const TOTALS_MIN = [5, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 360, 480];
const FRAMES_MB = [10, 20, 30, 40, 50, 60, 80, 100, 150];
const BATTERIES_MIN = [30, 60, 90, 120, 150, 180, 240, 300];
const FRAMES = [1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 50, 75, 100, 150, 200, 300, 500];
/** A stop by mistake would lose a frame: the second tap within this counts. */
const SURE_MS = 3000;

const SLEEP_WORDS = 'A web page cannot ring while the device sleeps or the browser is put away. Keep this page in front'
  + ' and the device on power. If it slept all the same, nothing is lost: the end is a time of day, and on waking the'
  + ' page shows at once what has passed.';

/**
 * What was typed, for a call that names what is wrong with it: nothing becomes no number.
 * @param {number | null} value
 */
const needed = value => value ?? NaN;

/**
 * @param {Book} book
 * @param {Timekeeper} timekeeper
 */
export function timer(book, timekeeper) {
  const lengthOf = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number[]} */ steps, /** @type {string} */ hint) =>
    stepper({ id, label, steps, hint, read: format.readDuration, write: format.duration, onchange: changed });
  const numberOf = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number[]} */ steps, /** @type {string} */ unit = '') =>
    stepper({ id, label, steps, unit, read: format.readNumber, write: String, onchange: changed });

  const fields = {
    shutterS: lengthOf('timer-shutter', 'Time of each frame', TIMES_S, 'Seconds, or 4:00'),
    frames: numberOf('timer-frames', 'Frames', FRAMES),
    gapS: lengthOf('timer-gap', 'Gap between frames', GAPS_S, 'Seconds; writing the file counts as gap'),
    totalMin: numberOf('timer-total', 'Time to fill', TOTALS_MIN, 'min'),
    frameMb: numberOf('timer-frame-mb', 'One frame of yours', FRAMES_MB, 'MB'),
    batteryMin: numberOf('timer-battery', 'One battery of yours', BATTERIES_MIN, 'min'),
  };
  const yesNo = (/** @type {string} */ name, /** @type {string} */ label, /** @type {[string, string][]} */ choices) =>
    choice({ name, label, choices, value: choices[0][0], onchange: changed });
  const choices = {
    endless: yesNo('timer-count-way', 'Which way to count', [['down', 'Down to a time'], ['up', 'Up till I stop']]),
    delayS: yesNo('timer-delay', 'Delay, as the camera\'s self-timer', [['0', 'At once'], ['2', '2 s'], ['10', '10 s']]),
    noise: yesNo('timer-noise', 'Long-exposure noise reduction', [['off', 'Off'], ['on', 'On']]),
    of: yesNo('timer-of', 'What fills the time', [['elapsed', 'From first to last'], ['exposed', 'Shutter open']]),
  };
  const taps = el('div', { class: 'taps' }, ...ONE_TAP_S.map(seconds => el('button', {
    type: 'button', class: 'quiet', on: { click: () => take(seconds) },
  }, seconds < MINUTE_S ? `${seconds} s` : `${seconds / MINUTE_S} min`)));
  const told = el('p', { id: 'timer-told' });
  const light = el('p', { id: 'timer-light' });
  const filled = el('p', { id: 'timer-filled' });
  const useFrames = el('button', { type: 'button', class: 'quiet', id: 'timer-use', on: { click: () => takeFrames() } });
  const start = el('button', { type: 'button', id: 'timer-start', class: 'timer-act', on: { click: begin } }, 'Start');
  const timed = el('div', { class: 'group' }, fields.shutterS.element, taps);
  const run = el('details', { class: 'more' },
    el('summary', {}, 'A run of frames'),
    el('div', { class: 'group' },
      el('div', { class: 'pairs' }, fields.frames.element, fields.gapS.element),
      named('Noise reduction: as long again, closed', choices.noise.element)));
  const filling = el('details', { class: 'more' },
    el('summary', {}, 'How many frames fill a time'),
    el('div', { class: 'group' },
      fields.totalMin.element, named('Filled', choices.of.element),
      el('div', { class: 'pairs' }, fields.frameMb.element, fields.batteryMin.element),
      filled, useFrames));
  const plan = el('div', { id: 'timer-plan' },
    el('div', { class: 'group' }, named('Count', choices.endless.element)),
    timed,
    el('div', { class: 'group' }, named('Start', choices.delayS.element), told, light, start),
    run, filling);

  const face = timerFace();
  const stop = el('button', { type: 'button', id: 'timer-stop', class: 'timer-act', on: { click: end } });
  const help = el('p', { class: 'aside', id: 'timer-help' });
  const running = el('div', { id: 'timer-running', hidden: true }, face.element, stop, help);
  const was = el('p', { class: 'timer-was', id: 'timer-was' });
  const element = el(
    'section',
    { class: 'screen screen-timer', 'aria-label': 'Timer' },
    el('h2', {}, 'Timer'), was, running, plan,
    el('p', { class: 'aside' }, SLEEP_WORDS),
    cautions('ground'),
  );

  /** What the fields ask for, once it makes sense. @type {ReturnType<typeof sequence> | null} */
  let answer = null;
  /** @type {number | null} */
  let closesMs = null;
  let sureTillMs = 0;

  timekeeper.addEventListener('change', () => arrange());
  timekeeper.addEventListener('beat', event => {
    if (document.hidden || element.hidden) return;
    const { run, now, atMs } = /** @type {CustomEvent<Look>} */ (event).detail;
    face.show(run, now, atMs, clock);
    say(help, helpWords(timekeeper.help));
    say(stop, atMs < sureTillMs ? 'Tap again to stop' : 'Stop');
  });

  /** @param {number} atMs */
  const clock = atMs => format.clock(atMs, book.open.spot.zone, book.settings.hours);

  /** @param {number} nowMs */
  function render(nowMs) {
    show(timekeeper.plan);
    preset();
    try {
      closesMs = lastLight(book, nowMs);
    } catch (error) {
      // A spot that cannot be says so on its own screens.
      refusal(error);
      closesMs = null;
    }
    arrange();
  }

  /** Takes up a time that the address brings, and takes it out of the address: it is set once. */
  function preset() {
    const { card, query } = readRoute(location.hash);
    const asked = query.get('s');
    if (card !== TIMER || asked === null) return;
    history.replaceState(null, '', `#${TIMER}`);
    fields.shutterS.text = asked;
    fields.shutterS.value = format.readNumber(asked);
    choices.endless.value = 'down';
    timekeeper.intend(typed());
  }

  function arrange() {
    running.hidden = !timekeeper.run;
    plan.hidden = Boolean(timekeeper.run);
    if (timekeeper.run) say(was, '');
    else reckon(Date.now());
  }

  /** @param {Plan} kept */
  function show(kept) {
    for (const [name, field] of entries()) field.value = kept[name];
    choices.endless.value = kept.endless ? 'up' : 'down';
    choices.delayS.value = String(kept.delayS);
    choices.noise.value = kept.noiseReduction ? 'on' : 'off';
    choices.of.value = kept.of;
  }

  const entries = () => /** @type {[keyof typeof fields, typeof fields.frames][]} */ (Object.entries(fields));

  /** @returns {Plan} */
  function typed() {
    const numbers = Object.fromEntries(entries().map(([name, field]) => [name, field.value]));
    return {
      .../** @type {Record<keyof typeof fields, number | null>} */ (numbers),
      endless: choices.endless.value === 'up',
      delayS: Number(choices.delayS.value),
      noiseReduction: choices.noise.value === 'on',
      of: choices.of.value === 'exposed' ? 'exposed' : 'elapsed',
    };
  }

  function changed() {
    timekeeper.intend(typed());
    show(timekeeper.plan);
    reckon(Date.now());
  }

  /** @param {number} seconds */
  function take(seconds) {
    fields.shutterS.value = seconds;
    changed();
  }

  /** Shows what the fields come to. @param {number} nowMs */
  function reckon(nowMs) {
    const asked = typed();
    for (const [, field] of entries()) field.problem = null;
    for (const each of [timed, run, filling]) each.hidden = asked.endless;
    const cadence = {
      shutterS: needed(asked.shutterS), gapS: needed(asked.gapS), noiseReduction: asked.noiseReduction,
    };
    const startMs = nowMs + asked.delayS * 1000;
    answer = attempt(() => sequence({
      ...cadence, frames: needed(asked.frames), startMs, closesMs: closesMs ?? undefined,
    }));
    say(told, asked.endless ? 'Counts up from the start, until you stop it.' : answer ? lengthWords(answer, startMs, clock) : '');
    say(light, answer && !asked.endless && closesMs !== null ? lightWords(answer.spareS, closesMs, nowMs, clock) : '');
    const frames = asked.endless ? null : attempt(() => framesFor({
      ...cadence, totalS: needed(asked.totalMin) * MINUTE_S, of: asked.of,
      frameMb: asked.frameMb ?? undefined, batteryMin: asked.batteryMin ?? undefined,
    }));
    say(filled, frames ? fillWords(frames) : '');
    useFrames.hidden = !frames;
    if (frames) {
      say(useFrames, `Set ${frames.run.frames} frames`);
      useFrames.value = String(frames.run.frames);
    }
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
      const name = fieldOf(problem) === 'totalS' ? 'totalMin' : fieldOf(problem);
      const field = entries().find(([known]) => known === name)?.[1];
      if (field) field.problem = problemWords(problem);
      return null;
    }
  }

  function takeFrames() {
    fields.frames.value = Number(useFrames.value);
    run.open = true;
    changed();
  }

  function begin() {
    const startMs = Date.now();
    const { endless, delayS } = typed();
    reckon(startMs);
    if (!endless && !answer) return announce('Not started: look at the fields marked');
    const openMs = startMs + delayS * 1000;
    timekeeper.start(endless || !answer
      ? { startMs, openMs, exposureMs: null, busyMs: 0, periodMs: 0, frames: 1 }
      : {
        startMs, openMs, frames: answer.frames, periodMs: answer.periodS * 1000,
        exposureMs: (answer.exposedS / answer.frames) * 1000, busyMs: (answer.totalS - answer.lastStartS) * 1000,
      });
  }

  function end() {
    const atMs = Date.now();
    if (atMs > sureTillMs) {
      sureTillMs = atMs + SURE_MS;
      say(stop, 'Tap again to stop');
      return;
    }
    sureTillMs = 0;
    const { run } = timekeeper;
    timekeeper.stop();
    if (run) say(was, `Stopped after ${format.stopwatch(atMs - run.openMs)}.`);
  }

  const tick = (/** @type {number} */ nowMs) => timekeeper.run || reckon(nowMs);

  return { element, render, tick };
}

/** @param {string} word @param {HTMLElement} control */
const named = (word, control) => el('div', { class: 'field' }, el('p', {}, word), control);

/**
 * @param {ReturnType<typeof sequence>} answer
 * @param {number} startMs
 * @param {(atMs: number) => string} clock
 */
function lengthWords({ frames, totalS, lastStartS, lastEndS }, startMs, clock) {
  const at = (/** @type {number} */ seconds) => clock(startMs + seconds * 1000);
  const long = (/** @type {number} */ seconds) => format.duration(Math.round(seconds));
  const closes = `closes at ${at(lastEndS)}`;
  const free = totalS > lastEndS ? `, and the camera is free at ${at(totalS)}` : '';
  if (frames === 1) return `Started now, it ${closes}${free}.`;
  return `${frames} frames take ${long(totalS)} in all. Started now, the last opens after ${long(lastStartS)}, at ${at(lastStartS)}, and ${closes}${free}.`;
}

/**
 * @param {number | null | undefined} spareS
 * @param {number} closesMs
 * @param {number} nowMs
 * @param {(atMs: number) => string} clock
 */
function lightWords(spareS, closesMs, nowMs, clock) {
  if (closesMs < nowMs) return `The last useful light was at ${clock(closesMs)}.`;
  const spare = format.wait(Math.abs(spareS ?? 0) * 1000);
  return (spareS ?? 0) < 0
    ? `The light goes first: last useful light at ${clock(closesMs)}, ${spare} before the end.`
    : `That ends ${spare} before the last useful light, ${clock(closesMs)}.`;
}

/** @param {ReturnType<typeof framesFor>} frames */
function fillWords({ run, storageMb, batteries }) {
  return [
    `${run.frames} frames in ${format.duration(Math.round(run.totalS))}`,
    storageMb != null && `${storageMb < 1000 ? `${format.number(storageMb)} MB` : `${format.number(storageMb / 1000, 1)} GB`} of card`,
    batteries != null && `${format.number(batteries, 1)} batteries`,
  ].filter(Boolean).join(' · ');
}

/** @param {Timekeeper['help']} help */
function helpWords({ awake, audible, kept }) {
  return [
    awake ? 'The screen is kept on' : 'The screen may go dark: this browser does not keep it on',
    audible ? 'sound is on' : 'no sound until you touch the page',
    'vibrate' in navigator ? '' : 'no vibration in this browser',
    kept ? '' : 'a reload would lose this: nothing can be kept here',
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
  /** @param {number} atMs */
  const clock = atMs => format.clock(atMs, book.open.spot.zone, book.settings.hours);
  timekeeper.addEventListener('change', () => {
    if (timekeeper.run) return;
    cue.show(null, null, null, 0, clock);
    strip.hidden = true;
  });
  timekeeper.addEventListener('beat', event => {
    const { run, now, atMs, cue: shown, stage } = /** @type {CustomEvent<Look>} */ (event).detail;
    cue.show(shown, run, now, atMs, clock);
    strip.hidden = card() === TIMER;
    if (!strip.hidden) say(strip, `${phaseWords(run, now)} · ${format.stopwatch(counted(now, atMs)).slice(0, -2)}`);
    const left = format.wait(counted(now, atMs));
    if (stage === 'half' || stage === 'ten') announce(`${left} left`);
    else if (stage === 'over') announce('Time is up: close the shutter');
    else if (stage) announce(`${phaseWords(run, now)}${now.untilMs === null ? '' : `, ${left}`}`);
  });
  return [strip, cue.element];
}
