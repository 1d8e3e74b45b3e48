// @ts-check
// The run sheet and the forecast as one picture. Time runs down the page to scale. On the left the light:
// EV at ISO 100 across, its 80 % band, the lamps as a wall that it comes down to meet, and behind it the
// sky of the hour, faint. On the right what happens and what to dial, each joined to its true moment.

import { passes, valueAt } from '../lib/curve.js';
import { el, fill, svg } from '../lib/dom.js';
import { ev as evText } from '../lib/format.js';
import { gentlestScale, spread } from '../lib/labels.js';
import { frameMark, marksWords } from '../lib/marks.js';

/** @typedef {ReturnType<typeof import('../core.js').runSheet>} Sheet */
/** @typedef {Sheet['rows'][number]} Row */
/**
 * @typedef {object} View
 * @property {Sheet} sheet
 * @property {number} fromMs where the picture begins: with the sheet's light, or later when the past is folded
 * @property {number} toMs where it ends
 * @property {number} nowMs
 * @property {import('../lib/marks.js').FrameMark[]} marks frames and readings of it
 * @property {(atMs: number) => string} clock
 * @property {(row: Row, dialled: Row | undefined) => { what: string, note: string }} words for a row, after
 *   the dialled row before it, folded or not
 */

const MINUTE_MS = 60_000;
/** Heights of a minute in units of the text's size, gentle to steep. */
const MINUTE_REM = [0.28, 0.34, 0.4, 0.46, 0.52, 0.6, 0.7, 0.8];
/** Labels may stand this far from their moment before the scale grows. */
const ASIDE_REM = 2.4;
/** Above the first moment, room for half a line of text. */
const HEAD_REM = 1;
/** Altitudes at which the ground behind the light takes its tints, see tokens.css. */
const SKY_STOPS = [8, 3, 0, -3, -6, -9, -12, -18];

/** Events this close are one line. */
const TOGETHER_MS = 1000;

/** A straight scale. @param {number} from @param {number} to @param {number} start @param {number} end */
const scale = (from, to, start, end) => (/** @type {number} */ value) =>
  start + ((value - from) / (to - from)) * (end - start);

/** @param {[number, number][]} points */
const path = points => points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' ');

