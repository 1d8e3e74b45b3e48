// @ts-check
// A dial that a thumb turns: the mark before, the mark after, and the whole scale by a tap on the value.

import { nearestMark } from '../lib/desk.js';
import { el } from '../lib/dom.js';
import { field } from './field.js';

/** @typedef {import('../lib/desk.js').Mark} Mark */

/**
 * @param {object} options
 * @param {string} options.id
 * @param {string} options.label
 * @param {Mark[]} options.marks rising
 * @param {number} [options.value] where it stands at first: at the mark nearest to this
 * @param {(mark: Mark) => void} options.onchange
 * @param {string} [options.hint]
 * @param {string} [options.unit]
 */
export function dial({ id, label, marks: engraved, value, onchange, hint, unit }) {
  /** The scale, with a mark of its own for a value between. */
  let marks = engraved;
  const select = el('select', { id, class: 'dial-value', on: { change: () => turned(0) } });
  const step = (/** @type {1 | -1} */ by, /** @type {string} */ sign, /** @type {string} */ word) =>
    el('button', {
      type: 'button', class: 'quiet step', id: `${id}-${word}`, 'aria-label': `${label}: ${word}`, on: { click: () => turned(by) },
    }, sign);
  const [back, on] = [step(-1, '‹', 'back'), step(1, '›', 'on')];
  const shown = field({ id, label, control: select, hint, unit, before: back, beside: on });
  shown.element.classList.add('dial');

  /** @param {1 | -1 | 0} by */
  function turned(by) {
    select.selectedIndex = Math.min(marks.length - 1, Math.max(0, select.selectedIndex + by));
    ends();
    onchange(marks[select.selectedIndex]);
  }

  /** A button that can do nothing more says so, and keeps the focus. */
  function ends() {
    back.setAttribute('aria-disabled', String(select.selectedIndex === 0));
    on.setAttribute('aria-disabled', String(select.selectedIndex === marks.length - 1));
  }

  /** @param {Mark} mark */
  function show(mark) {
    const known = engraved.some(({ label: listed }) => listed === mark.label);
    const all = known ? engraved : [...engraved, mark].sort((a, b) => a.exact - b.exact);
    if (!select.length || !known || marks.length !== all.length) {
      select.replaceChildren(...all.map(each => el('option', {}, each.label)));
    }
    marks = all;
    const at = marks.findIndex(each => each.label === mark.label);
    // Choosing what is chosen already would lay the page out.
    if (select.selectedIndex !== at) select.selectedIndex = at;
    ends();
  }

  show(nearestMark(engraved, value ?? engraved[0].exact));

  return {
    element: shown.element,
    /** @returns {Mark} */
    get mark() {
      return marks[select.selectedIndex];
    },
    set mark(mark) {
      show(mark);
    },
    /** @returns {number} */
    get value() {
      return marks[select.selectedIndex].exact;
    },
    set value(exact) {
      show(nearestMark(engraved, exact));
    },
    /** Another scale; the next `mark` or `value` stands on it. @param {Mark[]} scale */
    set marks(scale) {
      if (scale === engraved) return;
      engraved = marks = scale;
      select.replaceChildren();
    },
    /** @param {string | null} message */
    set problem(message) {
      shown.problem = message;
    },
  };
}
