// @ts-check
// What taking a file in would be, and the choice where it and the device say different things.

import { el, fill } from '../lib/dom.js';
import { choice } from './choice.js';

/** @typedef {import('../lib/exchange.js').Planned} Planned */
/** @typedef {'mine' | 'theirs' | 'both'} Taken */

/** @type {[Taken, string][]} */
const EITHER = [['mine', 'Mine'], ['theirs', 'The file']];
/** @type {[Taken, string][]} */
const ANY = [...EITHER, ['both', 'Both']];

/**
 * @param {(planned: Planned) => { title: string, told: string }} words what a record is called, and what of it differs
 */
export function mergePlan(words) {
  const element = el('div', { class: 'group' });
  /** @type {{ planned: Planned, choice: { value: Taken } }[]} */
  let asked = [];

  /** @param {Planned[]} plan */
  function draw(plan) {
    asked = [];
    const of = (/** @type {string} */ verdict) => plan.filter(planned => planned.verdict === verdict);
    const [conflicts, refused] = [of('conflict'), of('refused')];
    const counts = [[of('add').length, 'new'], [of('same').length, 'here already'], [conflicts.length, 'to choose'], [refused.length, 'refused']];
    const rows = conflicts.map((planned, i) => {
      const { title, told } = words(planned);
      /** @type {[Taken, string][]} */
      const choices = planned.store === 'settings' ? EITHER : ANY;
      const taken = choice({ name: `merge-${i}`, label: title, choices, value: /** @type {Taken} */ ('mine'), onchange: () => {} });
      asked.push({ planned, choice: taken });
      return el('li', {}, el('p', {}, title, told ? el('small', {}, ` ${told}`) : null), taken.element);
    });
    const all = choice({
      name: 'merge-all', label: 'All of them', choices: EITHER, value: /** @type {Taken} */ ('mine'),
      onchange: value => { for (const each of asked) each.choice.value = value; },
    });
    fill(element,
      el('p', { class: 'plan-counts', role: 'status' }, counts.filter(([count]) => count).map(([count, word]) => `${count} ${word}`).join(' · ') || 'Nothing in it'),
      refused.length ? el('details', { class: 'more', open: refused.length < 4 }, el('summary', {}, 'Refused, and why'),
        el('ul', {}, ...refused.slice(0, 99).map(planned => el('li', {}, `${words(planned).title}: ${planned.reason}`)))) : null,
      rows.length > 1 ? el('div', { class: 'field' }, el('p', {}, 'Where they differ, take'), all.element) : null,
      rows.length ? el('ul', { class: 'conflicts' }, ...rows) : null);
  }

  return {
    element,
    draw,
    /** What is chosen of a conflict. @param {Planned} planned @returns {Taken} */
    taken: planned => asked.find(each => each.planned === planned)?.choice.value ?? 'mine',
    clear() {
      asked = [];
      fill(element);
    },
  };
}
