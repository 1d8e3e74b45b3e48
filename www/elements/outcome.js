// @ts-check
import { el, fill, say } from '../lib/dom.js';
import { askedBeside } from '../lib/problems.js';
import { timeThis } from './exposure-cards.js';

/** @typedef {{ big: string, words: (string | false | null)[], timedS?: number | false }} Told each word a line; `timedS` for the timer */

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

  /**
   * Asks and tells; what is refused stands beside its field, and nothing here.
   * @template Answer
   * @param {Record<string, { problem: string | null }>} fields
   * @param {() => Answer} ask
   * @param {(answer: Answer) => Told} read
   * @returns {Answer | null} `null` when refused
   */
  function tell(fields, ask, read) {
    const answer = askedBeside(fields, ask);
    element.hidden = answer === null;
    if (answer !== null) {
      const { big, words, timedS = false } = read(answer);
      say(value, big);
      fill(notes, ...words.map(line => line && el('p', {}, line)));
      fill(link, timedS !== false && timeThis(timedS));
    }
    return answer;
  }

  return { element, tell };
}
