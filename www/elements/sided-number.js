// @ts-check
// A number with a side in place of its sign: phones' decimal pads have no minus key.

import { readNumber, typed } from '../lib/format.js';
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
    const number = readNumber(input.value);
    // Whoever has a minus key may use it.
    if (number !== null && number < 0) show(side.value === minus[0] ? -number : number);
    onchange();
  });
  /** @param {number | null} value */
  function show(value) {
    const known = value !== null && !Number.isNaN(value);
    input.value = known ? typed(Math.abs(value)) : '';
    if (known) side.value = value < 0 ? minus[0] : plus[0];
  }
  return {
    input,
    side: side.element,
    /** The signed number; `null` for nothing, `NaN` for what is no number. */
    get value() {
      const number = readNumber(input.value);
      return number !== null && side.value === minus[0] ? -number : number;
    },
    set value(value) {
      show(value);
    },
  };
}
