// @ts-check
// A distance in the reader's unit, by a step or typed.

import { lengthMetres, lengthTyped, readNumber, typed } from '../lib/format.js';
import { stepper } from './stepper.js';

/** In metres and in feet alike. */
const STEPS = [0.3, 0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 70, 100, 150, 200, 300, 500, 700, 1000, 1500, 2000, 3000, 5000, 7000, 10000];

/**
 * @param {object} options
 * @param {string} options.id
 * @param {string} options.label
 * @param {number} options.metres at first, at the step nearest to it
 * @param {() => import('../lib/format.js').Lengths} options.lengths
 * @param {() => void} options.onchange
 */
export function lengthStepper({ id, label, metres, lengths, onchange }) {
  let unit = lengths();
  const inner = stepper({ id, label, steps: STEPS, read: readNumber, write: value => typed(Number(value.toFixed(2))), onchange });
  const tell = () => { inner.unit = unit === 'feet' ? 'ft' : 'm'; };
  tell();
  const start = lengthTyped(metres, unit);
  inner.value = STEPS.reduce((a, b) => (Math.abs(b - start) < Math.abs(a - start) ? b : a));
  const value = () => lengthMetres(inner.value ?? NaN, unit);
  return {
    element: inner.element,
    /** Metres; `NaN` for what is no number. */
    get value() {
      return value();
    },
    set value(metres) {
      inner.value = lengthTyped(metres, unit);
    },
    /** @param {string | null} message */
    set problem(message) {
      inner.problem = message;
    },
    /** Takes up the reader's unit. */
    draw() {
      if (unit === lengths()) return;
      const kept = value();
      unit = lengths();
      tell();
      inner.value = lengthTyped(kept, unit);
    },
  };
}
