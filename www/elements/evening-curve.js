// @ts-check
// The light of an evening, small: time across, EV at ISO 100 upward, the band, the lamps, and the frames made in it.

import { valueAt } from '../lib/curve.js';
import { fill, svg } from '../lib/dom.js';
import { ev as evText } from '../lib/format.js';
import { frameMark, marksWords } from '../lib/marks.js';

/** @typedef {import('./run-sheet.js').Sheet} Sheet */
/**
 * @typedef {object} View
 * @property {Sheet} sheet
 * @property {{ fromMs: number, toMs: number }} lit the part of it that has light
 * @property {import('../lib/marks.js').FrameMark[]} marks
 * @property {(atMs: number) => string} clock
 */

const MINUTE_MS = 60_000;
const HEIGHT_REM = 11;
/** The curve's own points are closer than a small picture can show. */
const POINTS = 60;

export function eveningCurve() {
  const element = svg('svg', { class: 'evening-curve', role: 'img' });
  /** @type {View | null} */
  let view = null;
  let drawnWidth = 0;
  new ResizeObserver(() => {
    if (view && element.clientWidth && element.clientWidth !== drawnWidth) draw(view);
  }).observe(element);

  /** @param {View} next */
  function draw(next) {
    view = next;
    const { sheet: { curve, floorEv, assumptions }, lit, marks, clock } = view;
    drawnWidth = element.clientWidth;
    if (!drawnWidth) return;
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const fromMs = Math.min(lit.fromMs, ...marks.map(mark => mark.atMs));
    const toMs = Math.max(lit.toMs, ...marks.map(mark => mark.atMs), fromMs + MINUTE_MS);
    const [left, right, top, foot] = [1.8 * rem, drawnWidth - 0.5 * rem, 0.75 * rem, (HEIGHT_REM - 1.4) * rem];
    const moments = Array.from({ length: POINTS + 1 }, (_, i) => fromMs + (i / POINTS) * (toMs - fromMs));
    const through = (/** @type {Float64Array} */ column) => moments.map(at => valueAt(curve.atMs, column, at));
    const likeliest = through(curve.ev);
    const known = [...likeliest, ...marks.map(({ ev }) => ev)];
    const [low, high] = [Math.floor(Math.min(...known) - 1), Math.ceil(Math.max(...known) + 1)];
    const x = (/** @type {number} */ atMs) => left + ((atMs - fromMs) / (toMs - fromMs)) * (right - left);
    const y = (/** @type {number} */ ev) => foot - ((Math.min(high, Math.max(low, ev)) - low) / (high - low)) * (foot - top);
    const along = (/** @type {number[]} */ values) => values.map((ev, i) => `${x(moments[i]).toFixed(1)},${y(ev).toFixed(1)}`);
    const ticks = Array.from({ length: high - low + 1 }, (_, i) => low + i).filter(tick => tick % 3 === 0);
    const guess = assumptions.includes('no-readings');
    element.setAttribute('aria-label', [
      `Light from ${clock(fromMs)} to ${clock(toMs)}: EV ${evText(likeliest[0])} to EV ${evText(likeliest[POINTS])}`, marksWords(marks),
    ].filter(Boolean).join(', '));
    element.classList.toggle('sheet-guess', guess);
    fill(element,
      floorEv.ev > low && svg('rect', { class: 'sheet-lamps', x: left, y: y(floorEv.ev), width: right - left, height: foot - y(floorEv.ev) }),
      ...ticks.flatMap(tick => [
        svg('line', { class: 'sheet-grid', x1: left, y1: y(tick), x2: right, y2: y(tick) }),
        svg('text', { class: 'sheet-axis', x: left - 0.4 * rem, y: y(tick) + 0.25 * rem, 'text-anchor': 'end' }, tick),
      ]),
      svg('polygon', { class: 'sheet-band', points: [...along(through(curve.low)), ...along(through(curve.high)).reverse()].join(' ') }),
      svg('polyline', { class: 'sheet-curve', points: along(likeliest).join(' ') }),
      ...[[fromMs, 'start'], [(fromMs + toMs) / 2, 'middle'], [toMs, 'end']].map(([at, anchor]) =>
        svg('text', { class: 'sheet-axis', x: x(Number(at)), y: foot + 1.1 * rem, 'text-anchor': anchor }, clock(Number(at)))),
      ...marks.map(mark => frameMark(mark, x(mark.atMs), y(mark.ev), rem)));
  }

  return { element, draw };
}
