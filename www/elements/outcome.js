// @ts-check
import { el, fill, say } from '../lib/dom.js';
import { timeThis } from './exposure-cards.js';

/**
 * What a sum comes to: one value in large type, what it means, and the way to the timer when it is long.
 * @param {string} id
 * @param {string} lead what the value is
 */
export function outcome(id, lead) {
  const value = el('output', { id, class: 'outcome-value' });
  const notes = el('div', { class: 'outcome-notes', id: `${id}-notes` });
  const link = el('span', {});
  const element = el('div', { class: 'outcome' }, el('p', { class: 'outcome-lead' }, lead), el('div', { class: 'outcome-line' }, value, link), notes);
  return {
    element,
    /**
     * @param {string} big
     * @param {(string | false | null)[]} [words] each a line
     * @param {number | false} [timedS] seconds for the timer
     */
    show(big, words = [], timedS = false) {
      element.hidden = false;
      say(value, big);
      fill(notes, ...words.map(line => line && el('p', {}, line)));
      fill(link, timedS !== false && timeThis(timedS));
    },
    /** There is no answer: what stands beside the fields says why. */
    clear() {
      element.hidden = true;
    },
  };
}
