// @ts-check
// What next, in how long, and what to dial, readable at arm's length; and how sure that is.

import { valueAt } from '../lib/curve.js';
import { el, fill, say } from '../lib/dom.js';
import { ev, wait } from '../lib/format.js';
import { rowWord, settingWords } from '../lib/words.js';

/** @typedef {import('./run-sheet.js').Sheet} Sheet */
/** @typedef {import('./run-sheet.js').Row} Row */
/** @typedef {Record<'clock' | 'shortClock', (atMs: number) => string>} Clocks */

const HOUR_MS = 3_600_000;
/** From here on how long matters less than when. */
const FAR_MS = 20 * HOUR_MS;

/**
 * What stands at a moment, and what comes after it.
 * @param {Row[]} rows
 * @param {number} nowMs
 */
function around(rows, nowMs) {
  const [past, coming] = [rows.filter(row => row.atMs <= nowMs), rows.filter(row => row.atMs > nowMs)];
  return {
    dial: past.filter(row => row.setting).pop(),
    nextDial: coming.find(row => row.kind === 'dial'),
    nextEvent: coming.find(row => row.kind !== 'dial'),
  };
}

/**
 * @param {number} atMs
 * @param {number} nowMs
 * @param {Clocks} clocks
 */
function when(atMs, nowMs, { clock, shortClock }) {
  const away = atMs - nowMs;
  if (away > FAR_MS) return `at ${clock(atMs)}`;
  return away < HOUR_MS ? `in ${wait(away)}, ${shortClock(atMs)}` : `in ${wait(away)}, at ${clock(atMs)}`;
}

/** What of a setting changes. @param {Row} from @param {Row} to */
function change(from, to) {
  const [was, becomes] = [from, to].map(row => (row.setting ? settingWords(row.setting) : []));
  return becomes.filter(word => !was.includes(word)).join(' · ') || 'the same';
}

/** @param {(words: string) => void} onpass called with the next event when one has passed */
export function nextLine(onpass) {
  const lead = el('p', { class: 'next-lead' });
  const dialled = el('p', { class: 'next-dial' });
  const event = el('p', { class: 'next-event' });
  const step = el('p', { class: 'next-step' });
  const sure = el('p', { class: 'next-sure' });
  const element = el('div', { id: 'next', class: 'next' }, lead, dialled, event, step, sure);
  /** The event that was announced to come. @type {Row | undefined} */
  let expected;

  /** @param {string[]} words */
  function showSetting(words) {
    if (dialled.textContent !== words.join('')) fill(dialled, ...words.map(word => el('span', {}, word)));
  }

  /**
   * @param {Sheet} sheet
   * @param {number} nowMs
   * @param {Clocks} clocks
   */
  function show({ part, rows, curve, endMs, assumptions }, nowMs, clocks) {
    if (nowMs > endMs) {
      clear();
      say(event, `The light of this ${part} has gone: turn to another day or half of the day.`);
      return;
    }
    const { dial, nextDial, nextEvent } = around(rows, nowMs);
    const standing = dial ?? nextDial;
    say(lead, dial ? `now ${clocks.clock(nowMs)}, dial` : standing ? `from ${clocks.clock(standing.atMs)}, dial` : '');
    showSetting(standing?.setting ? settingWords(standing.setting) : []);
    say(event, nextEvent ? `${rowWord(nextEvent.kind, part)} ${when(nextEvent.atMs, nowMs, clocks)}` : '');
    say(step, dial && nextDial ? `then ${change(dial, nextDial)} ${when(nextDial.atMs, nowMs, clocks)}` : '');
    const value = (/** @type {Float64Array} */ column) =>
      ev(valueAt(curve.atMs, column, dial ? nowMs : standing?.atMs ?? nowMs));
    say(sure, `EV ${value(curve.ev)}, likely ${value(curve.low)} to ${value(curve.high)}${assumptions.includes('no-readings') ? ': a guess until you meter' : ''}`);
    if (expected && rows.includes(expected) && nextEvent !== expected) onpass(event.textContent ?? '');
    expected = nextEvent;
  }

  function clear() {
    showSetting([]);
    for (const line of [lead, event, step, sure]) say(line, '');
  }

  return { element, show, clear };
}
