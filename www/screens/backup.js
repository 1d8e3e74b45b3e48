// @ts-check
// Everything out and in as one file, spots for other programs, and the position for a map.

import { writeSpots } from '../core.js';
import { fileChooser } from '../elements/file-chooser.js';
import { mergePlan } from '../elements/merge-plan.js';
import { announce } from '../lib/announce.js';
import { newId } from '../lib/book.js';
import { el, fill, say } from '../lib/dom.js';
import { JSON_TYPE, STORES, backupFile, nameNow, planFile, titleOf } from '../lib/exchange.js';
import { canSend, handOver, send } from '../lib/file.js';
import { clock, dateIn, dateInWords, zoneHere } from '../lib/format.js';
import { reasonOf } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/exchange.js').Planned} Planned */

/** No log of ours comes near it. */
const LARGEST_BYTES = 20e6;

const LASTING = 'The browser has promised not to clear it by itself.';
const NOT_LASTING = 'The browser has not promised to keep it: it may clear it when room is short, and a private window forgets it at its end. Save the file now and then.';

/** @param {[store: string, count: number][]} counts */
const list = counts => counts.filter(([, count]) => count)
  .map(([store, count]) => `${count} ${STORES[store]?.[count === 1 ? 0 : 1] ?? store}`).join(', ');

/** @param {Book} book */
export function backup(book) {
  const held = el('p', { class: 'aside', id: 'held' });
  const outState = el('p', { role: 'status', id: 'out-state' });
  const inState = el('p', { role: 'status', id: 'in-state' });
  const file = fileChooser({
    id: 'file-in', label: 'Open a file', attributes: { accept: '.json,.geojson,.gpx,application/json,application/geo+json,application/gpx+xml' },
    onchange: ([given]) => { opened(given); },
  });
  const merge = mergePlan(words);
  const take = el('button', { type: 'button', id: 'take-in', hidden: true, on: { click: () => takeIn() } }, 'Take it in');
  const position = el('a', { id: 'geo-link' }, 'The open spot on a map');
  /** @type {Planned[]} */
  let plan = [];

  const button = (/** @type {string} */ id, /** @type {string} */ label, /** @type {() => void} */ click) =>
    el('button', { type: 'button', class: 'quiet', id, on: { click } }, label);
  const group = (/** @type {string} */ legend, /** @type {(Element | null)[]} */ ...inside) =>
    el('fieldset', { class: 'group' }, el('legend', {}, legend), ...inside);
  const sends = canSend('a.json', JSON_TYPE);
  const element = el(
    'section',
    { class: 'screen screen-backup', 'aria-label': 'Keep and share' },
    group('Everything, in one file', held,
      el('div', { class: 'acts' }, button('save-backup', 'Save the file', () => out(handOver)), sends && button('send-backup', 'Send it…', () => out(send))),
      outState),
    group('Take in a file', el('p', { class: 'aside' }, 'A backup of Duskbook, or spots as GeoJSON or GPX.'),
      file, inState, merge.element, take),
    group('Spots for other programs',
      el('div', { class: 'acts' }, button('save-geojson', 'GeoJSON', () => spots('geojson')), button('save-gpx', 'GPX', () => spots('gpx')), position)),
  );

  /** @param {Planned} planned */
  function words({ store, key, record, mine }) {
    const when = (/** @type {any} */ { keptMs } = {}) => (typeof keptMs === 'number' ? `${dateInWords(dateIn(zoneHere(), keptMs))}, ${clock(keptMs, zoneHere(), book.settings.hours)}` : 'not known');
    return { title: titleOf({ store, key, record }), told: store === 'spots' && mine ? `kept here: ${when(mine)}; in the file: ${when(record)}` : '' };
  }

  function render() {
    const { spot, shot, unknown } = book.open;
    const link = writeSpots({ form: 'links', spots: [{ id: '', spot, shot, unknown }] }).trim();
    position.hidden = !link;
    position.href = link;
    const counts = list(Object.entries(book.everything()).map(([store, records]) => [store, Object.keys(records).length]));
    say(held, `${counts || 'Nothing yet'} on this device${book.lasts ? `, ${book.waiting} only ${book.lasts}` : ''}. ${book.lasting ? LASTING : NOT_LASTING}`);
  }

  /** @param {(name: string, type: string, text: string) => Promise<string> | void} by */
  async function out(by) {
    const trouble = await by(...backupFile(book.everything()));
    say(outState, trouble ? `Not sent: ${trouble}` : '');
  }

  /** @param {'geojson' | 'gpx'} form */
  function spots(form) {
    const text = writeSpots({ form, spots: book.kept.map(({ id, spot, shot, unknown }) => ({ id, spot, shot, unknown })) });
    handOver(`${nameNow('spots-')}.${form}`, form === 'gpx' ? 'application/gpx+xml' : 'application/geo+json', text);
  }

  /** @param {File} given */
  async function opened(given) {
    reset();
    say(inState, 'Reading…');
    try {
      if (given.size > LARGEST_BYTES) throw new Error('it is too large');
      const read = planFile(await given.text(), book.everything());
      plan = read.plan;
      merge.draw(plan);
      const wanted = plan.some(({ verdict }) => verdict === 'add' || verdict === 'conflict');
      take.hidden = !wanted;
      if (wanted) book.unkept.add('backup');
      say(inState, [`${given.name}:`, wanted ? 'nothing is written yet.' : 'there is nothing to take in.', read.passed ? `${read.passed} in it ${read.passed === 1 ? 'is no point' : 'are no points'}.` : ''].join(' '));
    } catch (error) {
      fill(inState, el('span', { class: 'problem' }, `${given.name} is not taken in: ${reasonOf(error)}`));
    }
  }

  function reset() {
    plan = [];
    book.unkept.delete('backup');
    merge.clear();
    take.hidden = true;
    say(inState, '');
  }

  async function takeIn() {
    const entries = plan.flatMap(planned => {
      const { store, key, record, verdict } = planned;
      const taken = verdict === 'conflict' ? merge.taken(planned) : verdict === 'add' ? 'theirs' : 'mine';
      if (taken === 'mine') return [];
      const id = taken === 'both' ? newId() : key;
      return [{ store, key: id, record: taken === 'both' ? { ...record, id } : record }];
    });
    take.disabled = true;
    try {
      await book.takeIn(entries);
      reset();
      const told = entries.length ? `Taken in: ${list(Object.keys(STORES).map(store => [store, entries.filter(entry => entry.store === store).length]))}.` : 'Left as it was.';
      say(inState, book.lasts ? `${told} Only ${book.lasts}.` : told);
      announce(told);
    } catch (error) {
      fill(inState, el('span', { class: 'problem' }, `Nothing was taken in: ${reasonOf(error)}`));
    } finally {
      take.disabled = false;
    }
  }

  return { element, render };
}
