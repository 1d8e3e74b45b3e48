// @ts-check
import { el } from '../lib/dom.js';

/** @typedef {[value: string, word: string][]} Choices */

/**
 * A few choices side by side, one of them taken.
 * @param {object} options
 * @param {string} options.name
 * @param {string} options.label what is chosen, for those who do not see the row
 * @param {Choices} options.choices
 * @param {string} options.value
 * @param {(value: string) => void} options.onchange
 */
export function choice({ name, label, choices, value, onchange }) {
  const inputs = choices.map(([code, word]) => {
    const input = el('input', {
      type: 'radio', name, value: code, id: `${name}-${code}`, checked: code === value,
      on: { change: () => onchange(code) },
    });
    return { input, node: el('label', { class: 'choice-item' }, input, el('span', {}, word)) };
  });
  const element = el('div', { class: 'choice', role: 'radiogroup', 'aria-label': label }, ...inputs.map(i => i.node));
  return {
    element,
    get value() {
      return inputs.find(i => i.input.checked)?.input.value ?? value;
    },
    set value(code) {
      for (const { input } of inputs) input.checked = input.value === code;
    },
  };
}

/**
 * One of many, by the browser's own list.
 * @param {object} options
 * @param {string} options.id
 * @param {Choices} options.choices
 * @param {string} options.value
 * @param {(value: string) => void} options.onchange
 * @param {Record<string, any>} [options.attributes]
 */
export function pick({ id, choices, value, onchange, attributes = {} }) {
  const select = el('select', { id, ...attributes, on: { change: () => onchange(select.value) } });
  const setChoices = (/** @type {Choices} */ list, /** @type {string} */ chosen) => {
    // A value from elsewhere (a link, an older record) stays choosable.
    const known = list.some(([code]) => code === chosen);
    const all = known ? list : [...list, /** @type {[string, string]} */ ([chosen, chosen])];
    select.replaceChildren(...all.map(([code, word]) => el('option', { value: code }, word)));
    select.value = chosen;
  };
  setChoices(choices, value);
  return {
    element: select,
    get value() {
      return select.value;
    },
    set value(code) {
      setChoices(choices, code);
    },
    /** Another list; the next `value` is chosen from it. @param {Choices} list */
    set choices(list) {
      choices = list;
    },
  };
}
