// @ts-check
import { el, fill } from '../lib/dom.js';

/**
 * Things to see to, each with a tick that lasts while the page is open.
 * @param {string} id
 * @param {(code: string) => string} words
 */
export function tickList(id, words) {
  const element = el('ul', { class: 'ticks', id });
  /** @type {Set<string>} */
  const done = new Set();
  let drawn = '';
  /** @param {string[]} codes */
  function draw(codes) {
    if (drawn === String(codes)) return;
    drawn = String(codes);
    fill(element, ...codes.map(code => {
      const box = el('input', {
        type: 'checkbox', checked: done.has(code), on: { change: () => (box.checked ? done.add(code) : done.delete(code)) },
      });
      return el('li', {}, el('label', {}, box, el('span', {}, words(code))));
    }));
  }
  return { element, draw };
}
