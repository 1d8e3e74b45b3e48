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
const MANIFEST = new URL('manifest.webmanifest', SCOPE).href;
const FILES = worker.PRECACHE.files.map(file => new URL(file, SCOPE).href);

/**
 * Keeps one file, fetched past the HTTP cache, which may hold files of another version. Each is written as
 * it comes: answers left waiting with their bodies unread would block the few connections to the host.
 * @param {Cache} cache
 * @param {string} url
 */
async function copy(cache, url) {
  const response = await fetch(new Request(url, { cache: 'reload' }));
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  // A navigation refuses a response that was redirected; some hosts redirect index.html to its folder.
  const direct = response.redirected ? new Response(response.body, { headers: response.headers }) : response;
  await cache.put(url, direct);
}

async function install() {
  const cache = await caches.open(CACHE);
  // All or none: a failed install leaves no cache that looks whole.
  try {
    await Promise.all(FILES.map(url => copy(cache, url)));
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
 * The manifest of one spot: the app's own, starting at the spot's address and bearing its name.
 * @param {Response} whole
 * @param {URLSearchParams} query
 */
async function manifestOf(whole, query) {
  const start = query.get('start') ?? '';
  const name = query.get('name') ?? '';
  if (!start.startsWith('#spot?')) return whole;
  const manifest = await whole.json();
  const spot = {
    ...manifest,
    start_url: `./${start}`,
    id: `./?${new URLSearchParams({ spot: name })}`,
    ...(name ? { name, short_name: name } : {}),
  };
  return new Response(JSON.stringify(spot), { headers: { 'Content-Type': 'application/manifest+json' } });
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
  if (!kept) return fetch(request);
  return url.href.startsWith(MANIFEST) && url.search ? manifestOf(kept, url.searchParams) : kept;
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
