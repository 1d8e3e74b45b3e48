// @ts-check
import { el } from '../lib/dom.js';

/**
 * A fold that is filled while it is open.
 * @param {string} summary
 * @param {() => void} tell fills it
 * @param {...(Element | string)} inside
 */
export const fold = (summary, tell, ...inside) =>
  el('details', { class: 'more', on: { toggle: tell } }, el('summary', {}, summary), ...inside);
