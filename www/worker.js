// @ts-check
/// <reference lib="webworker" />
// Keeps one whole version of the app for use with no signal. A worker serves only the cache of its own
// version, so that files of two versions never meet, and takes over from an older worker only when the
// page asks it to.

/** @typedef {{ version: string, check: number, files: string[] }} Precache `check` is of all files' bytes in a row */

// The packager writes the list before the first line, so that list and worker are of one version.
const worker = /** @type {ServiceWorkerGlobalScope & { PRECACHE: Precache }} */ (/** @type {unknown} */ (self));

const { version, check, files } = worker.PRECACHE;
const OURS = 'duskbook-';
const CACHE = OURS + version;
const SCOPE = new URL('./', worker.location.href);
const START = new URL('index.html', SCOPE).href;
const MANIFEST = new URL('manifest.webmanifest', SCOPE).href;
const FILES = files.map(file => new URL(file, SCOPE).href);

/** @param {string} name of a cache */
function isOther(name) {
  return name.startsWith(OURS) && name !== CACHE;
}

/**
 * One file, fetched past the HTTP cache, which may hold files of another version. Each is read as it comes: answers left
 * waiting would block the few connections to the host.
 * @param {string} url
 */
async function load(url) {
  const response = await fetch(new Request(url, { cache: 'reload' }));
  if (!response.ok) throw new Error(`${url}: ${response.status}`);
  const bytes = await response.clone().arrayBuffer();
  // A navigation refuses a response that was redirected; some hosts redirect index.html to its folder.
  return { url, bytes, kept: response.redirected ? new Response(bytes, { headers: response.headers }) : response };
}

/** Copies all or none: a host in the middle of its own update, or cut off, gives bytes that are not this version's. */
async function install() {
  const all = await Promise.all(FILES.map(load));
  let found = 0x811c9dc5;
  for (const { bytes } of all) for (const byte of new Uint8Array(bytes)) found = Math.imul(found ^ byte, 0x01000193);
  if (found >>> 0 !== check) throw new Error('not of one version');
  const cache = await caches.open(CACHE);
  await Promise.all(all.map(({ url, kept }) => cache.put(url, kept)));
}

/** Whether every file of this version is still in the cache: browsers may evict it. */
async function complete() {
  const kept = (await (await caches.open(CACHE)).keys()).map(({ url }) => url);
  return FILES.every(url => kept.includes(url));
}

/**
 * Tells a page how things stand. What was evicted is copied again; what older versions left goes when nobody needs it:
 * when the page that asked is still there, and no other.
 * @param {ExtendableMessageEvent} event its data the version of the page
 */
async function report({ ports: [port], data: asked, source }) {
  const tell = (/** @type {string} */ state) => port.postMessage({ state, same: asked === version });
  if (!await complete()) {
    tell('starting');
    return tell(await install().then(() => 'ready', () => 'failed'));
  }
  tell('ready');
  const { installing, waiting } = worker.registration;
  const pages = await worker.clients.matchAll({ includeUncontrolled: true });
  if (installing || waiting || asked !== version || `${pages.map(({ id }) => id)}` !== /** @type {Client} */ (source).id) return;
  await Promise.all((await caches.keys()).filter(isOther).map(name => caches.delete(name)));
}

/**
 * Keeps photographs from the system's share sheet until their card has looked into them (see lib/darkroom.js).
 * @param {Request} request
 */
async function takeShared(request) {
  let told = '';
  try {
    const shared = (await request.formData()).getAll('photos');
    const cache = await caches.open('shared');
    await Promise.all(shared.map((file, i) =>
      file instanceof File && cache.put(`${Date.now()}-${i}/${encodeURIComponent(file.name)}`, new Response(file))));
  } catch {
    told = '?lost';
  }
  return Response.redirect(`./#log/photo${told}`, 303);
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

/** Whether the host gives this version now: its files serve a page whose copy was evicted. @param {string} asked */
const hostHas = asked => fetch(START, { cache: 'no-store' }).then(async page => (await page.text()).includes(`data-version="${asked}"`), () => false);

/**
 * @param {FetchEvent} event
 * @returns {Promise<Response>}
 */
async function answer({ request }) {
  const url = new URL(request.url);
  const isStart = request.mode === 'navigate' && [SCOPE.pathname, new URL(START).pathname].includes(url.pathname);
  // What a page and its workers ask for is of their own version, which the packager wrote into the addresses, or not at all.
  const asked = isStart ? null : url.searchParams.get('v');
  const kept = await caches.match(isStart ? START : request, { cacheName: OURS + (asked || version), ignoreSearch: true });
  if (!kept) return !asked || await hostHas(asked) ? fetch(request) : Response.error();
  return url.href.startsWith(MANIFEST) && url.search ? manifestOf(kept, url.searchParams) : kept;
}

worker.addEventListener('install', event => event.waitUntil(install().catch(async error => {
  await caches.delete(CACHE);
  throw error;
})));
worker.addEventListener('activate', event => event.waitUntil(worker.clients.claim()));

worker.addEventListener('fetch', event => {
  const { request } = event;
  if (!request.url.startsWith(SCOPE.href)) return;
  if (request.method === 'GET') event.respondWith(answer(event));
  else if (request.method === 'POST' && new URL(request.url).pathname === SCOPE.pathname) event.respondWith(takeShared(request));
});

worker.addEventListener('message', event => {
  if (event.data === 'take-over') worker.skipWaiting();
  else event.waitUntil(report(event));
});
