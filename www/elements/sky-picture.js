// @ts-check
// The horizon before the lens, to one scale both ways: the skyline, the ways of sun and moon over it with the clock at
// them, and the frame of a level camera.

import { el, fill, svg } from '../lib/dom.js';

/** @typedef {import('../lib/outlook.js').Passing} Passing */

const WIDE = 340;
/** Below level, and above what is tallest, in parts of the width. */
const [BELOW, ABOVE] = [0.08, 0.06];
/** Minutes between the clocks: the first that leaves them this far apart. */
const [STEPS, APART] = [[2, 5, 10, 15, 30, 60, 120], 34];

export function skyPicture() {
  const picture = svg('svg', { class: 'sky-picture', role: 'img', 'aria-label': 'Sun, moon and skyline before the lens' });
  return {
    element: el('div', {}, picture),
    /**
     * @param {import('../lib/outlook.js').Outlook} outlook
     * @param {(atMs: number) => string} clock
     * @param {(off: number) => string} bearing the words for so many degrees from the lens's
     */
    draw({ sun, moon, skyline, top, windowDeg }, clock, bearing) {
      const scale = WIDE / 2 / windowDeg;
      const highest = Math.min(Math.max(...skyline.map(([, altitude]) => altitude), ...top.map(([, altitude]) => altitude), windowDeg / 3), 80);
      const level = Math.round((highest + 2 * windowDeg * ABOVE) * scale);
      const high = Math.round(level + WIDE * BELOW);
      const x = (/** @type {number} */ off) => WIDE / 2 + off * scale;
      const y = (/** @type {number} */ altitude) => level - altitude * scale;
      const points = (/** @type {[number, number][]} */ list) => list.map(([off, altitude]) => `${x(off).toFixed(1)},${y(altitude).toFixed(1)}`).join(' ');
      const sides = [top[0], top[top.length - 1]];
      /** @type {SVGElement[]} */
      const clocks = [];
      picture.setAttribute('viewBox', `0 0 ${WIDE} ${high + 16}`);
      const ways = [...way(moon, 'sky-moon-way'), ...way(sun, 'sky-sun-way')];
      fill(picture,
        svg('rect', { class: 'sky-ground', width: WIDE, height: high }),
        svg('polygon', { class: 'sky-frame', points: points([...top, ...[...sides].reverse().map(([off]) => /** @type {[number, number]} */ ([off, -BELOW * 2 * windowDeg]))]) }),
        ...ways,
        svg('polygon', { class: 'sky-line', points: `0,${high} ${points(skyline)} ${WIDE},${high}` }),
        ...clocks,
        svg('path', { class: 'sky-level', d: `M0 ${level}H${WIDE}` }),
        ...[-0.75, 0, 0.75].map(share => svg('text', { x: x(share * windowDeg), y: high + 13, 'text-anchor': 'middle' }, bearing(share * windowDeg))));

      /** @param {Passing} passing @param {string} cls */
      function way({ atMs, offDeg, altitudeDeg, hidden }, cls) {
        const inside = (/** @type {number} */ i) => Math.abs(offDeg[i]) < windowDeg && y(altitudeDeg[i]) > 0 && y(altitudeDeg[i]) < high;
        const shown = Array.from(atMs.keys()).filter(inside);
        if (!shown.length) return [];
        const [first, last] = [shown[0], shown[shown.length - 1]];
        const long = Math.hypot(x(offDeg[last]) - x(offDeg[first]), y(altitudeDeg[last]) - y(altitudeDeg[first]));
        const minutes = (atMs[last] - atMs[first]) / 60_000;
        const step = STEPS.find(each => long / (minutes / each) > APART) ?? STEPS[STEPS.length - 1];
        // A way that leaves and comes back is two lines.
        /** @type {[number, number][][]} */
        const lines = [[]];
        for (const i of shown) {
          if (i !== shown[0] && !inside(i - 1)) lines.push([]);
          lines[lines.length - 1].push([offDeg[i], altitudeDeg[i]]);
        }
        const marks = shown.filter(i => Math.round(atMs[i] / 60_000) % step === 0 && !hidden.some(({ fromMs, toMs }) => atMs[i] >= fromMs && atMs[i] <= toMs));
        const wide = Math.max(2.5, 0.26 * scale);
        clocks.push(...marks.map(i => svg('text', { x: x(offDeg[i]) + 3, y: Math.max(11, y(altitudeDeg[i]) - wide - 3) }, clock(atMs[i]))));
        return [
          ...lines.map(line => svg('polyline', { class: cls, points: points(line) })),
          ...marks.map(i => svg('circle', { class: cls, cx: x(offDeg[i]), cy: y(altitudeDeg[i]), r: wide })),
        ];
      }
    },
  };
}