export function runSheetPicture() {
  const picture = svg('svg', { class: 'sheet-picture', role: 'img' });
  const list = el('ol', { class: 'sheet-rows' });
  const element = el('div', { class: 'sheet' }, picture, list);
  /** @type {View | null} */
  let view = null;
  /** @type {((atMs: number) => number) | null} */
  let yAt = null;
  let drawnWidth = 0;

  new ResizeObserver(() => {
    if (view && element.clientWidth && element.clientWidth !== drawnWidth) draw(view);
  }).observe(element);

  /** @param {View} next */
  function draw(next) {
    view = next;
    const { sheet, fromMs, toMs, marks, words, clock } = view;
    const groups = together(sheet.rows.filter(row => row.atMs >= fromMs && row.atMs <= toMs));
    const rows = groups.map(([first]) => first);
    const dialledBefore = (/** @type {Row} */ row) =>
      sheet.rows.slice(0, sheet.rows.indexOf(row)).filter(({ setting }) => setting).pop();
    const items = groups.map(group => lineOf(group, group.map(row => words(row, dialledBefore(row))), clock));
    list.replaceChildren(...items);
    // Everything is measured here, together: each look at the layout after a change would work it out anew.
    drawnWidth = element.clientWidth;
    if (!drawnWidth) return;
    const textX = list.offsetLeft;
    const heights = items.map(item => item.offsetHeight);
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const styles = getComputedStyle(list);
    const room = (/** @type {string} */ name) => parseFloat(styles.getPropertyValue(name)) * rem;
    const clockWidth = room('--clock');
    const leaderX = textX - room('--leader');
    const lightWidth = leaderX - clockWidth;

    const minutes = (/** @type {number} */ atMs) => (atMs - fromMs) / MINUTE_MS;
    const wantedAt = (/** @type {number} */ px) =>
      rows.map((row, index) => HEAD_REM * rem + minutes(row.atMs) * px - Math.min(heights[index], 1.6 * rem) / 2);
    const minutePx = gentlestScale(MINUTE_REM.map(step => step * rem), wantedAt, heights, ASIDE_REM * rem);
    const tops = spread(wantedAt(minutePx), heights);
    items.forEach((item, index) => item.style.setProperty('top', `${tops[index]}px`));

    const y = (/** @type {number} */ atMs) => HEAD_REM * rem + minutes(atMs) * minutePx;
    const foot = Math.max(y(toMs) + rem, ...tops.map((top, index) => top + heights[index]));
    yAt = y;
    element.style.setProperty('block-size', `${foot}px`);
    picture.setAttribute('width', String(drawnWidth));
    picture.setAttribute('height', String(foot));
    picture.setAttribute('aria-label', summary(view));

    const { curve, floorEv, balance } = sheet;
    const moments = [fromMs, ...[...curve.atMs].filter(at => at > fromMs && at < toMs), toMs];
    const through = (/** @type {Float64Array} */ column) => moments.map(at => valueAt(curve.atMs, column, at));
    const likeliest = through(curve.ev);
    const marked = marks.filter(({ atMs }) => atMs >= fromMs && atMs <= toMs);
    const shown = [...likeliest, ...marked.map(({ ev }) => ev)];
    const low = Math.floor(Math.min(...shown) - 2);
    const high = Math.ceil(Math.max(...shown) + 1.5);
    element.classList.toggle('sheet-guess', sheet.assumptions.includes('no-readings'));
    const x = scale(low, high, clockWidth, leaderX);
    const clamped = (/** @type {number} */ value) => x(Math.min(high, Math.max(low, value)));
    const within = (/** @type {number} */ atMs) => y(Math.min(toMs, Math.max(fromMs, atMs)));
    const onCurve = (/** @type {number} */ atMs) => clamped(valueAt(curve.atMs, curve.ev, atMs));
    const [top, bottom] = [y(fromMs), y(toMs)];
    const line = (/** @type {string} */ cls, /** @type {number[]} */ [x1, y1, x2, y2]) =>
      svg('line', { class: cls, x1, y1, x2, y2 });

    const along = (/** @type {number[]} */ values) =>
      values.map((value, i) => /** @type {[number, number]} */ ([clamped(value), y(moments[i])]));
    const band = [...along(through(curve.low)), ...along(through(curve.high)).reverse()];
    fill(
      picture,
      skyGradient(curve, y, bottom),
      svg('rect', { class: 'sheet-sky', x: clockWidth, y: top, width: lightWidth, height: bottom - top, fill: 'url(#sheet-sky)' }),
      ...evTicks(low, high).flatMap(tick => [
        line('sheet-grid', [x(tick), top, x(tick), bottom]),
        svg('text', { class: 'sheet-axis', x: x(tick), y: top - 0.3 * rem, 'text-anchor': 'middle' }, tick),
      ]),
      floorEv.ev > low
        ? svg('rect', { class: 'sheet-lamps', x: clockWidth, y: top, width: clamped(floorEv.ev) - clockWidth, height: bottom - top })
        : null,
      svg('polygon', { class: 'sheet-band', points: path(band) }),
      svg('polyline', { class: 'sheet-curve', points: path(along(likeliest)) }),
      ...(clockWidth ? clockTicks(fromMs, toMs, minutePx / rem) : []).flatMap(at => [
        line('sheet-tick', [clockWidth - 0.4 * rem, y(at), clockWidth, y(at)]),
        svg('text', { class: 'sheet-axis', x: clockWidth - 0.6 * rem, y: y(at) + 0.3 * rem, 'text-anchor': 'end' }, clock(at)),
      ]),
      balance
        ? svg('path', {
            class: 'sheet-balance',
            d: `M${leaderX - 5} ${within(balance.fromMs)}h5V${within(balance.toMs)}h-5`,
          })
        : null,
      ...rows.flatMap((row, index) => {
        const [at, beside] = [y(row.atMs), tops[index] + Math.min(heights[index], 1.6 * rem) / 2];
        const start = row.kind === 'dial' ? onCurve(row.atMs) : clockWidth;
        return [
          svg('path', { class: `sheet-leader sheet-leader-${row.kind}`, d: `M${start} ${at}H${leaderX}L${textX - 5} ${beside}` }),
          row.kind === 'dial' ? svg('circle', { class: 'sheet-dot', cx: start, cy: at, r: 0.19 * rem }) : null,
        ];
      }),
      ...marked.map(mark => frameMark(mark, clamped(mark.ev), y(mark.atMs), rem)),
      svg('g', { class: 'sheet-now' },
        line('sheet-now-line', [clockWidth, 0, leaderX, 0]),
        svg('path', { class: 'sheet-now-mark', d: `M${leaderX} 0l${0.6 * rem} ${-0.4 * rem}v${0.8 * rem}z` })),
    );
    moveNow(view.nowMs);
  }

  /** @param {number} nowMs */
  function moveNow(nowMs) {
    if (!view || !yAt) return;
    view.nowMs = nowMs;
    const mark = picture.querySelector('.sheet-now');
    const inside = nowMs >= view.fromMs && nowMs <= view.toMs;
    mark?.setAttribute('transform', `translate(0 ${yAt(nowMs).toFixed(1)})`);
    mark?.setAttribute('visibility', inside ? 'visible' : 'hidden');
  }

  return { element, draw, moveNow };
}

