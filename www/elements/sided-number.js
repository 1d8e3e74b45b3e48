// @ts-check
// A number with a side in place of its sign: phones' decimal pads have no minus key.

import { readNumber } from '../lib/format.js';
import { choice } from './choice.js';
import { textInput } from './field.js';

/**
 * @param {object} options
 * @param {string} options.id
 * @param {string} options.label of the two sides
 * @param {[plus: [string, string], minus: [string, string]]} options.sides letter and word of each
 * @param {() => void} options.onchange
 */
export function sidedNumber({ id, label, sides: [plus, minus], onchange }) {
  const input = textInput(id, { number: true });
  const side = choice({
    name: `${id}-side`, label, value: plus[0], choices: [[plus[0], plus[0]], [minus[0], minus[0]]], onchange,
  });
  input.addEventListener('change', () => {
    const typed = readNumber(input.value);
    // Whoever has a minus key may use it.
    if (typed !== null && typed < 0) show(side.value === minus[0] ? -typed : typed);
    onchange();
  });
  /** @param {number | null} value */
  function show(value) {
    const known = value !== null && !Number.isNaN(value);
    input.value = known ? String(Math.abs(value)) : '';
    if (known) side.value = value < 0 ? minus[0] : plus[0];
  }
  return {
    input,
    side: side.element,
    /** The signed number; `null` for nothing, `NaN` for what is no number. */
    get value() {
      const typed = readNumber(input.value);
      return typed !== null && side.value === minus[0] ? -typed : typed;
    },
    set value(value) {
      show(value);
    },
  };
}
