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

/** The version of this page; an unbuilt one has none. */
const VERSION = document.documentElement.dataset.version ?? '';

export class OfflineCopy extends EventTarget {
  /** @type {Offline} */
  state = 'starting';
  /** A newer version, installed and waiting to be used. @type {ServiceWorker | null} */
  waiting = null;
  /** The worker in charge is of another version than this page's files: another tab asked for it. */
  overtaken = false;
  #asked = false;
  /** @type {ServiceWorkerRegistration | undefined} */
  #registration;

  async start() {
    if (!('serviceWorker' in navigator)) return this.#is('online-only');
    navigator.serviceWorker.addEventListener('controllerchange', () => {
      if (this.#asked) location.reload();
      else this.#check();
    });
    // A page left open for days looks for a new version when it is looked at again, and makes up for a copy that failed.
    const again = () => document.hidden || this.#register();
    document.addEventListener('visibilitychange', again);
    window.addEventListener('online', again);
    await this.#register();
  }

  /** Moves to the version that waits; the page reloads as it takes over. */
  useNew() {
    if (this.overtaken) return location.reload();
    this.#asked = true;
    this.waiting?.postMessage('take-over');
  }

  async #register() {
    const { serviceWorker } = navigator;
    try {
      const registration = await serviceWorker.register('./worker.js', { updateViaCache: 'none' });
      if (registration === this.#registration) registration.update().catch(() => undefined);
      else this.#watch(this.#registration = registration);
    } catch {
      if (!serviceWorker.controller) this.#is('failed');
    }
    this.#check();
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

  /** Asks the worker whether it holds every file. A forced reload goes past the one that is there. */
  #check() {
    const { controller } = navigator.serviceWorker;
    const worker = controller ?? this.#registration?.active;
    if (!worker) return;
    const { port1, port2 } = new MessageChannel();
    const silent = setTimeout(() => this.#is('failed'), ANSWER_WITHIN_MS);
    port1.onmessage = ({ data: { state, same } }) => {
      clearTimeout(silent);
      this.overtaken = Boolean(controller) && !same;
      this.#is(state === 'ready' && !controller ? 'next-time' : state);
    };
    worker.postMessage(VERSION, [port2]);
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
