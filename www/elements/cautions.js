// @ts-check
import { el } from '../lib/dom.js';
import { CAUTIONS } from '../lib/words.js';

/**
 * The cautions that belong to a screen, in plain words and always in sight.
 * @param {...keyof typeof CAUTIONS} which
 */
export const cautions = (...which) =>
  el('div', { class: 'cautions', role: 'note' }, ...which.map(key => el('p', {}, CAUTIONS[key])));
