// @ts-check
// The evenings worth going: a year at the spot, what is wished for, and the evenings that hold it; and the other way
// round, what tonight is at each spot that is kept.

import { refusal, view, yearSearch, zoneDay } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { pick } from '../elements/choice.js';
import { field } from '../elements/field.js';
import { skyCards } from '../elements/sky-cards.js';
import { yearPicture } from '../elements/year-picture.js';
import { asOpen } from '../lib/book.js';
import { afterPaint, el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { lensInHand } from '../lib/kit.js';
import { placeOf, skylineOf } from '../lib/outlook.js';

/**
 * @typedef {import('../lib/book.js').Book} Book
 * @typedef {import('../lib/book.js').Open} Open
 * @typedef {ReturnType<typeof yearSearch>} Year
 */

const DAY_MS = 86_400_000;
const MOST_TOLD = 40;

/** Lit parts of the moon, from and to. @type {Record<string, [number, number]>} */
const LIT = { any: [0, 1], thin: [0.01, 0.25], half: [0.25, 0.75], full: [0.95, 1] };

/** @param {Book} book */
export function year(book) {
  /** @type {Record<string, { value: string }>} */
  const asked = {};
  const wish = (/** @type {string} */ id, /** @type {string} */ label, /** @type {[string, string][]} */ choices, value = choices[0][0]) => {
    asked[id] = pick({ id, choices, value, onchange: () => render() });
    return field({ id, label, control: /** @type {any} */ (asked[id]).element }).element;
  };
  const steps = (/** @type {number[]} */ values, /** @type {string} */ before, /** @type {string} */ unit) => values.map(value => /** @type {[string, string]} */ ([String(value), `${before}${format.typed(value)}${unit}`]));
  const picture = yearPicture();
  const found = el('p', { id: 'found', class: 'outcome-value', role: 'status' });
  const took = el('p', { class: 'aside', id: 'took' });
  const list = el('ol', { class: 'evenings', id: 'evenings' });
  const months = el('tbody', {});
  const spots = el('ul', { class: 'evenings', id: 'spots-tonight' });
  const element = el(
    'section',
    { class: 'screen screen-year', 'aria-label': 'Year' },
    skyCards('sky/year'),
    el('div', { class: 'pairs roomy' },
      wish('body', 'At the skyline', [['sun', 'The sun'], ['moon', 'The moon, about twilight']]),
      wish('toleranceDeg', 'From the lens’s bearing', [['', 'Any distance'], ...steps([0.5, 1, 2, 3, 5, 10, 20], 'Within ', '°')], '2')),
    el('details', { class: 'more' }, el('summary', {}, 'And the moon, the balance, the dark'), el('div', { class: 'pairs roomy' },
      wish('lit', 'Moon in the frame about twilight', [['', 'Does not matter'], ['any', 'Any moon'], ['thin', 'Up to a quarter lit'], ['half', 'About half'], ['full', 'Full, or nearly']]),
      wish('above', 'How high it stands', steps([0, 2, 5, 10, 20], 'At least ', '°')),
      wish('balanceMinutes', 'Sky and lamps balance', [['', 'Does not matter'], ...steps([5, 8, 10, 12, 15, 20, 30], 'At least ', ' min')]),
      wish('darkMinutes', 'Dark, without the moon', [['', 'Does not matter'], ...steps([30, 60, 120, 240], 'At least ', ' min')]))),
    found, list,
    el('h2', {}, 'The year'), picture.element,
    el('p', { class: 'aside' }, 'Down from the sun’s noon to its midnight: day, three twilights, night; below, how much of the moon is lit. Marks on top: what was found.'), took,
    el('details', { class: 'more' }, el('summary', {}, 'The year in numbers'), el('div', { class: 'wide', role: 'region', tabindex: 0, 'aria-label': 'The year in numbers' }, el('table', {},
      el('thead', {}, el('tr', {}, ...['Date', 'Sun', '−6°', '−12°', '−18°', 'Moon lit'].map(head => el('th', { scope: 'col' }, head)))), months))),
    el('h2', {}, 'Which of your spots tonight'), spots,
    cautions('sun', 'edges'),
  );

  /** @param {Open} open @param {{ startMs: number, endMs: number }} span @param {object} [wishes] */
  function search(open, span, wishes = {}) {
    const { focalMm, formatMm } = lensInHand({ kit: book.kit, open });
    const { horizontalDeg } = view({ focalMm, formatMm, distanceM: 100, focusM: undefined, subjectM: undefined, sweepDeg: undefined, riseDeg: undefined, overlap: undefined });
    return yearSearch({
      place: placeOf(open), ...span, part: book.part, bearingDeg: open.spot.bearingDeg ?? 0, fieldDeg: horizontalDeg, ...skylineOf(open),
      light: { cloud: open.light.cloud, scene: open.light.scene }, ...wishes,
    });
  }

  /** What an evening is, in a line. @param {Year} year @param {number} row @param {Open} open @param {string} name of what passes */
  function words(year, row, { spot }, name) {
    const at = (/** @type {number} */ atMs) => format.clock(atMs, spot.zone, book.settings.hours);
    const off = year.passageOffDeg[row];
    const [from, to] = [year.balanceFromMs[row], year.balanceToMs[row]];
    const up = year.moonAltitudeDeg[row];
    const inFrame = year.moonFromMs[row];
    return [
      year.passageMs[row] && `${name} ${Math.abs(off) < 0.05 ? 'along' : `${format.degrees(Math.abs(off), 1)} ${off < 0 ? 'left' : 'right'} of`} the lens at ${at(year.passageMs[row])}`,
      `moon ${format.percent(year.moonLit[row])}, ${inFrame ? `in the frame ${at(inFrame)} to ${at(year.moonToMs[row])}` : up > 0 ? `${format.degrees(up)} up at ${format.bearing(year.moonAzimuthDeg[row])}` : 'down'}`,
      from && `balance ${format.number((to - from) / 60_000)} min from ${at(from)}`,
    ].filter(Boolean).join(' · ');
  }

  /** The civil date of a row. @param {Year} year @param {number} row @param {Open} open */
  const dateOf = (year, row, { spot }) => format.dateIn(spot.zone, year.startMs[row] + DAY_MS / 4);

  const render = afterPaint(element, () => draw(Date.now()));

  /** @param {number} nowMs */
  function draw(nowMs) {
    const { open } = book;
    const value = (/** @type {string} */ id) => (asked[id].value === '' ? undefined : Number(asked[id].value));
    try {
      const { startMs } = zoneDay({ zone: open.spot.zone, date: format.dateIn(open.spot.zone, nowMs) });
      const [litLeast, litMost] = LIT[asked.lit.value] ?? [];
      const before = performance.now();
      const answer = search(open, { startMs, endMs: startMs + 365 * DAY_MS }, {
        body: asked.body.value, toleranceDeg: value('toleranceDeg'), balanceMinutes: value('balanceMinutes'), darkMinutes: value('darkMinutes'),
        moon: litMost === undefined ? undefined : { litLeast, litMost, altitudeDeg: value('above') },
      });
      say(took, `${answer.startMs.length} days, searched in ${format.number(performance.now() - before)} ms.`);
      const name = asked.body.value === 'sun' ? 'Sun' : 'Moon';
      const count = answer.best.length;
      const wished = ['toleranceDeg', 'lit', 'balanceMinutes', 'darkMinutes'].some(id => asked[id].value);
      const kind = book.part === 'evening' ? 'evening' : 'morning';
      say(found, wished ? format.howMany(count, kind) : '');
      fill(list, ...(wished ? [...answer.best].slice(0, MOST_TOLD) : []).map(row => {
        const date = dateOf(answer, row, open);
        return el('li', {}, el('a', { href: `#evening?date=${date}&part=${book.part}` }, el('b', {}, format.dateInWords(date)), ' ', el('span', {}, words(answer, row, open, name))));
      }), wished && count > MOST_TOLD && el('li', {}, `and ${count - MOST_TOLD} more: wish for more`));
      const dates = Array.from(answer.startMs.keys(), row => dateOf(answer, row, open));
      const begins = (/** @type {number} */ row) => dates[row].endsWith('-01');
      picture.draw(wished ? answer : { ...answer, holds: new Uint8Array() }, book.part === 'morning', row => (begins(row) ? 'JFMAMJJASOND'[Number(dates[row].slice(5, 7)) - 1] : null));
      const at = (/** @type {number} */ atMs) => (atMs ? format.clock(atMs, open.spot.zone, book.settings.hours) : '–');
      fill(months, ...dates.flatMap((date, row) => (row && !begins(row) ? [] : [el('tr', {}, el('th', { scope: 'row' }, format.dateInWords(date)),
        ...[...[answer.sunMs, answer.civilMs, answer.nauticalMs, answer.astronomicalMs].map(column => at(column[row])), format.percent(answer.moonLit[row])].map(cell => el('td', {}, cell)))])));
    } catch (error) {
      say(found, refusal(error).message);
    }
    fill(spots, ...book.kept.flatMap(kept => tonight(asOpen(kept), nowMs)));
    if (!book.kept.length) fill(spots, el('li', {}, 'None are kept yet.'));
  }

  /** A kept spot and what tonight is there. @param {Open} open @param {number} nowMs */
  function tonight(open, nowMs) {
    try {
      const date = format.dateIn(open.spot.zone, nowMs);
      const answer = search(open, zoneDay({ zone: open.spot.zone, date }));
      return [el('li', {}, el('a', {
        href: `#evening?date=${date}&part=${book.part}`,
        on: { click: () => book.show(open) },
      }, el('b', {}, open.spot.name || 'Without a name'), ' ', el('span', {}, answer.startMs.length ? words(answer, 0, open, 'Sun') : '')))];
    } catch (error) {
      // A spot of an older version may be one that this one refuses.
      refusal(error);
      return [];
    }
  }

  return { element, render };
}
