// @ts-check
// A year of evenings: days across, hours from the sun's noon down to its midnight; bands of day, twilights and night, the
// moon's lit part as a hem below, and a mark over each evening that was found. A year of mornings stands on its head.

import { el, fill, svg } from '../lib/dom.js';

/** @typedef {ReturnType<typeof import('../core.js').yearSearch>} Year */

const [WIDE, TOP, HIGH, HEM] = [365, 12, 150, 24];
const HALF_DAY_MS = 43_200_000;

export function yearPicture() {
  const picture = svg('svg', { class: 'year-picture', role: 'img', 'aria-label': 'A year of light', preserveAspectRatio: 'none' });
  return {
    element: el('div', {}, picture),
    /** @param {Year} year @param {boolean} morning @param {(row: number) => string | null} month its name where one begins */
    draw(year, morning, month) {
      const { startMs, sunMs, civilMs, nauticalMs, astronomicalMs, moonLit, holds } = year;
      const days = startMs.length;
      const x = (/** @type {number} */ row) => (row / Math.max(days - 1, 1)) * WIDE;
      const levels = [sunMs, civilMs, nauticalMs, astronomicalMs];
      // A twilight that does not end lasts to midnight; one that is not there, before a later one that is, ends at noon.
      const share = (/** @type {number} */ level, /** @type {number} */ row) => {
        const at = levels[level][row];
        if (!at) return levels.slice(level).some(later => later[row]) ? 0 : 1;
        const since = (at - startMs[row]) / HALF_DAY_MS;
        return morning ? 1 - since : since;
      };
      const rows = Array.from(startMs.keys());
      const band = (/** @type {number} */ level) => {
        const edge = rows.map(row => `${x(row).toFixed(1)},${(TOP + Math.min(1, share(level, row)) * HIGH).toFixed(1)}`);
        return svg('polygon', { class: `year-${level}`, points: `0,${TOP + HIGH} ${edge.join(' ')} ${WIDE},${TOP + HIGH}` });
      };
      const foot = TOP + HIGH + HEM;
      picture.setAttribute('viewBox', `0 0 ${WIDE} ${foot + 16}`);
      fill(picture,
        svg('rect', { class: 'year-day', y: TOP, width: WIDE, height: HIGH }),
        ...levels.map((_, level) => band(level)),
        svg('polygon', { class: 'year-moon', points: `0,${foot} ${rows.map(row => `${x(row).toFixed(1)},${(foot - moonLit[row] * (HEM - 4)).toFixed(1)}`).join(' ')} ${WIDE},${foot}` }),
        svg('path', { class: 'year-found', d: rows.filter(row => holds[row]).map(row => `M${x(row).toFixed(1)} 1v${TOP - 3}`).join('') }),
        ...rows.flatMap(row => {
          const name = month(row);
          return name === null ? [] : [svg('path', { class: 'year-month', d: `M${x(row).toFixed(1)} ${TOP}V${foot}` }), svg('text', { x: x(row) + 2, y: foot + 12 }, name)];
        }));
    },
  };
}
