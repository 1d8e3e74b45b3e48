// @ts-check
import { el } from '../lib/dom.js';

/**
 * One row of words to the cards that belong together.
 * @param {string} label what the row is to a screen reader
 * @param {[card: string, word: string][]} cards by their addresses
 * @param {string} current
 */
export const siblingCards = (label, cards, current) =>
  el('nav', { class: 'cards', 'aria-label': label }, ...cards.map(([card, word]) =>
    el('a', { href: `#${card}`, 'aria-current': card === current ? 'page' : null }, word)));
