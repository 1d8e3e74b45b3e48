// @ts-check
// The reader's own filters: a tap puts one on the lens or takes it off; a fold fills and empties the bag.

import { el, fill, say } from '../lib/dom.js';
import { CLEAR_GLASS, glassWords, thirdsBetween } from '../lib/desk.js';
import { choice } from './choice.js';
import { dial } from './dial.js';
import { field, textInput } from './field.js';

/** @typedef {import('../lib/desk.js').Glass} Glass */
/** @typedef {import('../lib/desk.js').OwnFilter} OwnFilter */

/** @param {string[]} texts */
const marksOf = texts => texts.map((label, exact) => ({ label, exact }));

/** As filters are engraved, by each of the three ways of the trade: 16 times is not a density of 1.6. */
const ENGRAVED = {
  stops: marksOf(['1 stop', ...[2, 3, 4, 5, 6, 7, 8, 9, 10, 13, 15, 16, 20].map(stops => `${stops} stops`)]),
  factor: marksOf([2, 4, 8, 16, 32, 64, 100, 128, 200, 256, 400, 500, 512, 1000, 1024, 2000, 4000, 32_000, 100_000].map(factor => `ND${factor}`)),
  density: marksOf([0.3, 0.6, 0.9, 1.2, 1.5, 1.8, 2.1, 2.4, 2.6, 2.7, 3, 3.6, 4, 4.5, 5].map(density => `ND ${density.toFixed(1)}`)),
};

/** Six stops, the commonest long-exposure glass; each list has it at the same place. */
const FIRST_STRENGTH = 5;

/**
 * @param {object} options
 * @param {(glass: Glass, problem: (message: string | null) => void) => void} options.onkeep
 * @param {(id: string) => void} options.onforget
 * @param {(onLens: string[]) => void} options.onlens
 */
export function filterBag({ onkeep, onforget, onlens }) {
  const chips = el('div', { class: 'chips' });
  const error = el('p', { id: 'filters-error', class: 'field-error' });
  const owned = el('ul', { class: 'spot-list' });
  const form = newFilter(onkeep);
  const fold = el('details', { class: 'more' }, el('summary', {}, 'My bag: put in, take out'), form, owned);
  const empty = el('p', { class: 'aside' }, 'The bag is empty. Put in what you own; it stays on this device.');
  const element = el('fieldset', { class: 'bag' },
    el('legend', {}, 'On the lens'), empty, chips, error);
  let drawn = '';

  /** @param {OwnFilter[]} filters @param {string[]} onLens @param {(glass: Glass) => string} strength */
  function draw(filters, onLens, strength) {
    empty.hidden = filters.length > 0;
    const next = JSON.stringify(filters);
    if (next !== drawn) {
      if (!drawn && filters.length === 0) fold.open = true;
      drawn = next;
      fill(chips, ...filters.map(({ id, glass }) => el('label', { class: 'chip' },
        el('input', { type: 'checkbox', value: id, on: { change: () => onlens(taken()) } }),
        el('b', {}, glassWords(glass)), ' ', el('small', {}, strength(glass)))));
      fill(owned, ...filters.map(({ id, glass }) => el('li', {}, el('span', { class: 'spot-open' }, glassWords(glass)),
        el('button', { type: 'button', class: 'quiet', 'aria-label': `Take ${glassWords(glass)} out`, on: { click: () => onforget(id) } }, 'Take out'))));
    }
    for (const input of chips.querySelectorAll('input')) input.checked = onLens.includes(input.value);
  }

  const taken = () => [...chips.querySelectorAll('input')].filter(input => input.checked).map(input => input.value);

  return {
    element,
    fold,
    draw,
    /** @param {string | null} message */
    set problem(message) {
      say(error, message ?? '');
    },
  };
}

/** A filter to put into the bag. @param {(glass: Glass, problem: (message: string | null) => void) => void} onkeep */
function newFilter(onkeep) {
  const kind = choice({
    name: 'kind', label: 'Kind of filter', value: 'neutral', onchange: show,
    choices: [['neutral', 'ND'], ['graduated', 'Grad'], ['polariser', 'Polariser'], ['night-sky', 'Night-sky']],
  });
  const unit = choice({
    name: 'unit', label: 'Strength engraved as', value: /** @type {keyof typeof ENGRAVED} */ ('factor'),
    onchange: value => {
      strength.marks = ENGRAVED[value];
      strength.value = FIRST_STRENGTH;
    },
    choices: [['stops', 'Stops'], ['factor', 'Factor'], ['density', 'Density']],
  });
  const strength = dial({ id: 'strength', label: 'Strength', marks: ENGRAVED.factor, value: FIRST_STRENGTH, onchange: clear });
  const text = textInput('text');
  const other = field({ id: 'text', label: 'Or, if it is none of these', control: text, hint: 'As engraved: ND4000, ND 2.2, 8.5 stops' });
  const edge = choice({ name: 'edge', label: 'Edge', value: 'soft', onchange: () => undefined, choices: [['soft', 'Soft'], ['hard', 'Hard'], ['reverse', 'Reverse']] });
  const least = dial({ id: 'stops', label: 'Takes at its lightest, stops', marks: thirdsBetween(0, 4), value: 1, onchange: clear });
  const most = dial({ id: 'mostStops', label: 'Takes at its darkest, stops', marks: thirdsBetween(0, 4), value: 2, onchange: clear });
  const loss = dial({ id: 'loss', label: 'Takes, as you measured it, stops', marks: thirdsBetween(0, 4), value: 2 / 3, onchange: clear });
  const engraved = [unit.element, strength.element, other.element];

  function clear() {
    other.problem = null;
    most.problem = null;
  }

  function show() {
    clear();
    const sold = kind.value === 'neutral' || kind.value === 'graduated';
    for (const part of engraved) part.hidden = !sold;
    edge.element.hidden = kind.value !== 'graduated';
    least.element.hidden = most.element.hidden = kind.value !== 'polariser';
    loss.element.hidden = kind.value !== 'night-sky';
  }

  /** @returns {Glass} */
  function glass() {
    const sold = { ...CLEAR_GLASS, text: text.value.trim() || strength.mark.label };
    switch (kind.value) {
      case 'polariser': return { ...CLEAR_GLASS, kind: 'polariser', stops: least.value, mostStops: most.value };
      case 'night-sky': return { ...CLEAR_GLASS, kind: 'night-sky', stops: loss.value };
      case 'graduated': return { ...sold, kind: 'graduated', edge: edge.value };
      default: return sold;
    }
  }

  const keep = el('button', {
    type: 'button', id: 'keep-filter',
    on: {
      click: () => onkeep(glass(), message => {
        if (kind.value === 'polariser') most.problem = message;
        else other.problem = message;
        if (message === null) text.value = '';
      }),
    },
  }, 'Put it in the bag');
  show();
  return el('div', { class: 'bag-form' }, kind.element, ...engraved, edge.element, least.element, most.element, loss.element, keep);
}
