// A timed run as a function of the clock, and lengths of time as they are typed. Reckoned by hand.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

// A browser has one, Node from version 21 on.
globalThis.navigator ??= { language: 'en-GB' };

/** A module of the page that imports no other; through a data address, as in `tests/boundary/node.mjs`. */
const page = file =>
  import(`data:text/javascript,${encodeURIComponent(readFileSync(new URL(`../../www/${file}`, import.meta.url), 'utf8'))}`);

const { duration, readDuration, stopwatch } = await page('lib/format.js');
const { asRun, cueOf, endMs, freeMs, position, stageOf } = await page('lib/timer.js');

const T = 1_900_000_000_000;

/** Three frames of a minute with dark frames, two seconds apart, ten seconds after the touch. */
const RUN = { startMs: T, openMs: T + 10_000, exposureMs: 60_000, busyMs: 120_000, periodMs: 122_000, frames: 3 };
/** One frame of four minutes at once. */
const ONE = { startMs: T, openMs: T, exposureMs: 240_000, busyMs: 240_000, periodMs: 241_000, frames: 1 };
const ENDLESS = { startMs: T, openMs: T, exposureMs: null, busyMs: 0, periodMs: 0, frames: 1 };

const at = (run, seconds) => position(run, T + seconds * 1000);
const brief = ({ phase, frame }) => `${phase} ${frame}`;

test('a run waits, opens, takes its dark frame, pauses, and opens again until all is over', () => {
  const told = [0, 9.9, 10, 69.9, 70, 129.9, 130, 131.9, 132, 254, 313.9, 314, 9999].map(s => brief(at(RUN, s)));
  assert.deepEqual(told, [
    'wait 1', 'wait 1', 'open 1', 'open 1', 'dark 1', 'dark 1', 'gap 1', 'gap 1', 'open 2', 'open 3', 'open 3', 'over 3', 'over 3',
  ]);
  assert.equal(endMs(RUN), T + 314_000);
  assert.equal(freeMs(RUN), T + 374_000);
});

test('each phase ends where the next begins, for a whole run', () => {
  let now = at(RUN, 0);
  const phases = [brief(now)];
  while (now.untilMs !== null) {
    assert.ok(now.fromMs < now.untilMs);
    const next = position(RUN, now.untilMs);
    assert.equal(next.fromMs, now.untilMs);
    now = next;
    phases.push(brief(now));
  }
  assert.deepEqual(phases, ['wait 1', 'open 1', 'dark 1', 'gap 1', 'open 2', 'dark 2', 'gap 2', 'open 3', 'over 3']);
});

test('frames without a gap follow each other at once', () => {
  const run = { ...ONE, exposureMs: 1000, busyMs: 1000, periodMs: 1000, frames: 3 };
  assert.deepEqual([0.999, 1, 2, 3].map(s => brief(at(run, s))), ['open 1', 'open 2', 'open 3', 'over 3']);
});

test('a run without an end stays open and has no end', () => {
  assert.deepEqual(at(ENDLESS, 90_000), { phase: 'open', frame: 1, fromMs: T, untilMs: null });
  assert.equal(endMs(ENDLESS), null);
});

test('the half and the last ten seconds are said of exposures long enough', () => {
  const stages = [0, 119.9, 120, 229.9, 230, 240].map(s => stageOf(at(ONE, s), T + s * 1000));
  assert.deepEqual(stages, ['open', 'open', 'half', 'half', 'ten', 'over']);
  const short = { ...ONE, exposureMs: 20_000, busyMs: 20_000 };
  assert.equal(stageOf(at(short, 15), T + 15_000), 'open');
});

test('changes inside a run are cued for three seconds, its end until it is seen', () => {
  const cue = s => cueOf(RUN, at(RUN, s), T + s * 1000);
  assert.deepEqual([5, 10, 12.9, 13, 70, 73, 130, 132, 314, 99_999].map(cue), [
    null, 'open', 'open', null, 'close', null, null, 'open', 'over', 'over',
  ]);
  assert.equal(cueOf(ONE, at(ONE, 0), T), null, 'the touch that starts needs no cue');
});

test('only a whole record is taken for a run', () => {
  assert.deepEqual(asRun(RUN), RUN);
  assert.deepEqual(asRun(ENDLESS), ENDLESS);
  assert.deepEqual(asRun({ ...RUN, note: 'more' }), RUN);
  for (const broken of [null, undefined, 7, {}, { ...RUN, openMs: 'soon' }, { ...RUN, frames: 0 }, { ...RUN, periodMs: 1 }]) {
    assert.equal(asRun(broken), null);
  }
});

test('lengths of time are written and read back', () => {
  const written = { 0.5: '0.5', 30: '0:30', 240: '4:00', 3723: '1:02:03', 86400: '24:00:00' };
  for (const [seconds, text] of Object.entries(written)) {
    assert.equal(duration(Number(seconds)), text);
    assert.equal(readDuration(text), Number(seconds));
  }
  assert.equal(readDuration('90'), 90);
  assert.equal(readDuration(' 1,5 '), 1.5);
  assert.equal(readDuration(''), null);
  for (const text of ['soon', '1:2:3:4', '4:', ':30']) assert.ok(Number.isNaN(readDuration(text)), text);
});

test('the remainder shown is never more than what is left', () => {
  assert.equal(stopwatch(239_999), '3:59.9');
  assert.equal(stopwatch(3_723_400), '1:02:03.4');
  assert.equal(stopwatch(-5), '0:00.0');
});
