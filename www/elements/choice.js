// @ts-check
import { el, fill } from '../lib/dom.js';

/**
 * @template {string} Code
 * @typedef {[value: Code, word: string][]} Choices
 */

/**
 * A few choices side by side, one of them taken.
 * @template {string} Code
 * @param {object} options
 * @param {string} options.name
 * @param {string} options.label what is chosen, for those who do not see the row
 * @param {Choices<Code>} options.choices
 * @param {Code} options.value
 * @param {(value: Code) => void} options.onchange
 */
export function choice({ name, label, choices, value, onchange }) {
  const inputs = choices.map(([code, word]) => {
    const input = el('input', {
      type: 'radio', name, value: code, id: `${name}-${code}`, checked: code === value,
      on: { change: () => onchange(code) },
    });
    return { code, input, node: el('label', { class: 'choice-item' }, input, el('span', {}, word)) };
  });
  const element = el('div', { class: 'choice', role: 'radiogroup', 'aria-label': label }, ...inputs.map(i => i.node));
  return {
    element,
    get value() {
      return inputs.find(({ input }) => input.checked)?.code ?? value;
    },
    set value(taken) {
      for (const { code, input } of inputs) input.checked = code === taken;
    },
  };
}

/**
 * One of many, by the browser's own list.
 * @template {string} Code
 * @param {object} options
 * @param {string} options.id
 * @param {Choices<Code>} options.choices
 * @param {Code} options.value
 * @param {(value: Code) => void} options.onchange
 * @param {Record<string, any>} [options.attributes]
 */
export function pick({ id, choices, value, onchange, attributes = {} }) {
  const select = el('select', { id, ...attributes, on: { change: () => onchange(chosen()) } });
  const chosen = () => /** @type {Code} */ (select.value);
  let drawn = '';
  const show = (/** @type {Code} */ code) => {
    // A value from elsewhere (a link, an older record) stays choosable.
    const known = choices.some(([listed]) => listed === code);
    const all = known ? choices : [...choices, [code, code]];
    const next = String(all);
    if (next !== drawn) fill(select, ...all.map(([listed, word]) => el('option', { value: listed }, word)));
    drawn = next;
    // Choosing what is chosen already would lay the page out.
    if (chosen() !== code) select.value = code;
  };
  show(value);
  return {
    element: select,
    get value() {
      return chosen();
    },
    set value(code) {
      show(code);
    },
    /** Another list; the next `value` is chosen from it. @param {Choices<Code>} list */
    set choices(list) {
      choices = list;
    },
  };
}
