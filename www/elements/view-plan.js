// @ts-check
// The field of view from above, to scale: the camera below, the width that it covers above.

import { el, fill, svg } from '../lib/dom.js';

const [WIDE, HIGH, TOP, FOOT] = [320, 190, 26, 174];

export function viewPlan() {
  const picture = svg('svg', { viewBox: `0 0 ${WIDE} ${HIGH}`, class: 'lens-picture', role: 'img', 'aria-label': 'The view from above' });
  return {
    element: el('div', { class: 'wide' }, picture),
    /** @param {number} widthM @param {number} distanceM @param {[across: string, along: string, angle: string]} words */
    draw(widthM, distanceM, [across, along, angle]) {
      const half = widthM / distanceM / 2;
      const long = Math.min(FOOT - TOP, (WIDE / 2 - 8) / half);
      const [middle, top, aside] = [WIDE / 2, FOOT - long, half * long];
      fill(picture,
        svg('path', { class: 'lens-field', d: `M${middle} ${FOOT}L${middle - aside} ${top}H${middle + aside}Z` }),
        svg('path', { class: 'lens-axis', d: `M${middle} ${FOOT}V${top}` }),
        svg('path', { class: 'lens-edge', d: `M${middle - aside} ${top}H${middle + aside}M${middle - aside} ${top - 4}v8M${middle + aside} ${top - 4}v8` }),
        svg('path', { class: 'lens-body', d: `M${middle - 11} ${FOOT - 2}h22v11h-22zM${middle - 5} ${FOOT - 2}v-5h10v5z` }),
        svg('text', { x: middle, y: top - 9, 'text-anchor': 'middle' }, across),
        svg('text', { x: middle + 6, y: (top + FOOT) / 2 }, along),
        svg('text', { x: middle - 18, y: FOOT + 6, 'text-anchor': 'end' }, angle));
    },
  };
}
