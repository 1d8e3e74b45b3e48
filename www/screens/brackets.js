// @ts-check
// How many frames a scene needs that one cannot hold, and what to dial for each.

import { brackets as ask, series } from '../core.js';
import { dial } from '../elements/dial.js';
import { exposureCards, timeThis } from '../elements/exposure-cards.js';
import { outcome } from '../elements/outcome.js';
import { thirdsBetween } from '../lib/desk.js';
import { el, fill } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { inHand } from '../lib/in-hand.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** What is brighter than any reading, by its code. @type {Record<string, string>} */
const MAY_CLIP = { lamps: 'Lamps in the picture may clip in every frame: look at the shortest one.' };

/** @param {Book} book */
export function brackets(book) {
  const dials = series();
  const evs = thirdsBetween(-6, 20);
  let followed = true;
  const highlight = dial({ id: 'highlightEv', label: 'Brightest to keep, EV at ISO 100', marks: evs, value: 13, onchange: tell });
  const shadow = dial({ id: 'shadowEv', label: 'Darkest to keep, EV at ISO 100', marks: evs, value: -2, onchange: tell });
  const sensor = dial({
    id: 'sensorStops', label: 'One frame holds', unit: 'stops', marks: thirdsBetween(4, 16),
    onchange: ({ exact }) => book.setDesk({ sensorStops: exact }), hint: 'By your own tests; it is kept',
  });
  const step = dial({
    id: 'stepStops', label: 'From frame to frame', unit: 'stops', marks: thirdsBetween(0, 4).slice(1),
    onchange: ({ exact }) => book.setDesk({ stepStops: exact }),
  });
  const own = () => { followed = false; tell(); };
  const aperture = dial({ id: 'bracket-aperture', label: 'Aperture, the same in all', marks: dials.apertures, onchange: own });
  const iso = dial({ id: 'bracket-iso', label: 'ISO, the same in all', marks: dials.isos, onchange: own });
  const count = outcome('bracket-frames', 'It takes');
  const body = el('tbody', {});
  const table = el('table', { class: 'frames', id: 'frames-table' }, el('caption', { class: 'unseen' }, 'What to dial for each frame'),
    el('thead', {}, el('tr', {}, ...['Frame', 'Stops', 'Dial', ''].map(word => el(word ? 'th' : 'td', word ? { scope: 'col' } : {}, word)))), body);
  const element = el(
    'section',
    { class: 'screen screen-brackets', 'aria-label': 'Brackets' },
    exposureCards('exposure/brackets'),
    highlight.element, shadow.element, count.element, table,
    el('details', { class: 'more' }, el('summary', {}, 'Sensor, step, aperture and ISO'), sensor.element, step.element, aperture.element, iso.element),
  );

  /** @param {number} nowMs */
  function render(nowMs) {
    if (followed) {
      const { dials: hand } = inHand(book, nowMs);
      [aperture.mark, iso.mark] = [hand.aperture, hand.iso];
    }
    sensor.value = book.desk.sensorStops;
    step.value = book.desk.stepStops;
    tell();
  }

  function tell() {
    const answer = count.tell({ sceneStops: highlight, highlightEv: highlight, shadowEv: shadow, sensorStops: sensor, stepStops: step, aperture, iso }, () => ask({
      sceneStops: undefined, highlightEv: highlight.value, shadowEv: shadow.value, sensorStops: sensor.value, stepStops: step.value,
      aperture: aperture.value, iso: iso.value, longestShutterS: undefined,
    }), ({ frames, sceneStops, spanStops, mayClip }) => ({
      big: format.howMany(frames, 'frame'),
      words: [
        `The scene spans ${format.thirdStops(sceneStops)}, ${frames === 1 ? 'one frame holds' : 'these hold'} ${format.thirds(spanStops)}`,
        ...mayClip.map(code => MAY_CLIP[code] ?? code),
      ],
    }));
    table.hidden = !answer;
    fill(body, ...(answer?.settings ?? []).map((setting, index) => el('tr', {},
      el('td', {}, String(index + 1)), el('td', {}, format.thirds(answer?.offsetsStops[index] ?? 0, true)),
      el('th', { scope: 'row' }, `${setting.shutterLabel}`, el('small', {}, ` ${setting.apertureLabel} · ${setting.isoLabel}`)),
      el('td', {}, setting.timed ? timeThis(setting.shutterS) : setting.limited ? `${format.stops(setting.residualStops)} stops` : ''))));
  }

  return { element, render };
}
