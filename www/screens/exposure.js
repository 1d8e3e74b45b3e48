// @ts-check
// The same light by other settings. One dial is held, the rows run through the second, the third follows;
// what was metered lies in a fold, since it changes less often than the mind about it.

import { describeEv, refusal, series } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { choice, pick } from '../elements/choice.js';
import { dial } from '../elements/dial.js';
import { exposureCards } from '../elements/exposure-cards.js';
import { field } from '../elements/field.js';
import { settingsTable } from '../elements/settings-table.js';
import { dialsOf, shortLabel, thirdsBetween } from '../lib/desk.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { ROWS_OF, inHand, rowFor, sameLight } from '../lib/in-hand.js';
import { DIALS } from '../lib/words.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/desk.js').Dial} Dial */
/** @typedef {import('../lib/desk.js').Dials} Dials */
/** @typedef {import('../lib/desk.js').Mark} Mark */

const ALL = /** @type {const} */ (['aperture', 'shutter', 'iso']);

/** A rounding that a dial cannot show anyhow. */
const UNSEEN_STOPS = 0.05;

/** @param {Book} book */
export function exposure(book) {
  const engraved = series();
  const marks = { aperture: engraved.apertures, shutter: engraved.shutters, iso: engraved.isos };
  const full = Object.fromEntries(ALL.map(name =>
    [name, new Set(marks[name].filter((_, index) => index % 3 === 0).map(mark => mark.label))]));
  /** The state of the desk as last drawn, from which a touch goes on. @type {ReturnType<typeof inHand>} */
  let hand;

  const held = threeDials(hold => change({ hold }));
  const stays = dial({
    id: 'stays', label: 'The one that stays', marks: marks.iso,
    onchange: mark => change({ ...hand, dials: { ...hand.dials, [book.desk.hold]: mark } }),
  });
  const steps = choice({
    name: 'steps', label: 'Rows', value: book.desk.steps, choices: [['full', 'Stops'], ['thirds', 'Thirds']],
    onchange: value => book.setDesk({ steps: value }),
  });
  const table = settingsTable(dials => change({ ...hand, dials }));
  const brightness = el('p', { class: 'brightness', id: 'brightness' });
  const error = el('p', { class: 'field-error', id: 'settings-error' });

  const meteredSummary = el('summary', { id: 'metered' });
  const metered = (/** @type {'aperture' | 'iso'} */ name) => pick({
    id: `metered-${name}`, value: '', choices: marks[name].map(({ label }) => [label, label]),
    onchange: label => meter(name, /** @type {Mark} */ (marks[name].find(mark => mark.label === label))),
  });
  const [meteredAperture, meteredIso] = [metered('aperture'), metered('iso')];
  const meteredTime = dial({ id: 'metered-time', label: 'The time it showed', marks: marks.shutter, onchange: mark => meter('shutter', mark) });
  const stops = (/** @type {'offsetStops' | 'compensationStops'} */ key, /** @type {string} */ label, /** @type {string} */ hint) => dial({
    id: key, label, hint, unit: 'stops', marks: thirdsBetween(-3, 3, value => format.thirds(value, true)),
    onchange: ({ exact }) => change({ [key]: exact }),
  });
  const offset = stops('offsetStops', 'This meter always needs', 'Plus is lighter; it is kept');
  const compensation = stops('compensationStops', 'This picture gets', 'Plus is lighter');
  const again = el('button', {
    type: 'button', class: 'quiet', id: 'follow-sheet', on: { click: () => book.setDesk({ metered: null, dials: null, compensationStops: 0 }) },
  }, 'Start over');

  const element = el(
    'section',
    { class: 'screen screen-exposure', 'aria-label': 'Exposure' },
    exposureCards('exposure'),
    held.element,
    el('details', { class: 'more metered' }, meteredSummary,
      el('p', { class: 'aside' }, 'What the camera or meter said, with nothing on the lens:'),
      el('div', { class: 'pairs' },
        field({ id: 'metered-aperture', label: 'Aperture', control: meteredAperture.element }).element,
        field({ id: 'metered-iso', label: 'ISO', control: meteredIso.element }).element),
      meteredTime.element, offset.element, compensation.element, again),
    el('div', { class: 'rows-head' }, stays.element, steps.element),
    error,
    table.element,
    brightness,
    cautions('rays', 'sun'),
  );

  /** @param {Dial} name @param {Mark} mark */
  function meter(name, mark) {
    const read = { ...hand.metered, [name]: mark };
    change({ metered: read, from: 'reader', sinceMs: Date.now(), dials: { ...hand.dials, [name]: mark } });
  }

  /**
   * Goes on from what is drawn; the run sheet is followed until a row is taken or the light metered.
   * @param {Partial<import('../lib/desk.js').Desk>} touched
   */
  function change(touched) {
    book.setDesk(book.desk.metered ? { dials: hand.dials, ...touched } : touched);
  }

  /** @param {number} nowMs */
  function render(nowMs) {
    const { desk, settings, open: { spot } } = book;
    hand = inHand(book, nowMs);
    const { through, follows } = ROWS_OF[desk.hold];
    let answer;
    try {
      answer = sameLight(book, hand);
      say(error, answer.rows.length ? '' : 'No setting on the dials holds this light: hold another, or change the one that stays.');
    } catch (refused) {
      say(error, refusal(refused).message);
      table.draw([], [through, follows], ['', ''], undefined);
      return;
    }
    const rows = answer.rows.map(row => ({
      dials: dialsOf(row), costs: row.costs, full: full[through].has(dialsOf(row)[through].label),
      residual: Math.abs(row.residualStops) < UNSEEN_STOPS ? null : `${format.stops(row.residualStops)} stop`,
    }));
    const taken = rows[rowFor(answer.rows, desk.hold, hand.dials)]?.dials;
    if (taken) hand.dials = { ...taken, [desk.hold]: hand.dials[desk.hold] };
    const shown = desk.steps === 'full' ? rows.filter(row => row.full || row.dials === taken) : rows;
    table.draw(shown, [through, follows], [DIALS[through], DIALS[follows]], taken);

    held.draw(hand.dials, desk.hold);
    stays.marks = marks[desk.hold];
    stays.mark = hand.dials[desk.hold];
    meteredAperture.value = hand.metered.aperture.label;
    meteredIso.value = hand.metered.iso.label;
    meteredTime.mark = hand.metered.shutter;
    offset.value = desk.offsetStops;
    compensation.value = desk.compensationStops;
    steps.value = desk.steps;
    again.hidden = !desk.metered;
    const said = ALL.map(name => hand.metered[name].label).join(' · ');
    const sheetTime = format.clock(hand.sinceMs, spot.zone, settings.hours);
    say(meteredSummary, {
      reader: `Metered ${said}`,
      'run-sheet': `From the run sheet at ${sheetTime}${hand.guess ? ': a guess until you meter' : ''}`,
      usual: 'Nothing metered: say what the meter says',
    }[hand.from] + corrected(desk));
    const { luminanceCdM2, illuminanceLx, k, c } = describeEv({ ev100: answer.ev100 });
    fill(brightness, el('b', {}, `EV ${format.ev(answer.ev100)}`), ' at ISO 100',
      el('span', {}, `${format.measured(illuminanceLx)} lx falling on it (C = ${c})`),
      el('span', {}, `${format.measured(luminanceCdM2)} cd/m² coming from it (K = ${k})`));
  }

  return { element, render };
}

