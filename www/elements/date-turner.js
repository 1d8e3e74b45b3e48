// @ts-check
import { el, markWrong, say } from '../lib/dom.js';
import { dateInWords, dateShifted } from '../lib/format.js';

/**
 * A date with a step to either side; the words open the browser's own calendar.
 * @param {string} id
 * @param {(date: string | null) => void} onchange `null` when the field was emptied: follow the calendar
 */
export function dateTurner(id, onchange) {
  let date = '';
  const words = el('span', { 'aria-hidden': 'true' });
  const input = el('input', {
    type: 'date', id, 'aria-label': 'Date', 'aria-describedby': `${id}-error`,
    on: { change: () => onchange(input.value || null) },
  });
  const error = el('p', { id: `${id}-error`, class: 'field-error' });
  const step = (/** @type {number} */ days, /** @type {string} */ name, /** @type {string} */ sign) =>
    el('button', {
      type: 'button', class: 'quiet step', 'aria-label': name,
      on: { click: () => onchange(dateShifted(date, days)) },
    }, sign);
  const element = el(
    'div',
    { class: 'date-turner' },
    step(-1, 'The day before', '‹'),
    el('div', { class: 'date-words' }, words, input),
    step(1, 'The day after', '›'),
    error,
  );
  return {
    element,
    /** @param {string} value */
    set value(value) {
      date = value;
      if (input.value !== value && document.activeElement !== input) input.value = value;
      say(words, dateInWords(value));
    },
    /** @param {string | null} message */
    set problem(message) {
      say(error, message ?? '');
      markWrong(input, Boolean(message));
    },
  };
}
