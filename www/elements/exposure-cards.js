// @ts-check
import { el } from '../lib/dom.js';

/** The cards of the exposure desk, by their addresses. @type {[card: string, word: string][]} */
const CARDS = [
  ['exposure', 'Exposure'],
  ['exposure/filters', 'Filters'],
  ['exposure/film', 'Film'],
  ['exposure/brackets', 'Brackets'],
  ['exposure/timer', 'Timer'],
];

/**
 * One row of words to the desk's other cards.
 * @param {string} current
 */
export const exposureCards = current =>
  el('nav', { class: 'cards', 'aria-label': 'Exposure desk' }, ...CARDS.map(([card, word]) =>
    el('a', { href: `#${card}`, 'aria-current': card === current ? 'page' : null }, word)));

/**
 * Hands a long time to the timer.
 * @param {number} shutterS
 */
export const timeThis = shutterS =>
  el('a', { class: 'time-this', href: `#exposure/timer?s=${Number(shutterS.toFixed(2))}` }, 'Time it');
