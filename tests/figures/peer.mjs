// The built wasm against npm's `suncalc`, in one process: a year of 14 sun events a day, computed afresh and
// handed over as each hands over its answers.

import { createRequire } from 'node:module';
import { load } from '../boundary/node.mjs';

const peer = createRequire(new URL('../../pkg-config/package.json', import.meta.url))('suncalc');
const { skyEventsTable } = await load();

const [LATITUDE, LONGITUDE] = [49.82, -5.63];
const DAYS = 365;
const EVENTS = 14 * DAYS;
const START_MS = Date.UTC(2031, 0, 1);
const DAY_MS = 86_400_000;

// The peer's six pairs and one more, and the same altitudes for ours, which has rise and set of itself.
peer.addTime(-4, 'blueMorning', 'blueEvening');
const altitudes = peer.times.map(([altitude]) => altitude);
const asked = altitudes.filter(altitude => Math.abs(altitude + 0.833) > 0.01);

function ours() {
  const { sun } = skyEventsTable({
    latitudeDeg: LATITUDE, longitudeDeg: LONGITUDE, elevationM: 0,
    startMs: START_MS, endMs: START_MS + DAYS * DAY_MS, sunAltitudesDeg: asked,
  });
  return sun.atMs.length;
}

function theirs() {
  let count = 0;
  for (let day = 0; day < DAYS; day++) {
    const { solarNoon: _noon, nadir: _nadir, ...times } =
      peer.getTimes(new Date(START_MS + day * DAY_MS), LATITUDE, LONGITUDE);
    for (const time in times) count += times[time] instanceof Date ? 1 : 0;
  }
  return count;
}

function timed(work) {
  const start = performance.now();
  const count = work();
  const spent = performance.now() - start;
  // In summer the sun may stay above −18°, so a few are truly missing; not more.
  if (count > EVENTS || count < 0.95 * EVENTS) throw new Error(`${work.name}: ${count} events, not ${EVENTS}`);
  return spent;
}

// Taking turns, so that a busy moment of the machine meets both; then the quickest of each.
const rounds = Array.from({ length: 101 }, () => [timed(ours), timed(theirs)]);
const [own, other] = [0, 1].map(side => Math.min(...rounds.map(round => round[side])));
console.log(`a year of ${EVENTS} events: ${own.toFixed(2)} ms, the peer ${other.toFixed(2)} ms`);
console.log(`figure node-year-of-sun-events-over-peer ${(own / other).toFixed(3)}`);
