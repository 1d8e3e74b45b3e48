// @ts-check
import { el, fill } from '../lib/dom.js';

/** @typedef {import('../lib/book.js').Kept} Kept */

/**
 * Kept spots: a tap opens one; forgetting takes two taps.
 * @param {{ onopen: (kept: Kept) => void, onforget: (kept: Kept) => void }} listeners
 */
export function spotList({ onopen, onforget }) {
  const element = el('ul', { class: 'spot-list', id: 'spot-list' });
  /** @param {Kept[]} spots @param {string | null} openId */
  function draw(spots, openId) {
    fill(element, ...spots.map(kept => {
      const name = kept.spot.name || 'Without a name';
      const forget = el('button', {
        type: 'button', class: 'quiet', 'aria-label': `Forget ${name}`,
        on: {
          click: () => {
            if (forget.dataset.asked) return onforget(kept);
            forget.dataset.asked = 'yes';
            forget.textContent = 'Really?';
            forget.setAttribute('aria-label', `Really forget ${name}`);
          },
        },
      }, 'Forget');
      const openIt = el('button', {
        type: 'button', class: 'quiet spot-open', 'aria-current': kept.id === openId ? 'true' : null,
        on: { click: () => onopen(kept) },
      }, name);
      return el('li', {}, openIt, forget);
    }));
    element.hidden = spots.length === 0;
  }
  return { element, draw };
}