/**
 * Rows by line: events of one moment share theirs.
 * @param {Row[]} rows
 */
function together(rows) {
  /** @type {Row[][]} */
  const groups = [];
  for (const row of rows) {
    const last = groups[groups.length - 1]?.[0];
    const joins = last && last.kind !== 'dial' && row.kind !== 'dial' && row.atMs - last.atMs < TOGETHER_MS;
    if (joins) groups[groups.length - 1].push(row);
    else groups.push([row]);
  }
  return groups;
}

/**
 * @param {Row[]} rows of one moment
 * @param {{ what: string, note: string }[]} words
 * @param {(atMs: number) => string} clock
 */
function lineOf([first], words, clock) {
  const what = words.map(each => each.what).join(' · ');
  const note = words.map(each => each.note).filter(Boolean).join(' · ');
  return el(
    'li',
    { class: `sheet-row ${first.kind === 'dial' ? 'sheet-dial' : 'sheet-event'}`, 'data-kind': first.kind },
    el('span', { class: 'sheet-clock' }, clock(first.atMs)),
    el('span', { class: 'sheet-what' }, what, note ? el('small', {}, note) : null),
  );
}

/** @param {View} view */
function summary({ sheet: { curve }, fromMs, toMs, marks, clock }) {
  const light = (/** @type {number} */ atMs) => evText(valueAt(curve.atMs, curve.ev, atMs));
  return [`Forecast of the light from ${clock(fromMs)} to ${clock(toMs)}: EV ${light(fromMs)} to EV ${light(toMs)}`, marksWords(marks)].filter(Boolean).join(', ');
}

/** Every second EV, or fewer when there is no room. @param {number} low @param {number} high */
function evTicks(low, high) {
  const step = high - low > 14 ? 4 : 3;
  const ticks = [];
  for (let tick = Math.ceil((low + 1) / step) * step; tick < high; tick += step) ticks.push(tick);
  return ticks;
}

/**
 * Round moments for the clock's scale. A quarter is round in every zone: offsets are whole quarters today.
 * @param {number} fromMs
 * @param {number} toMs
 * @param {number} minuteRem
 */
function clockTicks(fromMs, toMs, minuteRem) {
  const step = (minuteRem > 0.4 ? 10 : 15) * MINUTE_MS;
  const ticks = [];
  for (let at = Math.ceil((fromMs + step / 5) / step) * step; at <= toMs; at += step) ticks.push(at);
  return ticks;
}

/** @param {Sheet['curve']} curve @param {(atMs: number) => number} y @param {number} bottom */
function skyGradient(curve, y, bottom) {
  const first = curve.sunAltitudeDeg[0];
  const nearest = SKY_STOPS.reduce((a, b) => (Math.abs(b - first) < Math.abs(a - first) ? b : a));
  const stops = SKY_STOPS.flatMap(altitude => {
    const at = passes(curve.atMs, curve.sunAltitudeDeg, altitude);
    return at === null ? [] : [{ altitude, y: y(at) }];
  }).sort((a, b) => a.y - b.y);
  const gradient = svg('linearGradient', { id: 'sheet-sky', gradientUnits: 'userSpaceOnUse', x1: 0, x2: 0, y1: 0, y2: bottom });
  for (const stop of [{ altitude: nearest, y: y(curve.atMs[0]) }, ...stops]) {
    gradient.append(svg('stop', {
      class: `sky-${stop.altitude < 0 ? 'm' : 'p'}${Math.abs(stop.altitude)}`,
      offset: Math.min(1, Math.max(0, stop.y / bottom)),
    }));
  }
  return gradient;
}
