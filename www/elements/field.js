// @ts-check
import { el, markWrong, say } from '../lib/dom.js';

/**
 * A control with its label, a hint, and a place for what is wrong with it.
 * @param {object} options
 * @param {string} options.id the control's own id; `<id>-error` holds the problem
 * @param {string} options.label
 * @param {HTMLElement} options.control
 * @param {string} [options.hint]
 * @param {string} [options.unit]
 * @param {HTMLElement} [options.before] a control on the same line, before it
 * @param {HTMLElement} [options.beside] and one after it
 */
export function field({ id, label, control, hint, unit, before, beside }) {
  const error = el('p', { id: `${id}-error`, class: 'field-error' });
  const note = hint ? el('p', { id: `${id}-hint`, class: 'field-hint' }, hint) : null;
  control.setAttribute('aria-describedby', ['error', unit && 'unit', note && 'hint'].filter(Boolean).map(what => `${id}-${what}`).join(' '));
  const element = el(
    'div',
    { class: 'field' },
    el('label', { for: id }, label),
    el('div', { class: 'field-line' }, before, control, unit ? el('span', { class: 'field-unit', id: `${id}-unit` }, unit) : null, beside),
    error,
    note,
  );
  return {
    element,
    control,
    /** @param {string | null} message */
    set problem(message) {
      say(error, message ?? '');
      markWrong(control, Boolean(message));
    },
  };
}

/**
 * A line of text; numbers too, because a number input refuses commas and changes under a stray thumb.
 * @param {string} id
 * @param {object} [options]
 * @param {boolean} [options.number]
 * @param {Record<string, any>} [options.attributes]
 */
export const textInput = (id, { number = false, attributes = {} } = {}) =>
  el('input', {
    id, name: id, type: 'text', autocomplete: 'off', spellcheck: 'false',
    inputmode: number ? 'decimal' : null, class: number ? 'number' : null, ...attributes,
  });
