// @ts-check
import { el } from '../lib/dom.js';
import { siblingCards } from './sibling-cards.js';

/** The cards of the exposure desk, by their addresses. @type {[card: string, word: string][]} */
const CARDS = [
  ['exposure', 'Exposure'],
  ['exposure/filters', 'Filters'],
  ['exposure/film', 'Film'],
  ['exposure/brackets', 'Brackets'],
  ['exposure/timer', 'Timer'],
];

/** @param {string} current */
export const exposureCards = current => siblingCards('Exposure desk', CARDS, current);

/**
 * Hands a long time to the timer.
 * @param {number} shutterS
 */
export const timeThis = shutterS =>
  el('a', { class: 'time-this', href: `#exposure/timer?s=${Number(shutterS.toFixed(2))}` }, 'Time it');
