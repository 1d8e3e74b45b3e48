// @ts-check
// What was refused, in words beside the field.

import { refusal } from '../core.js';
import { written } from './format.js';

/** @typedef {import('../core.js').Problem} Problem */

/** The field's own name, without the path to it: `scene.floorEv` is `floorEv`. @param {Problem} problem */
export const fieldOf = ({ field }) => field.split('.').pop() ?? field;

/** What to say beside the field, which need not be named there again. @param {Problem} problem */
export const problemWords = ({ code, field, message }) =>
  code === 'missing' ? 'This is needed' : code === 'not-a-number' ? 'This is not a number' : written(message.replace(`${field}: `, ''));

/** Why something failed, as it was thrown. @param {unknown} error */
export const reasonOf = error => (error instanceof Error ? error.message : String(error));

/**
 * Asks; what a refusal says stands beside the field that it names, or else beside the first.
 * @template Answer
 * @param {Record<string, { problem: string | null }>} fields
 * @param {() => Answer} ask
 * @returns {Answer | null} `null` when refused
 */
export function askedBeside(fields, ask) {
  const places = Object.values(fields);
  for (const place of places) place.problem = null;
  try {
    return ask();
  } catch (error) {
    const problem = refusal(error);
    (fields[fieldOf(problem)] ?? places[0]).problem = problemWords(problem);
    return null;
  }
}
