// @ts-check
// What stays on this device: kept spots, filters, frames and settings, one record a key, in IndexedDB, and in memory as it was
// last read. A record waits in `#unkept` until a transaction with strict durability that holds it has completed, so
// "kept" may be said when `trouble` is `null` after a write, and not before. What the browser would not take stays in memory,
// is tried again, and never goes over a record that has come to lie there meanwhile; of a setting only the fields that were set do.

/**
 * @typedef {import('./lib/book.js').Kept} Kept
 * @typedef {import('./lib/desk.js').OwnFilter} OwnFilter
 * @typedef {import('./lib/frames.js').Frame} Frame
 *
 * @typedef {object} Entry
 * @property {string} store
 * @property {string} key
 * @property {any} record `undefined` to forget it
 * @property {any} [base] what lay there when it was changed
 * @property {object} [change] the fields of a setting that were set
 *
 * @typedef {{ store: string, key: string, title: string, reason: string }} Refused a record that this version cannot read
 * @typedef {(entries: Entry[]) => { record?: any, title: string, reason: string }[]} Judge says of each record what it is to this version, or why it is nothing
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

/** Opening may hang for ever in some private windows, or behind another tab. */
const OPEN_WITHIN_MS = 4000;
const ANSWER_WITHIN_MS = 8000;
const AGAIN_MS = 15_000;
/** Touches in another tab that follow each other faster are read together. */
const TOUCHES_MS = 100;

const SILENT = 'the browser’s store does not answer';
const CLOSED = 'the browser closed its store';
const NEWER = 'a newer Duskbook is open here: load this page anew';
const SHUT = 'this browser keeps nothing here, as in some private windows';
/** @type {Record<string, string>} */
const REASONS = {
  QuotaExceededError: 'the browser has no room left',
  VersionError: NEWER,
  SecurityError: SHUT,
  InvalidStateError: CLOSED,
};

/** @param {any} error */
const reasonFor = error => (typeof error === 'string' ? error : REASONS[error?.name] ?? `the browser’s store fails: ${error?.message}`);

/** Remembers that something was kept. @returns {Pick<Storage, 'getItem' | 'setItem'>} */
function witness() {
  try {
    return localStorage;
  } catch {
    return { getItem: () => null, setItem: () => undefined };
  }
}

/** @param {{ store: string, key: string }} entry */
const idOf = ({ store, key }) => `${store} ${key}`;

/** @param {any} one @param {any} other */
const same = (one, other) => JSON.stringify(one) === JSON.stringify(other);

/** @typedef {Map<string, Map<string, any>>} Records by store and key */

/** @param {Records} records @param {Entry} entry */
function lay(records, { store, key, record }) {
  if (record === undefined) records.get(store)?.delete(key);
  else records.set(store, (records.get(store) ?? new Map()).set(key, record));
}

/** A setting gets the fields that were set, over what lies there. @param {any} there @param {Entry} entry */
const laid = (there, { record, change }) => (change ? { ...(there ?? record), ...change } : record);

/** @param {IDBObjectStore} into @param {Entry} entry */
function put(into, { key, record }) {
  if (record === undefined) into.delete(key);
  else if (into.keyPath) into.put(record);
  else into.put(record, key);
}

/**
 * Keeps a change of what may lie otherwise by now: then a record goes beside the other.
 * @param {IDBObjectStore} into
 * @param {Entry} entry
 */
function reconcile(into, entry) {
  const { store, key, record, base } = entry;
  into.get(key).onsuccess = ({ target }) => {
    const there = /** @type {IDBRequest} */ (target).result;
    if (there === undefined || store === SETTINGS || same(there, base)) put(into, { ...entry, record: laid(there, entry) });
    else if (record && !same(there, record)) into.put({ ...record, id: `${key}-${Date.now()}` });
  };
}

/** Transactions on their way. @type {Set<IDBTransaction>} */
const running = new Set();

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
    const late = setTimeout(() => reject(SILENT), ANSWER_WITHIN_MS);
    const transaction = database.transaction(names, mode, { durability: 'strict' });
    running.add(transaction);
    /** @type {T} */
    let asked;
    transaction.oncomplete = transaction.onabort = ({ type }) => {
      running.delete(transaction);
      clearTimeout(late);
      if (type === 'abort') reject(transaction.error ?? CLOSED);
      else resolve(asked);
    };
    try {
      asked = ask(names.map(name => transaction.objectStore(name)));
    } catch (error) {
      // A record that the store cannot take: nothing of it goes in.
      transaction.abort();
      reject(error);
    }
  });
}

