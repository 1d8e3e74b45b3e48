// @ts-check
// A preview with two bands marked on it, the sky's and the foreground's, each between two edges that a thumb steps.

import { el, fill, svg } from '../lib/dom.js';
import { dial } from './dial.js';

/** @typedef {{ from: number, to: number }} Band shares of the height, from the top */

/** Edges in twentieths of the height. */
const EDGES = Array.from({ length: 21 }, (_, index) => ({ label: `${index * 5} %`, exact: index / 20 }));

/** @param {() => void} onchange */
export function bands(onchange) {
  const canvas = el('canvas', { 'aria-hidden': 'true' });
  const marked = svg('svg', { viewBox: '0 0 100 100', preserveAspectRatio: 'none', role: 'img', 'aria-label': 'The picture and its bands' });
  const edge = (/** @type {string} */ id, /** @type {string} */ label, /** @type {number} */ value) =>
    dial({ id, label, marks: EDGES, value, onchange: () => { draw(); onchange(); } });
  const sky = [edge('sky-from', 'Sky from', 0), edge('sky-to', 'Sky to', 0.4)];
  const foreground = [edge('ground-from', 'Foreground from', 0.7), edge('ground-to', 'Foreground to', 1)];
  const band = (/** @type {typeof sky} */ [a, b]) => ({ from: Math.min(a.value, b.value), to: Math.max(a.value, b.value) });

  function draw() {
    const outlined = (/** @type {Band} */ { from, to }, /** @type {string} */ kind) =>
      svg('rect', { class: `band band-${kind}`, x: 0, width: 100, y: from * 100, height: Math.max(1, (to - from) * 100) });
    fill(marked, outlined(band(sky), 'sky'), outlined(band(foreground), 'ground'));
  }
  draw();
  return {
    element: el('div', { class: 'bands' },
      el('div', { class: 'preview' }, canvas, marked),
      el('p', { class: 'aside' }, 'Sky: solid edge. Foreground: dashed edge. Edges count from the top of the picture.'),
      el('div', { class: 'pairs' }, ...[...sky, ...foreground].map(({ element }) => element))),
    get sky() {
      return band(sky);
    },
    get foreground() {
      return band(foreground);
    },
    /** @param {ImageData} preview */
    show(preview) {
      Object.assign(canvas, { width: preview.width, height: preview.height });
      canvas.getContext('2d')?.putImageData(preview, 0, 0);
    },
  };
}
