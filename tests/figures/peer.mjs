// The built wasm against npm's `suncalc`, in one process: a year of 14 sun events a day, and a year of evenings with sun,
// moon, a skyline and the balance of light against the peer's sun and moon alone; computed afresh and handed over as
// each hands over its answers.

import { createRequire } from 'node:module';
import { load } from '../boundary/node.mjs';

const peer = createRequire(new URL('../../pkg-config/package.json', import.meta.url))('suncalc');
const { skyEventsTable, yearSearch } = await load();

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

// Upper edges of invented hills from the south to the north-west.
const profile = Array.from({ length: 51 }, (_, i) => [180 + 3 * i, 2 + 2 * Math.sin(0.6 * i)]);

function ourYear() {
  const { startMs } = yearSearch({
    place: { latitudeDeg: LATITUDE, longitudeDeg: LONGITUDE }, startMs: START_MS, endMs: START_MS + DAYS * DAY_MS - 1,
    bearingDeg: 250, toleranceDeg: 3, profile, observerHeightM: 2, moon: { litLeast: 0.1, altitudeDeg: 3 },
    light: { cloud: 'clear', scene: 'floodlit' }, darkMinutes: 60,
  });
  return startMs.length;
}

function theirYear() {
  let evenings = 0;
  for (let day = 0; day < DAYS; day++) {
    const date = new Date(START_MS + day * DAY_MS);
    const { sunset } = peer.getTimes(date, LATITUDE, LONGITUDE);
    peer.getMoonTimes(date, LATITUDE, LONGITUDE);
    peer.getMoonPosition(sunset, LATITUDE, LONGITUDE);
    evenings += peer.getMoonIllumination(sunset).fraction >= 0 ? 1 : 0;
  }
  return evenings;
}

function timedYear(work) {
  const start = performance.now();
  const count = work();
  if (count !== DAYS) throw new Error(`${work.name}: ${count} evenings, not ${DAYS}`);
  return performance.now() - start;
}

const years = Array.from({ length: 31 }, () => [timedYear(ourYear), timedYear(theirYear)]);
const [ownYear, otherYear] = [0, 1].map(side => Math.min(...years.map(year => year[side])));
console.log(`a year of everything: ${ownYear.toFixed(2)} ms, the peer's sun and moon ${otherYear.toFixed(2)} ms`);
console.log(`figure node-year-of-everything-over-peer ${(ownYear / otherYear).toFixed(3)}`);