export class Store {
  /** @type {IDBDatabase | null} */
  #database = null;
  /** A request to open it is out. */
  #asked = false;
  #blocked = false;
  /** What was here before is there no more. */
  #emptied = false;
  #read = false;
  /** @type {Records} */
  #lying = new Map();
  /** The same as this version reads it. @type {{ records: Records, refused: Refused[] } | null} */
  #judged = null;
  /** What the browser itself cannot read. @type {Refused[]} */
  #torn = [];
  /** @type {Map<string, Entry>} */
  #unkept = new Map();
  /** How often something was written. */
  #writes = 0;
  #retrying = Promise.resolve();
  #told = '';
  #judge;
  /** @type {((first: boolean) => void)[]} */
  #listeners = [];
  /** @type {BroadcastChannel | null} */
  #others = typeof BroadcastChannel === 'function' ? new BroadcastChannel(NAME) : null;

  /** The browser threw away what was kept before: it does so with a damaged store, and most say nothing. */
  gone = false;

  /** Why something does not stay after the page closes, or `null` when all does. @type {string | null} */
  trouble = null;

  /** @param {Judge} judge not asked before something is read from the store */
  constructor(judge) {
    this.#judge = judge;
  }

  /** Opens the device's store, or stands in for it from memory. @param {Judge} judge */
  static async open(judge) {
    const store = new Store(judge);
    // WebKit sets a page aside with what is on its way, and the next page's store would wait for that for ever. It waits in
    // this page, should it come back.
    addEventListener('pagehide', ({ persisted }) => {
      for (const transaction of persisted ? running : []) {
        try {
          transaction.abort();
        } catch {
          // It is being kept already.
        }
      }
    });
    try {
      await store.#open();
      await store.#load();
    } catch (error) {
      store.trouble = reasonFor(error);
    }
    let due = 0;
    store.#others?.addEventListener('message', () => {
      clearTimeout(due);
      due = setTimeout(() => store.#load().then(() => store.#tell(), error => store.#fail(error)), TOUCHES_MS);
    });
    setInterval(() => store.trouble && store.retry(), AGAIN_MS);
    return store;
  }

  /** How many records wait to be kept. */
  get waiting() {
    return this.#unkept.size;
  }

  /** @returns {Refused[]} */
  get refused() {
    return this.#sorted().refused;
  }

  /** @returns {Kept[]} kept spots, by name */
  spots() {
    return this.#all(SPOTS).sort((a, b) => a.spot.name.localeCompare(b.spot.name));
  }

  /** @param {Kept} spot */
  keepSpot(spot) {
    return this.#write([{ store: SPOTS, key: spot.id, record: { ...spot, version: 2, keptMs: Date.now() } }]);
  }

  /** @param {string} id */
  forgetSpot(id) {
    return this.#write([{ store: SPOTS, key: id, record: undefined }]);
  }

  /** @returns {OwnFilter[]} the reader's filters, as they came into the bag */
  filters() {
    return this.#all(FILTERS).sort((a, b) => a.sinceMs - b.sinceMs);
  }

  /** @param {OwnFilter} filter */
  keepFilter(filter) {
    return this.#write([{ store: FILTERS, key: filter.id, record: filter }]);
  }

  /** @param {string} id */
  forgetFilter(id) {
    return this.#write([{ store: FILTERS, key: id, record: undefined }]);
  }

  /** @returns {Frame[]} the log, oldest first */
  frames() {
    return this.#all(FRAMES).sort((a, b) => a.atMs - b.atMs);
  }

  /** Keeps all of some frames, or none. @param {Frame[]} frames */
  keepFrames(frames) {
    return this.#write(frames.map(record => ({ store: FRAMES, key: record.id, record })));
  }

  /** @param {string} id */
  forgetFrame(id) {
    return this.#write([{ store: FRAMES, key: id, record: undefined }]);
  }

  /**
   * @param {string} key
   * @returns {any}
   */
  setting(key) {
    return this.#sorted().records.get(SETTINGS)?.get(key);
  }

  /** Why a setting could not be read again, or nothing. @param {string} key @param {unknown} record */
  wrong(key, record) {
    return this.#judge([{ store: SETTINGS, key, record }])[0].reason;
  }

  /** @param {string} key @param {unknown} record */
  keepSetting(key, record) {
    return this.#write([{ store: SETTINGS, key, record }]);
  }

  /** @param {string} key @param {object} change the fields of it that were set */
  changeSetting(key, change) {
    return this.#write([{ store: SETTINGS, key, record: change, change }]);
  }

  /**
   * Calls when another tab has written, and when there is trouble or it is over: then `first` when the store could not be
   * read before.
   * @param {(first: boolean) => void} listener
   */
  onChange(listener) {
    this.#listeners.push(listener);
  }

  /** Every record of every store by its key, as it lies. @returns {Record<string, Record<string, any>>} */
  everything() {
    return Object.fromEntries([...this.#lying].map(([name, records]) => [name, Object.fromEntries(records)]));
  }

  /**
   * Puts records into any stores, all of them or none.
   * @param {Entry[]} entries
   */
  async putAll(entries) {
    await this.#write(entries, true);
    // Something refused may have been replaced.
    this.#torn = this.#torn.filter(torn => !entries.some(entry => idOf(entry) === idOf(torn)));
    this.#judged = null;
    this.#tell();
  }

  /** Forgets what cannot be read. */
  dropRefused() {
    return this.putAll(this.refused.map(({ store, key }) => ({ store, key, record: undefined })));
  }

  /**
   * Tries to keep what waits.
   * @param {Entry[]} first goes by itself, so that what frees room is not held up by what lacks it
   * @param {boolean} [whole] also into a store that was emptied
   */
  retry(first = [], whole = false) {
    return this.#retrying = this.#retrying.then(() => this.#again(first, whole));
  }

  /** @param {Entry[]} first @param {boolean} whole */
  async #again(first, whole) {
    const before = this.#read;
    const waits = (/** @type {Entry} */ entry) => this.#unkept.get(idOf(entry)) === entry;
    try {
      if (!this.#database) await this.#open();
      await this.#flush(first.filter(waits), true);
      if (whole || !this.#emptied) {
        await this.#flush([...this.#unkept.values()], true);
        await this.#load();
        this.#emptied = false;
        this.trouble = null;
      }
    } catch (error) {
      this.trouble = reasonFor(error);
    }
    // Trying in vain is nothing to tell again.
    if (this.#told !== this.#state) this.#tell(this.#read && !before);
  }

  get #state() {
    return `${this.trouble} ${this.waiting > 0}`;
  }

  /** @param {any} error */
  #fail(error) {
    this.trouble = reasonFor(error);
    this.#tell();
  }

  #tell(first = false) {
    this.#told = this.#state;
    for (const listener of this.#listeners) listener(first);
  }

  /** @returns {Promise<void>} */
  #open() {
    return new Promise((resolve, reject) => {
      const late = () => reject(this.#blocked ? 'an older Duskbook is open in another tab: close it' : 'the browser’s store does not open');
      if (this.#asked) return late();
      const request = indexedDB.open(NAME, VERSION);
      const waiting = setTimeout(late, OPEN_WITHIN_MS);
      const answered = () => {
        clearTimeout(waiting);
        this.#asked = this.#blocked = false;
      };
      this.#asked = true;
      request.onblocked = () => { this.#blocked = true; };
      request.onupgradeneeded = ({ oldVersion }) => {
        this.#emptied = !oldVersion && this.#read;
        this.gone = !oldVersion && !this.#read && witness().getItem(NAME) !== null;
        upgrade(request.result, oldVersion);
      };
      request.onerror = () => {
        answered();
        reject(request.error);
      };
      request.onsuccess = () => {
        answered();
        const database = request.result;
        const lost = (/** @type {string} */ why) => {
          this.#database = null;
          this.#fail(why);
        };
        database.onversionchange = () => {
          database.close();
          lost(NEWER);
        };
        database.onclose = () => lost(CLOSED);
        this.#database = database;
        if (this.#emptied) this.#keepAll();
        resolve();
        // It opened after all.
        if (this.trouble) this.retry();
      };
    });
  }

  /** All that was here waits to be kept again, should the reader want that. */
  #keepAll() {
    this.trouble = 'what was kept here is gone from the browser';
    for (const [store, records] of this.#lying) {
      for (const [key, record] of records) this.#unkept.set(`${store} ${key}`, { store, key, record });
    }
  }

  /** @returns {Promise<void>} */
  async #load() {
    const database = this.#database;
    if (!database) throw CLOSED;
    const names = [...database.objectStoreNames];
    /** @type {Records} */
    const lying = new Map();
    const torn = [];
    const writes = this.#writes;
    try {
      const all = await transact(database, names, 'readonly', stores => stores.map(store => [store.getAllKeys(), store.getAll()]));
      all.forEach(([keys, records], i) => lying.set(names[i], new Map(keys.result.map((key, at) => [String(key), records.result[at]]))));
    } catch (error) {
      if (typeof error === 'string') throw error;
      // One record that the browser cannot read would hide all others.
      for (const name of names) {
        const records = new Map();
        for (const key of (await transact(database, [name], 'readonly', ([store]) => store.getAllKeys())).result) {
          try {
            records.set(String(key), (await transact(database, [name], 'readonly', ([store]) => store.get(key))).result);
          } catch (error) {
            // No answer is no fault of the record.
            if (typeof error === 'string') throw error;
            torn.push({ store: name, key: String(key), title: `${name} ${key}`, reason: reasonFor(error) });
          }
        }
        lying.set(name, records);
      }
      // What was written between these transactions may be in none of them.
      if (writes !== this.#writes) return this.#load();
    }
    for (const entry of this.#unkept.values()) lay(lying, { ...entry, record: laid(lying.get(entry.store)?.get(entry.key), entry) });
    this.#lying = lying;
    this.#torn = torn;
    this.#judged = null;
    this.#read = true;
  }

  #sorted() {
    if (this.#judged) return this.#judged;
    const entries = [...this.#lying].flatMap(([store, records]) => [...records].map(([key, record]) => ({ store, key, record })));
    /** @type {Records} */
    const records = new Map();
    const refused = [...this.#torn];
    this.#judge(entries).forEach(({ record, title, reason }, i) => {
      if (reason) refused.push({ ...entries[i], title, reason });
      else lay(records, { ...entries[i], record });
    });
    return this.#judged = { records, refused };
  }

  /** @param {string} name @returns {any[]} */
  #all(name) {
    return [...this.#sorted().records.get(name)?.values() ?? []];
  }

  /**
   * Keeps records, or lets them wait in memory and says so in `trouble`.
   * @param {Entry[]} entries
   * @param {boolean} [over] also what lies there and cannot be read
   * @throws {DOMException} what no store can take
   */
  async #write(entries, over) {
    const noted = entries.flatMap(given => {
      const { store, key } = given;
      const there = this.#lying.get(store)?.get(key);
      const record = structuredClone(laid(there, given));
      const id = idOf(given);
      const { records, refused } = this.#sorted();
      // A setting that cannot be read is not written over, nor by one that could not: it lasts for this page.
      if (store === SETTINGS && !over && (refused.some(each => idOf(each) === id) || this.wrong(key, record))) return [];
      lay(records, { ...given, record });
      const before = this.#unkept.get(id);
      const entry = {
        ...given, record, base: before ? before.base : there,
        change: given.change && { ...before?.change, ...given.change },
      };
      this.#unkept.set(id, entry);
      lay(this.#lying, entry);
      return [entry];
    });
    if (this.trouble) return this.retry(noted);
    try {
      await this.#flush(noted, false);
    } catch (error) {
      this.#fail(error);
    }
  }

  /**
   * Puts records into the store by one transaction.
   * @param {Entry[]} entries
   * @param {boolean} careful something else may have come to lie there
   */
  async #flush(entries, careful) {
    if (!entries.length) return;
    if (!this.#database) throw CLOSED;
    const names = [...new Set(entries.map(({ store }) => store))];
    await transact(this.#database, names, 'readwrite', stores => {
      for (const entry of entries) (careful || entry.change ? reconcile : put)(stores[names.indexOf(entry.store)], entry);
    });
    this.#writes += 1;
    for (const entry of entries) {
      const id = idOf(entry);
      const later = this.#unkept.get(id);
      if (later === entry) this.#unkept.delete(id);
      else if (later) later.base = entry.record;
    }
    if (names.some(name => name !== SETTINGS)) witness().setItem(NAME, '');
    this.#others?.postMessage('');
  }
}
