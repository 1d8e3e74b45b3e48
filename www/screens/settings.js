// @ts-check
// Units and clock. What belongs to one screen is set there.

import { choice } from '../elements/choice.js';
import { el } from '../lib/dom.js';

/** @typedef {import('../lib/book.js').Book} Book */

/** @param {Book} book */
export function settings(book) {
  const lengths = choice({
    name: 'lengths', label: 'Lengths', value: book.settings.lengths, choices: [['metres', 'Metres'], ['feet', 'Feet']],
    onchange: value => book.choose({ lengths: /** @type {import('../lib/format.js').Lengths} */ (value) }),
  });
  const hours = choice({
    name: 'hours', label: 'Clock', value: book.settings.hours, choices: [['24', '24 hours'], ['12', '12 hours']],
    onchange: value => book.choose({ hours: /** @type {import('../lib/format.js').Hours} */ (value) }),
  });
  const element = el(
    'section',
    { class: 'screen screen-settings', 'aria-label': 'Settings' },
    el('h2', {}, 'Settings'),
    el('div', { class: 'field' }, el('p', {}, 'Lengths'), lengths.element),
    el('div', { class: 'field' }, el('p', {}, 'Clock'), hours.element),
    el('p', { class: 'aside' }, 'Everything is worked out on this device and kept on it. Nothing is sent anywhere.'),
  );
  const render = () => {
    lengths.value = book.settings.lengths;
    hours.value = book.settings.hours;
  };
  return { element, render };
}