/** @param {import('../lib/desk.js').Desk} desk */
const corrected = ({ offsetStops, compensationStops }) => [[offsetStops, 'meter'], [compensationStops, 'picture']]
  .filter(([stops]) => stops).map(([stops, what]) => `, ${what} ${format.thirds(Number(stops), true)}`).join('');

/**
 * One of something for each dial.
 * @template T
 * @param {(name: Dial) => T} make
 */
const each = make => ({ aperture: make('aperture'), shutter: make('shutter'), iso: make('iso') });

/** What will be dialled, in the largest type; a tap holds one of the three. @param {(hold: Dial) => void} onhold */
function threeDials(onhold) {
  const values = each(() => el('b', {}));
  const inputs = each(name => el('input', { type: 'radio', name: 'hold', value: name, on: { change: () => onhold(name) } }));
  const element = el('div', { class: 'three', id: 'in-hand', role: 'radiogroup', 'aria-label': 'Which one stays' }, ...ALL.map(name => el('label', {}, inputs[name], values[name], ' ',
      el('span', {}, DIALS[name], el('i', {}, ' stays')))));
  return {
    element,
    /** @param {Dials} dials @param {Dial} hold */
    draw(dials, hold) {
      for (const name of ALL) {
        say(values[name], shortLabel(dials[name]));
        inputs[name].checked = name === hold;
      }
    },
  };
}
