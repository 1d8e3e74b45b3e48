// @ts-check
// The settings that give one picture. The table is the control: the row that is tapped will be shot.

import { el, fill } from '../lib/dom.js';
import { shortLabel } from '../lib/desk.js';
import { costWords } from '../lib/words.js';
import { timeThis } from './exposure-cards.js';

/** @typedef {import('../lib/desk.js').Dials} Dials */
/** @typedef {import('../lib/desk.js').Dial} Dial */
/** @typedef {{ dials: Dials, full: boolean, costs: string[], residual: string | null }} Row */

/** @param {(dials: Dials) => void} onpick */
export function settingsTable(onpick) {
  const heads = el('div', { class: 'settings-heads', 'aria-hidden': 'true' });
  const body = el('div', { role: 'radiogroup', 'aria-label': 'Settings for this light' });
  const element = el('div', { class: 'settings', id: 'settings-table' }, heads, body);
  let drawn = '';

  /** @param {Row} row @param {[Dial, Dial]} columns */
  function line({ dials, full, costs, residual }, [first, second]) {
    const words = [...costs.map(costWords), residual].filter(Boolean).join(', ');
    const said = [dials[first].label, dials[second].label, words].filter(Boolean).join(', ');
    const input = el('input', { type: 'radio', name: 'setting', value: dials[first].label, 'aria-label': said, on: { change: () => onpick(dials) } });
    return el(
      'div',
      { class: full ? 'setting setting-full' : 'setting' },
      el('label', {}, input, el('b', {}, shortLabel(dials[first])), ' ', el('b', {}, shortLabel(dials[second])), ' ', el('small', {}, words)),
      costs.includes('timed') ? timeThis(dials.shutter.exact) : null,
    );
  }

  return {
    element,
    /**
     * @param {Row[]} rows
     * @param {[Dial, Dial]} columns
     * @param {[string, string]} words of the columns
     * @param {Dials | undefined} taken
     */
    draw(rows, columns, words, taken) {
      // Rows that stay keep the focus that a thumb or a key has put there.
      const next = JSON.stringify([rows, columns]);
      if (next !== drawn) {
        fill(heads, ...words.map(word => el('span', {}, word)), rows.some(({ costs }) => costs.length) && el('span', {}, 'what it costs'));
        fill(body, ...rows.map(row => line(row, columns)));
        drawn = next;
      }
      for (const input of body.querySelectorAll('input')) input.checked = input.value === taken?.[columns[0]].label;
    },
  };
}
