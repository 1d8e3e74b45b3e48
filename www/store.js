// @ts-check
// What stays on this device: kept spots, filters, frames and settings, one record a key, in IndexedDB. A promise here
// resolves only after the transaction has completed with strict durability, so "kept" may be said then
// and not before. Where the browser keeps nothing, the work lives in memory and `trouble` says so.

/**
 * @typedef {import('./lib/book.js').Kept} Kept
 * @typedef {import('./lib/desk.js').OwnFilter} OwnFilter
 * @typedef {import('./lib/frames.js').Frame} Frame
 */

const NAME = 'duskbook';
const SPOTS = 'spots';
const FILTERS = 'filters';
const FRAMES = 'frames';
const SETTINGS = 'settings';

/** What each version of the store added to the one before. Nothing kept is ever rewritten on the way. @type {((database: IDBDatabase) => void)[]} */
const UPGRADES = [
  database => {
    database.createObjectStore(SPOTS, { keyPath: 'id' });
    database.createObjectStore(SETTINGS);
  },
  database => database.createObjectStore(FILTERS, { keyPath: 'id' }),
  database => database.createObjectStore(FRAMES, { keyPath: 'id' }),
];
const VERSION = UPGRADES.length;

/**
 * Brings a store of an older version, 0 for none, to this one.
 * @param {IDBDatabase} database
 * @param {number} from
 */
export function upgrade(database, from) {
  for (const step of UPGRADES.slice(from)) step(database);
}

/** Opening may hang for ever in some private windows. */
const OPEN_WITHIN_MS = 4000;

/** @returns {Promise<IDBDatabase>} */
function open() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, VERSION);
    const late = setTimeout(() => reject(new Error('the browser did not answer')), OPEN_WITHIN_MS);
    request.onupgradeneeded = ({ oldVersion }) => upgrade(request.result, oldVersion);
    request.onsuccess = () => {
      clearTimeout(late);
      // Another tab with a newer page may need to upgrade; this one then works from memory.
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => {
      clearTimeout(late);
      reject(request.error);
    };
  });
}

/**
 * Runs one transaction to its completion and hands over what was asked of its stores.
 * @template T
 * @param {IDBDatabase} database
 * @param {string[]} names
 * @param {IDBTransactionMode} mode
 * @param {(stores: IDBObjectStore[]) => T} ask
 * @returns {Promise<T>}
 */
function transact(database, names, mode, ask) {
  return new Promise((resolve, reject) => {
    const transaction = database.transaction(names, mode, { durability: 'strict' });
    transaction.onabort = () => reject(transaction.error ?? new Error('the browser stopped it'));
    let asked;
    try {
      asked = ask(names.map(name => transaction.objectStore(name)));
    } catch (error) {
      // A record that the store cannot take: nothing of it goes in.
      transaction.abort();
      return reject(error);
    }
    const answer = asked;
    transaction.oncomplete = () => resolve(answer);
  });
}

export class Store {
  /** @type {IDBDatabase | null} */
  #database = null;
  /** @type {Map<string, Map<string, any>>} */
  #memory = new Map([SPOTS, FILTERS, FRAMES, SETTINGS].map(name => [name, new Map()]));
  /** @type {BroadcastChannel | null} */
  #others = typeof BroadcastChannel === 'function' ? new BroadcastChannel(NAME) : null;

  /** Why nothing stays after the page closes, or `null` when it does. @type {string | null} */
  trouble = null;

  /** Opens the device's store, or stands in for it from memory. */
  static async open() {
    const store = new Store();
    try {
      store.#database = await open();
    } catch (error) {
      store.trouble = error instanceof Error ? error.message : String(error);
    }
    return store;
  }

  /** @returns {Promise<Kept[]>} kept spots, by name */
  async spots() {
    const spots = await this.#all(SPOTS);
    return spots.sort((a, b) => a.spot.name.localeCompare(b.spot.name));
  }

  /** @param {Kept} spot */
  keepSpot(spot) {
    /** @type {Kept} */
    const kept = { ...spot, version: 2, keptMs: Date.now() };
    return this.#write(SPOTS, 'readwrite', store => store.put(kept), map => map.set(kept.id, kept));
  }

