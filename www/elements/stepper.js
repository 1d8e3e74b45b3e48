// @ts-check
// A value between less and more: turned with a thumb through a list of usual values, typed when none will do.

import { el, say } from '../lib/dom.js';
import { field, textInput } from './field.js';

/**
 * @param {object} options
 * @param {string} options.id
 * @param {string} options.label
 * @param {number[]} options.steps usual values, rising
 * @param {(text: string) => number | null} options.read
 * @param {(value: number) => string} options.write
 * @param {() => void} options.onchange
 */
export function stepper({ id, label, steps, read, write, onchange }) {
  // Phones' decimal pads have no minus key.
  const input = textInput(id, { number: true, attributes: { on: { change: onchange }, inputmode: steps[0] < 0 ? 'text' : 'decimal' } });
  /** @param {-1 | 1} way */
  function turn(way) {
    const from = read(input.value) ?? NaN;
    const beyond = way < 0 ? steps.filter(step => step < from).pop() : steps.find(step => step > from);
    const to = Number.isNaN(from) ? steps[0] : beyond;
    if (to === undefined) return;
    input.value = write(to);
    onchange();
  }
  const button = (/** @type {-1 | 1} */ way, /** @type {string} */ sign, /** @type {string} */ word) =>
    el('button', { type: 'button', class: 'quiet step', 'aria-label': `${word}: ${label}`, on: { click: () => turn(way) } }, sign);
  const whole = field({ id, label, control: input, beside: button(1, '+', 'More') });
  input.before(button(-1, '\u2212', 'Less'));
  return {
    element: whole.element,
    /** The number; `null` for nothing, `NaN` for what is no number. */
    get value() {
      return read(input.value);
    },
    set value(value) {
      if (Number.isNaN(value)) return;
      const text = value === null ? '' : write(value);
      if (input.value !== text) input.value = text;
    },
    /** @param {string} text as typed */
    set text(text) {
      input.value = text;
    },
    /** What it is counted in, said behind the label. @param {string} unit */
    set unit(unit) {
      say(/** @type {Element} */ (whole.element.querySelector('label')), `${label}, ${unit}`);
    },
    /** @param {string | null} message */
    set problem(message) {
      whole.problem = message;
    },
  };
}
