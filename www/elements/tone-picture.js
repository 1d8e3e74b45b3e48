// @ts-check
// How many pixels of each tone, as an outline: the luminance filled, the channels as lines that differ in their strokes.

import { el, svg } from '../lib/dom.js';
import { number } from '../lib/format.js';

/** @typedef {import('../lib/photograph.js').Counts} Counts */

const HIGH = 120;

/** The channels, each with its stroke and the word for it. @type {[kind: 'red' | 'green' | 'blue', word: string][]} */
const CHANNELS = [['red', 'red, solid'], ['green', 'green, dashed'], ['blue', 'blue, dotted']];

/**
 * @param {Counts} counts
 * @param {number[]} marks where −6, −4, −2, 0 and 2 stops stand
 * @param {string} words what it shows, for those who do not see it
 */
export function tonePicture(counts, marks, words) {
  // The ends may tower over everything between.
  const inner = [...CHANNELS.map(([kind]) => counts[kind]), counts.luminance].flatMap(bins => [...bins.slice(1, 255)]);
  const most = Math.max(1, ...inner);
  const line = (/** @type {ArrayLike<number>} */ bins) =>
    Array.from(bins, (count, value) => `${value ? 'L' : 'M'}${value} ${(HIGH * (1 - Math.min(1, Math.sqrt(count / most)))).toFixed(1)}`).join('');
  const stop = (/** @type {number} */ at, /** @type {number} */ index) => [
    svg('path', { class: index === 3 ? 'tone-grey' : 'tone-mark', d: `M${at} 0V${HIGH}` }),
    // The first has no room beside the second.
    svg('text', { x: at, y: HIGH + 14, 'text-anchor': 'middle' }, index ? number(index * 2 - 6) : ''),
  ];
  return el('figure', { class: 'tones' },
    svg('svg', { viewBox: `-2 -2 260 ${HIGH + 20}`, role: 'img', 'aria-label': words },
      svg('path', { class: 'tone-filled', d: `${line(counts.luminance)}V${HIGH}H0Z` }),
      ...marks.flatMap(stop),
      ...CHANNELS.map(([kind]) => svg('path', { class: `tone-line tone-${kind}`, d: line(counts[kind]) })),
      svg('path', { class: 'tone-mark', d: `M0 ${HIGH}H255` })),
    el('figcaption', {}, ...CHANNELS.map(([kind, word]) => el('span', {},
      svg('svg', { viewBox: '0 0 24 4', 'aria-hidden': 'true' }, svg('path', { class: `tone-line tone-${kind}`, d: 'M0 2H24' })), word))));
}
