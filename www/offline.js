// @ts-check
// Registers the worker and tells the truth about it: "ready" means that the cache is whole and that the
// worker which holds it answers for this page.

/** @typedef {'starting' | 'ready' | 'next-time' | 'online-only' | 'failed'} Offline */

/** @type {Record<Offline, string>} */
export const OFFLINE_WORDS = {
  starting: 'copying itself for no signal…',
  ready: 'ready with no signal',
  'next-time': 'ready with no signal when next opened',
  'online-only': 'needs a signal in this browser',
  failed: 'needs a signal: the copy failed',
};

/** Browsers may take this long to wake a worker before its silence counts as a no. */
const ANSWER_WITHIN_MS = 3000;

/**
 * Whether the worker in charge holds every file.
 * @param {ServiceWorker} worker
 * @returns {Promise<boolean>}
 */
function holdsAll(worker) {
  return new Promise(resolve => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = event => resolve(event.data === true);
    setTimeout(() => resolve(false), ANSWER_WITHIN_MS);
    worker.postMessage('complete?', [port2]);
  });
}

export class OfflineCopy extends EventTarget {
  /** @type {Offline} */
  state = 'starting';
  /** A newer version, installed and waiting to be used. @type {ServiceWorker | null} */
  waiting = null;
  /** A newer version took over from another tab: this page's files are of the version before. */
  overtaken = false;
  #asked = false;

  async start() {
    if (!('serviceWorker' in navigator)) return this.#is('online-only');
    const { serviceWorker } = navigator;
    let first = !serviceWorker.controller;
    serviceWorker.addEventListener('controllerchange', () => {
      if (this.#asked) {
        location.reload();
      } else if (first) {
        first = false;
        this.#check();
      } else {
        this.overtaken = true;
        this.#told();
      }
    });
    try {
      const registration = await serviceWorker.register('./worker.js', { updateViaCache: 'none' });
      this.#watch(registration);
      // A page left open for days looks for a new version when it is looked at again.
      document.addEventListener('visibilitychange', () => {
        if (!document.hidden) registration.update().catch(() => undefined);
      });
      // A forced reload goes past the worker that is there.
      if (registration.active && !serviceWorker.controller) this.#is('next-time');
    } catch {
      if (!serviceWorker.controller) this.#is('failed');
    }
    await this.#check();
  }

  /** Moves to the version that waits; the page reloads as it takes over. */
  useNew() {
    if (this.overtaken) return location.reload();
    this.#asked = true;
    this.waiting?.postMessage('take-over');
  }

  /** @param {ServiceWorkerRegistration} registration */
  #watch(registration) {
    const look = () => {
      this.waiting = navigator.serviceWorker.controller ? registration.waiting : null;
      this.#told();
    };
    const follow = (/** @type {ServiceWorker | null} */ worker) =>
      worker?.addEventListener('statechange', () => {
        look();
        if (worker.state === 'redundant' && !registration.active) this.#is('failed');
      });
    look();
    follow(registration.installing);
    registration.addEventListener('updatefound', () => follow(registration.installing));
  }

  async #check() {
    const worker = navigator.serviceWorker.controller;
    if (worker) this.#is((await holdsAll(worker)) ? 'ready' : 'failed');
  }

  /** @param {Offline} state */
  #is(state) {
    this.state = state;
    this.#told();
  }

  #told() {
    this.dispatchEvent(new Event('change'));
  }
}
