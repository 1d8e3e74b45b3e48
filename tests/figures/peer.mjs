// A year of 14 sun events a day by the built wasm, next to a peer in the same process.
// Prints `figure NAME VALUE`; needs `dist/` built and the checkers of `pkg-config/` installed.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';

const root = new URL('../../', import.meta.url);
const { initSync, skyEventsTable } = await import(new URL('dist/wasm/duskbook.js', root).href);
initSync({ module: readFileSync(new URL('dist/wasm/duskbook_bg.wasm', root)) });
const require = createRequire(new URL('pkg-config/package.json', root));
const peer = await import(pathToFileURL(require.resolve('suncalc')).href);
const getTimes = peer.getTimes ?? peer.default.getTimes;

// Far enough south for astronomical twilight on every day.
const [latitudeDeg, longitudeDeg] = [45, 8];
const startMs = Date.UTC(2026, 0, 1);
const endMs = Date.UTC(2027, 0, 1);
const sunAltitudesDeg = [-18, -12, -6, -4, 4, 6];

const ours = () => skyEventsTable({ latitudeDeg, longitudeDeg, elevationM: 0, startMs, endMs, sunAltitudesDeg }).sun.atMs.length;

// The peer's 14 times a day are six altitudes both ways, noon and midnight; ours are seven altitudes both ways.
const theirs = () => {
  let count = 0;
  for (let noon = startMs + 43_200_000; noon < endMs; noon += 86_400_000) {
    const times = getTimes(new Date(noon), latitudeDeg, longitudeDeg);
    count += Object.keys(times).length;
  }
  return count;
};

const runs = [ours, theirs].map(work => ({ work, best: Infinity, count: 0 }));
// Taking turns, so that a busy moment of the machine meets both.
for (let turn = 0; turn < 60; turn++) {
  for (const run of runs) {
    const start = performance.now();
    run.count = run.work();
    run.best = Math.min(run.best, performance.now() - start);
  }
}
const [here, there] = runs;
console.log(`a year: ${here.count} sun events in ${here.best.toFixed(2)} ms; the peer ${there.count} in ${there.best.toFixed(2)} ms`);
console.log(`figure node-year-of-sun-events-over-peer ${(here.best / there.best).toFixed(3)}`);
