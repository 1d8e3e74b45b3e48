// @ts-check
// The fields of a spot and of the picture wanted there, each by the name that the core has for it.

import { el } from '../lib/dom.js';
import { heightMetres, heightTyped, readNumber, typed, written } from '../lib/format.js';
import { FORMATS } from '../lib/words.js';
import { pick } from './choice.js';
import { field, textInput } from './field.js';
import { sidedNumber } from './sided-number.js';

/**
 * @typedef {object} Entry a field of the form
 * @property {HTMLElement} element
 * @property {HTMLElement} control what takes the focus when the field is wrong
 * @property {any} value as the core wants it; `null` for nothing, `NaN` for what is no number
 * @property {string | null} problem
 */

/** Seconds or an f-number, as a dial is marked: `1/60 s`, `f/2.8`, `ISO 100`. @param {string} label */
export function marked(label) {
  const [top, bottom] = label.replace(/^(f\/|ISO )/, '').replace(/ ?s$/, '').split('/').map(Number);
  return bottom ? top / bottom : top;
}

/** @param {{ label: string }[]} marks @returns {[string, string][]} */
const dialChoices = marks => marks.map(({ label }) => [String(marked(label)), label]);

/**
 * @param {object} options
 * @param {Record<'apertures' | 'shutters' | 'isos', { label: string }[]>} options.dials what is engraved on them
 * @param {() => import('../lib/format.js').Lengths} options.lengths
 * @param {(touched: string) => void} options.onchange
 */
export function spotFields({ dials, lengths, onchange }) {
  /** @type {Record<string, Entry>} */
  const made = {};
  /**
   * @param {string} id
   * @param {string} label
   * @param {HTMLElement} control
   * @param {{ get: () => any, set: (value: any) => void }} access
   * @param {{ unit?: string, hint?: string, beside?: HTMLElement }} [more]
   */
  const add = (id, label, control, access, more = {}) => {
    const shown = field({ id, label, control, ...more });
    made[id] = Object.defineProperties(
      /** @type {any} */ ({ element: shown.element, control }),
      {
        value: { get: access.get, set: access.set },
        problem: { set: message => { shown.problem = message; } },
      },
    );
  };
  /** @param {string} id @param {string} label @param {{ unit?: string, hint?: string }} [more] */
  const numeric = (id, label, more) => {
    const input = textInput(id, { number: true, attributes: { on: { change: () => onchange(id) } } });
    add(id, label, input, {
      get: () => readNumber(input.value),
      set: value => { input.value = value === null || Number.isNaN(value) ? '' : typed(value); },
    }, more);
  };
  /** @param {string} id @param {string} label @param {[string, string][]} choices */
  const chosen = (id, label, choices, number = false) => {
    const list = pick({ id, choices, value: choices[0][0], onchange: () => onchange(id) });
    add(id, label, list.element, {
      get: () => (number ? (list.value === '' ? null : Number(list.value)) : list.value),
      set: value => { list.value = value === null ? '' : String(value); },
    });
  };
  /** @param {string} id @param {string} label @param {HTMLInputElement | HTMLTextAreaElement} input */
  const text = (id, label, input, more = {}) => {
    input.addEventListener('change', () => onchange(id));
    add(id, label, input, { get: () => input.value.trim(), set: value => { input.value = value ?? ''; } }, more);
  };

  text('name', 'Name', textInput('name', { attributes: { spellcheck: null, inputmode: null } }));
  const latitude = sidedNumber({ id: 'latitudeDeg', label: 'North or south', sides: [['N', 'north'], ['S', 'south']], onchange: () => onchange('latitudeDeg') });
  const longitude = sidedNumber({ id: 'longitudeDeg', label: 'East or west', sides: [['E', 'east'], ['W', 'west']], onchange: () => onchange('longitudeDeg') });
  for (const [id, label, sided] of /** @type {const} */ ([['latitudeDeg', 'Latitude, °', latitude], ['longitudeDeg', 'Longitude, °', longitude]])) {
    add(id, label, sided.input, { get: () => sided.value, set: value => { sided.value = value; } }, { beside: sided.side });
  }
  const elevation = textInput('elevationM', { number: true, attributes: { on: { change: () => onchange('elevationM') } } });
  add('elevationM', 'Above the sea', elevation, {
    get: () => {
      const height = readNumber(elevation.value);
      return height === null ? null : heightMetres(height, lengths());
    },
    set: value => { elevation.value = value === null ? '' : heightTyped(value, lengths()); },
  }, { unit: lengths() === 'feet' ? 'ft' : 'm' });
  text('zone', 'Time zone', textInput('zone', { attributes: { list: 'zones' } }), { hint: 'Type a part of its name, such as a city' });

  numeric('bearingDeg', 'Lens bearing', { unit: '°', hint: 'Clockwise from true north' });
  numeric('skylineDeg', 'Skyline stands', { unit: '° up', hint: 'A fist at arm’s length is about 10°' });
  chosen('format', 'Format', FORMATS.map(([code, words]) => [code, written(words)]));
  numeric('focalMm', 'Focal length', { unit: 'mm' });
  numeric('walkMin', 'Walk', { unit: 'min' });
  numeric('setUpMin', 'Setting up', { unit: 'min' });
  text('notes', 'Notes', el('textarea', { id: 'notes', name: 'notes' }));

  chosen('apertureMin', 'Widest opening', dialChoices(dials.apertures), true);
  chosen('apertureMax', 'Smallest opening', dialChoices(dials.apertures), true);
  chosen('isoMin', 'ISO from', dialChoices(dials.isos), true);
  chosen('isoMax', 'ISO up to', dialChoices(dials.isos), true);
  chosen('shutterWantedS', 'Time wanted', [['', 'Any'], ...dialChoices(dials.shutters)], true);
  numeric('filterStops', 'Filter on the lens', { unit: 'stops', hint: 'What it takes away; 0 for none' });
  return made;
}

export const SPOT_FIELDS = ['name', 'latitudeDeg', 'longitudeDeg', 'elevationM', 'zone', 'bearingDeg', 'skylineDeg', 'format', 'focalMm', 'walkMin', 'setUpMin', 'notes'];
export const SHOT_FIELDS = ['apertureMin', 'apertureMax', 'isoMin', 'isoMax', 'shutterWantedS', 'filterStops'];
