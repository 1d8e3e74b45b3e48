// @ts-check
// The frame with a road in it and the trail of one car, as the lens draws them.

import { fill, svg } from '../lib/dom.js';

/** @param {Float64Array} line x and y by turns */
const points = line => Array.from(line, value => value.toFixed(2)).join(' ');

export function roadPicture() {
  const element = svg('svg', { class: 'road-picture', role: 'img' });
  /**
   * @param {{ road: Float64Array[], trail: Float64Array[] }} answer
   * @param {[number, number]} formatMm
   * @param {string} label
   */
  function draw({ road, trail }, [width, height], label) {
    element.setAttribute('viewBox', `0 0 ${width} ${height}`);
    element.setAttribute('aria-label', label);
    fill(element,
      svg('rect', { class: 'road-frame', width, height }),
      ...road.map(line => svg('polyline', { class: 'road-line', points: points(line) })),
      ...trail.map(line => svg('polyline', { class: 'road-trail', points: points(line) })));
  }
  return { element, draw };
}
