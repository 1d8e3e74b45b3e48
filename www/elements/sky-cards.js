// @ts-check
import { siblingCards } from './sibling-cards.js';

/** The cards of the sky, by their addresses. @type {[card: string, word: string][]} */
const CARDS = [
  ['sky', 'Sky'],
  ['sky/moon', 'Moon'],
  ['sky/skyline', 'Skyline'],
  ['sky/year', 'Year'],
];

/** @param {string} current */
export const skyCards = current => siblingCards('Sky', CARDS, current);
