// @ts-check
// Frames and readings as they are marked on a picture of the light: a ring where a frame was made, a diamond where
// the light was read.

import { svg } from './dom.js';
import { howMany } from './format.js';

/** @typedef {{ atMs: number, ev: number, reading: boolean, number: number }} FrameMark */

/**
 * @param {FrameMark} mark
 * @param {number} x
 * @param {number} y
 * @param {number} rem
 */
export function frameMark({ reading, number }, x, y, rem) {
  const r = (reading ? 0.36 : 0.26) * rem;
  return svg('g', { class: reading ? 'mark mark-reading' : 'mark', transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` },
    reading ? svg('path', { d: `M0 ${-r}L${r} 0L0 ${r}L${-r} 0Z` }) : svg('circle', { r }),
    svg('text', { x: r + 0.12 * rem, y: -r + 0.1 * rem }, number));
}

/** @param {FrameMark[]} marks */
export function marksWords(marks) {
  const readings = marks.filter(({ reading }) => reading).length;
  const frames = marks.length - readings;
  return [readings && howMany(readings, 'reading'), frames && howMany(frames, 'frame')].filter(Boolean).join(' and ');
}
