// @ts-check
import { siblingCards } from './sibling-cards.js';

/** The cards of the lens, by their addresses. @type {[card: string, word: string][]} */
const CARDS = [
  ['lens', 'Lens'],
  ['lens/focus', 'Focus'],
  ['lens/trails', 'Trails'],
  ['lens/stars', 'Stars'],
];

/** @param {string} current */
export const lensCards = current => siblingCards('Lens', CARDS, current);
