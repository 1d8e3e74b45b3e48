// @ts-check
// Photographs looked into one after another, in a worker where there can be one. The worker goes when nothing is left to
// do, and its memory with it.

import { lookInto } from './photograph.js';

/** @typedef {import('./photograph.js').Photograph} Photograph */

/** A worker that has not said a word for so long has failed. */
const PATIENCE_MS = 60_000;

/** @type {Promise<unknown>} */
let before = Promise.resolve();
/** @type {Worker | null} */
let worker = null;
let waiting = 0;

/** @param {File} file @returns {Promise<Photograph>} */
export function develop(file) {
  waiting += 1;
  const photograph = before.then(() => inWorker(file)).then(found => found ?? lookInto(file));
  before = photograph.catch(() => undefined).then(() => {
    waiting -= 1;
    if (waiting) return;
    worker?.terminate();
    worker = null;
  });
  return photograph;
}

/** @param {File} file @returns {Promise<Photograph | null>} `null` when there is no worker that can */
function inWorker(file) {
  return new Promise(resolve => {
    const done = (/** @type {Photograph | null} */ photograph) => {
      clearTimeout(patience);
      if (!photograph) {
        worker?.terminate();
        worker = null;
      }
      resolve(photograph);
    };
    const patience = setTimeout(() => done(null), PATIENCE_MS);
    try {
      worker ??= new Worker(new URL('./photo-worker.js', import.meta.url), { type: 'module' });
      worker.onmessage = ({ data }) => done(data.photograph);
      worker.onerror = () => done(null);
      worker.postMessage({ file });
    } catch {
      done(null);
    }
  });
}

/**
 * Hands over what the system's share sheet gave to the worker of the app; each is forgotten once it was looked into.
 * @param {(file: File) => Promise<unknown>} take
 */
export async function takeShared(take) {
  const cache = await caches.open('shared');
  for (const request of await cache.keys()) {
    const blob = await (await cache.match(request))?.blob();
    const name = request.url.split('/').pop() ?? '';
    if (blob) take(new File([blob], decodeURIComponent(name), { type: blob.type })).then(() => cache.delete(request));
  }
}
