// @ts-check
// What is sharp, seen from the side: the tripod at the left, the skyline at the right, each step to the right the same
// factor farther off.

import { el, fill, svg } from '../lib/dom.js';
import { lengthMetres, lengthTyped, written } from '../lib/format.js';

const [WIDE, HIGH, GROUND, FROM, TO] = [340, 128, 98, 44, 330];

/**
 * @typedef {object} Shown distances in metres; `null` is the sky
 * @property {number} nearM of the scene
 * @property {number | null} farM
 * @property {number} focusM
 * @property {number} fromM of what is sharp
 * @property {number | null} toM
 */

export function depthPicture() {
  const picture = svg('svg', { viewBox: `0 0 ${WIDE} ${HIGH}`, class: 'lens-picture', role: 'img', 'aria-label': 'What is sharp, from the side' });
  /** @param {Shown} shown @param {import('../lib/format.js').Lengths} lengths */
  function draw({ nearM, farM, focusM, fromM, toM }, lengths) {
    const least = Math.min(nearM, fromM) / 1.5;
    const sky = farM === null || toM === null;
    const most = Math.max(farM ?? 0, focusM, Math.min(toM ?? 0, 20 * focusM)) * (sky ? 12 : 1.6);
    const x = (/** @type {number | null} */ metres) => (metres === null ? TO
      : FROM + (TO - FROM) * Math.min(1, Math.max(0, Math.log(metres / least) / Math.log(most / least))));
    const [near, far, focus, from, to] = [nearM, farM, focusM, fromM, toM].map(x);
    const post = (/** @type {number} */ at, /** @type {string} */ word, /** @type {number} */ high, /** @type {string} */ anchor, cls = 'lens-axis') => [
      svg('path', { class: cls, d: `M${at} ${GROUND}V${high + 3}` }),
      svg('text', { x: at, y: high, 'text-anchor': anchor }, word),
    ];
    fill(picture,
      svg('rect', { class: 'lens-sharp', x: from, y: 38, width: Math.max(1, to - from), height: GROUND - 38 }),
      sky && svg('path', { class: 'lens-skyline', d: `M${TO - 46} ${GROUND}l9-13 8 5 10-17 8 9 11-6V${GROUND}z` }),
      svg('path', { class: 'lens-edge', d: `M4 ${GROUND}H${TO}` }),
      svg('path', { class: 'lens-body', d: `M13 58h16v10h-16zM29 60h5v6h-5z` }),
      svg('path', { class: 'lens-edge', d: `M21 68V80L10 ${GROUND}M21 80L32 ${GROUND}M21 80V${GROUND}` }),
      ...post(near, 'near', 32, near > FROM + 40 ? 'end' : 'middle'),
      ...(farM === null ? [svg('text', { x: TO, y: 32, 'text-anchor': 'end' }, 'sky')] : post(far, 'far', 32, far > TO - 30 ? 'end' : 'start')),
      ...post(focus, 'focus', 14, 'middle', 'lens-focus'),
      svg('text', { x: 21, y: GROUND + 17, 'text-anchor': 'middle', class: 'lens-tick' }, lengths === 'feet' ? 'ft' : 'm'),
      ...ticks(lengthTyped(least, lengths), lengthTyped(most, lengths)).map(([typed, word]) =>
        svg('text', { x: x(lengthMetres(typed, lengths)), y: GROUND + 17, 'text-anchor': 'middle', class: 'lens-tick' }, word)));
  }
  return { element: el('div', { class: 'wide' }, picture), draw };
}

/** Round distances, at most a handful. @param {number} least @param {number} most @returns {[number, string][]} */
function ticks(least, most) {
  const decades = Math.log10(most / least);
  const steps = decades > 3.2 ? [1] : decades > 1.4 ? [1, 3] : [1, 2, 3, 5, 7];
  const all = [];
  for (let ten = 10 ** Math.floor(Math.log10(least)); ten <= most; ten *= 10) {
    for (const step of steps) if (step * ten >= least * 1.1 && step * ten <= most / 1.1) all.push(step * ten);
  }
  return all.map(typed => [typed, written(typed >= 1000 ? `${Number((typed / 1000).toFixed(1))}k` : String(Number(typed.toPrecision(2))))]);
}
