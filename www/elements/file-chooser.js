// @ts-check
import { el } from '../lib/dom.js';

/**
 * A button for the system's list of files; its input is not seen, and is there for keys and screen readers.
 * @param {object} options
 * @param {string} options.id of the input
 * @param {string} options.label
 * @param {string} [options.look] of the button
 * @param {Record<string, any>} [options.attributes] which files, and how many
 * @param {(files: File[]) => void} options.onchange
 */
export function fileChooser({ id, label, look = 'quiet', attributes = {}, onchange }) {
  const input = el('input', { type: 'file', id, class: 'unseen', ...attributes, on: { change: () => chosen() } });
  function chosen() {
    const files = [...input.files ?? []];
    // The same file may be chosen again.
    input.value = '';
    if (files.length) onchange(files);
  }
  return el('label', { class: `button file-chooser ${look}` }, label, input);
}