  /** @param {string} id */
  forgetSpot(id) {
    return this.#write(SPOTS, 'readwrite', store => store.delete(id), map => map.delete(id));
  }

  /** @returns {Promise<OwnFilter[]>} the reader's filters, as they came into the bag */
  async filters() {
    const filters = await this.#all(FILTERS);
    return filters.sort((a, b) => a.sinceMs - b.sinceMs);
  }

  /** @param {OwnFilter} filter */
  keepFilter(filter) {
    return this.#write(FILTERS, 'readwrite', store => store.put(filter), map => map.set(filter.id, filter));
  }

  /** @param {string} id */
  forgetFilter(id) {
    return this.#write(FILTERS, 'readwrite', store => store.delete(id), map => map.delete(id));
  }

  /** @returns {Promise<Frame[]>} the log, oldest first */
  async frames() {
    const frames = await this.#all(FRAMES);
    return frames.sort((a, b) => a.atMs - b.atMs);
  }

  /** Keeps all of some frames, or none. @param {Frame[]} frames at least one */
  keepFrames(frames) {
    return this.#write(FRAMES, 'readwrite', store => frames.map(frame => store.put(frame))[0], map => {
      for (const frame of frames) map.set(frame.id, frame);
    });
  }

  /** @param {string} id */
  forgetFrame(id) {
    return this.#write(FRAMES, 'readwrite', store => store.delete(id), map => map.delete(id));
  }

  /**
   * @param {string} key
   * @returns {Promise<any>}
   */
  async setting(key) {
    if (!this.#database) return this.#memory.get(SETTINGS)?.get(key);
    return (await transact(this.#database, [SETTINGS], 'readonly', ([store]) => store.get(key))).result;
  }

  /**
   * @param {string} key
   * @param {unknown} value
   */
  keepSetting(key, value) {
    return this.#write(SETTINGS, 'readwrite', store => store.put(value, key), map => map.set(key, value));
  }

  /**
   * Calls when another tab has written.
   * @param {() => void} listener
   */
  onOutsideChange(listener) {
    this.#others?.addEventListener('message', listener);
  }

  /** Every record of every store by its key. @returns {Promise<Record<string, Record<string, any>>>} */
  async everything() {
    const database = this.#database;
    if (!database) return Object.fromEntries([...this.#memory].map(([name, map]) => [name, Object.fromEntries(map)]));
    const names = [...database.objectStoreNames];
    const all = await transact(database, names, 'readonly', stores => stores.map(store => [store.getAllKeys(), store.getAll()]));
    return Object.fromEntries(names.map((name, i) =>
      [name, Object.fromEntries(all[i][0].result.map((key, place) => [key, all[i][1].result[place]]))]));
  }

  /**
   * Puts records into any stores, all of them or none.
   * @param {{ store: string, key: string, record: any }[]} entries
   */
  async putAll(entries) {
    const names = [...new Set(entries.map(({ store }) => store))];
    if (!names.length) return;
    if (this.#database) {
      await transact(this.#database, names, 'readwrite', stores => {
        for (const { store, key, record } of entries) {
          const into = stores[names.indexOf(store)];
          if (into.keyPath) into.put(record);
          else into.put(record, key);
        }
      });
    } else {
      for (const { store, key, record } of entries) this.#memory.get(store)?.set(key, record);
    }
    this.#others?.postMessage('all');
    // This tab's own readers as well: what changed is not theirs.
    this.#others?.dispatchEvent(new MessageEvent('message'));
  }

  /**
   * @param {string} name
   * @returns {Promise<any[]>}
   */
  async #all(name) {
    if (!this.#database) return [...(this.#memory.get(name)?.values() ?? [])];
    return (await transact(this.#database, [name], 'readonly', ([store]) => store.getAll())).result;
  }

  /**
   * @param {string} name
   * @param {IDBTransactionMode} mode
   * @param {(store: IDBObjectStore) => IDBRequest<any>} ask
   * @param {(map: Map<string, any>) => void} remember the same in memory
   */
  async #write(name, mode, ask, remember) {
    if (this.#database) {
      await transact(this.#database, [name], mode, ([store]) => ask(store));
    } else {
      remember(this.#memory.get(name) ?? new Map());
    }
    this.#others?.postMessage(name);
  }
}
