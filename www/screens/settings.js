// @ts-check
// Units, clock, numbers and dates. What belongs to one screen is set there.

import { choice } from '../elements/choice.js';
import { el } from '../lib/dom.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** @type {[key: 'lengths' | 'hours' | 'decimals' | 'dates', label: string, choices: [string, string][]][]} */
const CHOICES = [
  ['lengths', 'Lengths', [['metres', 'Metres, km'], ['feet', 'Feet, miles']]],
  ['hours', 'Clock', [['24', '18:42'], ['12', '6:42 pm']]],
  ['decimals', 'Numbers', [['point', '1.5'], ['comma', '1,5']]],
  ['dates', 'Dates', [['day', '9 March'], ['month', 'March 9']]],
];

/** @param {Book} book */
export function settings(book) {
  const made = CHOICES.map(([key, label, choices]) => {
    const shown = choice({ name: key, label, value: book.settings[key], choices, onchange: value => book.choose({ [key]: value }) });
    return { shown, key, label };
  });
  const element = el(
    'section',
    { class: 'screen screen-settings', 'aria-label': 'Settings' },
    el('h2', {}, 'Settings'),
    ...made.map(({ shown, label }) => el('div', { class: 'field' }, el('p', {}, label), shown.element)),
    el('p', { class: 'aside' }, 'All is worked out and kept on this device. Nothing is sent anywhere.'),
  );
  const render = () => made.forEach(({ shown, key }) => { shown.value = book.settings[key]; });
  return { element, render };
}
