// @ts-check
import { siblingCards } from './sibling-cards.js';

/** The cards of the log, by their addresses. @type {[card: string, word: string][]} */
const CARDS = [
  ['log', 'Log'],
  ['log/photo', 'Photographs'],
];

/** @param {string} current */
export const logCards = current => siblingCards('Log', CARDS, current);
