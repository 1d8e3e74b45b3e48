// @ts-check
/// <reference lib="webworker" />
// Keeps one whole version of the app for use with no signal. A worker serves only the cache of its own
// version, so that files of two versions never meet, and takes over from an older worker only when the
// page asks it to.

/** @typedef {{ version: string, files: string[] }} Precache */

const worker = /** @type {ServiceWorkerGlobalScope & { PRECACHE: Precache }} */ (/** @type {unknown} */ (self));

importScripts('./precache.js');

const OURS = 'duskbook-';
const CACHE = OURS + worker.PRECACHE.version;
const SCOPE = new URL('./', worker.location.href);
const START = new URL('index.html', SCOPE).href;
const FILES = worker.PRECACHE.files.map(file => new URL(file, SCOPE).href);

/** Past the HTTP cache, which may hold files of another version. @param {string} url */
async function fetchFresh(url) {
  const response = await fetch(new Request(url, { cache: 'reload' }));
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  // A navigation refuses a response that was redirected; some hosts redirect index.html to its folder.
  return response.redirected ? new Response(response.body, { headers: response.headers }) : response;
}

async function install() {
  const cache = await caches.open(CACHE);
  // All or none: a failed install leaves no cache that looks whole.
  try {
    const responses = await Promise.all(FILES.map(fetchFresh));
    await Promise.all(FILES.map((url, index) => cache.put(url, responses[index])));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function activate() {
  const names = await caches.keys();
  await Promise.all(names.filter(name => name.startsWith(OURS) && name !== CACHE).map(name => caches.delete(name)));
  await worker.clients.claim();
}

/** Whether every file of this version is still in the cache: browsers may evict it. */
async function complete() {
  const cache = await caches.open(CACHE);
  const found = await Promise.all(FILES.map(url => cache.match(url)));
  return found.every(Boolean);
}

/**
 * @param {Request} request
 * @returns {Promise<Response>}
 */
async function answer(request) {
  const url = new URL(request.url);
  const isStart = request.mode === 'navigate' && [SCOPE.pathname, new URL(START).pathname].includes(url.pathname);
  const cache = await caches.open(CACHE);
  const kept = await cache.match(isStart ? START : request, { ignoreSearch: true });
  return kept ?? fetch(request);
}

worker.addEventListener('install', event => event.waitUntil(install()));
worker.addEventListener('activate', event => event.waitUntil(activate()));

worker.addEventListener('fetch', event => {
  const { request } = event;
  if (request.method === 'GET' && request.url.startsWith(SCOPE.href)) event.respondWith(answer(request));
});

worker.addEventListener('message', event => {
  if (event.data === 'take-over') worker.skipWaiting();
  if (event.data === 'complete?') event.waitUntil(complete().then(whole => event.ports[0].postMessage(whole)));
});
