// @ts-check
// The spot: where the tripod stands, what the lens looks at, the picture wanted. What is typed is used at
// once wherever it can be; what cannot be right says so beside its field, and nothing else is lost.

import { checkSpot, geodesicTo, readCoordinates, refusal, series, writeSpotLink } from '../core.js';
import { cautions } from '../elements/cautions.js';
import { pick } from '../elements/choice.js';
import { field, textInput } from '../elements/field.js';
import { lightChoices } from '../elements/light-choices.js';
import { SHOT_FIELDS, SPOT_FIELDS, spotFields } from '../elements/spot-fields.js';
import { spotList } from '../elements/spot-list.js';
import { announce } from '../lib/announce.js';
import { asOpen, blank } from '../lib/book.js';
import { el, fill, say } from '../lib/dom.js';
import * as format from '../lib/format.js';
import { whereAmI, zoneNames } from '../lib/place-finder.js';
import { fieldOf, problemWords, reasonOf } from '../lib/problems.js';

/** @typedef {import('../lib/book.js').Book} Book */
/** @typedef {import('../lib/book.js').Open} Open */
/** @typedef {import('../core.js').Problem} Problem */
/** @param {Book} book */
export function spot(book) {
  const form = spotFields({ dials: series(), lengths: () => book.settings.lengths, onchange: touched });
  /** What the form was last filled from or has put on the table. @type {Open | null} */
  let held = null;
  /** Fields that may already complain of being empty. @type {Set<string>} */
  const visited = new Set();
  let lengths = book.settings.lengths;
  /** The spot on the table when the form last looked. @type {Open['spot'] | null} */
  let seen = null;

  const list = spotList({
    onopen: kept => {
      const open = asOpen(kept);
      const problems = problemsOf(open);
      if (problems.length) return book.offer({ ...open, problems });
      book.show(open);
      location.hash = '#evening';
    },
    onforget: kept => { book.forget(kept.id).catch(keepFailed); },
  });
  const none = el('p', { class: 'aside' }, 'None yet. Change the one below into yours and keep it.');
  const home = pick({ id: 'homeId', choices: [['', 'The one used last']], value: /** @type {string} */ (''), onchange: id => book.choose({ homeId: id || null }) });
  const homeField = field({ id: 'homeId', label: 'Open first', control: home.element });
  const light = lightChoices('spot-', value => book.setLight(value));
  const coordinates = textInput('coordinates', { attributes: { on: { input: () => pasted(), change: () => pasted(true) } } });
  const coordinatesField = field({ id: 'coordinates', label: 'Paste coordinates', control: coordinates, hint: 'A pair such as 50.1, −3.2, or a geo: link' });
  const locate = el('button', { type: 'button', class: 'quiet', id: 'locate', on: { click: located } }, 'Use where I am');
  const locateState = el('p', { class: 'field-hint', role: 'status' });
  const target = textInput('target', { attributes: { on: { input: () => aimed(), change: () => aimed(true) } } });
  const targetField = field({ id: 'target', label: 'Or the subject’s coordinates', control: target, hint: 'Pasted; the bearing follows' });
  const targetState = el('p', { class: 'field-hint', id: 'target-state' });
  const notice = el('div', { class: 'notice', id: 'spot-notice' });
  const keep = el('button', { type: 'button', id: 'keep', on: { click: kept } }, 'Keep this spot');
  const keepState = el('p', { id: 'keep-state', role: 'status' });
  const link = el('a', { id: 'spot-link' }, 'This spot’s own address');
  const copyLink = el('button', { type: 'button', class: 'quiet', id: 'copy-link', on: { click: copied } }, 'Copy the address');

  const set = (/** @type {string} */ legend, /** @type {(Element | null)[]} */ ...inside) =>
    el('fieldset', { class: 'group' }, el('legend', {}, legend), ...inside);
  const row = (/** @type {string[]} */ ...ids) => el('div', { class: 'pairs' }, ...ids.map(id => form[id].element));

  const element = el(
    'section',
    { class: 'screen screen-spot', 'aria-label': 'Spot' },
    set('Kept spots', none, list.element, homeField.element,
      el('button', { type: 'button', class: 'quiet', id: 'new-spot', on: { click: () => begin(blank()) } }, 'Begin a new spot')),
    notice,
    set('Where the tripod stands', form.name.element,
      el('div', { class: 'field' }, locate, locateState), coordinatesField.element,
      form.latitudeDeg.element, form.longitudeDeg.element, form.elevationM.element, form.zone.element,
      el('datalist', { id: 'zones' }, ...zoneNames().map(name => el('option', { value: name })))),
    set('Where the lens looks', row('bearingDeg', 'skylineDeg'), el('p', { class: 'field-hint' }, 'Not flat? ', el('a', { href: '#sky/skyline' }, 'Survey the skyline')), targetField.element, targetState, cautions('sun')),
    set('The camera', row('format', 'focalMm')),
    set('The picture wanted', row('apertureMin', 'apertureMax'), row('isoMin', 'isoMax'), row('shutterWantedS', 'filterStops')),
    set('The light', light.element),
    set('Getting there', row('walkMin', 'setUpMin'), form.notes.element, cautions('ground')),
    el('div', { class: 'keep' }, keep, keepState),
    set('Bookmark it', el('p', { class: 'aside' }, 'All of it is in the spot’s own address. Open it, then bookmark it or add it to the home screen: it opens with no signal too.'),
      el('div', { class: 'acts' }, link, copyLink)),
  );

  function render() {
    if (book.offered) begin(book.offered);
    else if (seen !== book.open.spot) begin(book.open);
    book.offered = null;
    seen = book.open.spot;
    if (lengths !== book.settings.lengths) {
      lengths = book.settings.lengths;
      say(/** @type {Element} */ (form.elevationM.element.querySelector('.field-unit')), lengths === 'feet' ? 'ft' : 'm');
      form.elevationM.value = book.open.spot.elevationM;
    }
    list.draw(book.kept, book.open.id);
    homeField.element.hidden = book.kept.length === 0;
    none.hidden = book.kept.length > 0;
    home.choices = [['', 'The one used last'], ...book.kept.map(({ id, spot: { name } }) => /** @type {[string, string]} */ ([id, name || 'Without a name']))];
    home.value = book.settings.homeId ?? '';
    light.value = book.open.light;
  }

  /** Fills the form. @param {Open} open */
  function begin(open) {
    held = open;
    book.unkept.delete('spot-form');
    visited.clear();
    for (const id of SPOT_FIELDS) form[id].value = /** @type {any} */ (open.spot)[id];
    for (const id of SHOT_FIELDS) form[id].value = /** @type {any} */ (open.shot)[id];
    coordinates.value = target.value = '';
    coordinatesField.problem = targetField.problem = null;
    for (const state of [locateState, targetState, keepState]) say(state, '');
    fill(notice,
      open.problems?.length ? el('p', { class: 'problem' }, 'This address holds values that cannot be right; the rest is filled in.') : null,
      ...problemsElsewhere(open.problems ?? []).map(({ message }) => el('p', { class: 'problem' }, message)),
      open.unknown.length ? el('p', {}, `Not known to this version, and kept as it is: ${open.unknown.map(([key, value]) => `${key}=${value}`).join(', ')}`) : null);
    complain(open.problems ?? []);
    offerLink(open.problems?.length ? null : open);
  }

  /** Problems with no field on the form. @param {Problem[]} problems */
  const problemsElsewhere = problems => problems.filter(problem => !form[fieldOf(problem)]);

  /** @returns {Open} */
  function read() {
    const from = /** @type {Open} */ (held);
    const values = (/** @type {string[]} */ ids) => Object.fromEntries(ids.map(id => [id, form[id].value]));
    return {
      ...from,
      spot: /** @type {Open['spot']} */ (values(SPOT_FIELDS)),
      shot: /** @type {Open['shot']} */ (values(SHOT_FIELDS)),
      light: book.open.light, skyline: from.spot === book.open.spot ? book.open.skyline : from.skyline,
      edited: true, example: false, problems: undefined,
    };
  }

  /** @param {Open} open @returns {Problem[]} */
  function problemsOf({ spot: typed, shot }) {
    const all = { ...typed, ...shot };
    const wordless = Object.entries(all).filter(([, value]) => Number.isNaN(value)).map(([id]) => ({
      field: id, code: 'malformed', message: 'This is not a number',
    }));
    const { problems } = checkSpot({ spot: typed, shot, unknown: [] });
    return [...wordless, ...problems.filter(problem => !wordless.some(({ field: id }) => id === fieldOf(problem)))];
  }

  /** Shows what is wrong, beside each field. @param {Problem[]} problems */
  function complain(problems) {
    for (const [id, entry] of Object.entries(form)) {
      const problem = problems.find(each => fieldOf(each) === id);
      entry.problem = problem ? problemWords(problem) : null;
    }
  }

  /** @param {string} id */
  function touched(id) {
    visited.add(id);
    book.unkept.add('spot-form');
    const open = read();
    const problems = problemsOf(open);
    complain(problems.filter(problem => problem.code !== 'missing' || visited.has(fieldOf(problem))));
    say(keepState, '');
    offerLink(problems.length ? null : open);
    // The table keeps the last spot that made sense.
    if (problems.length) return;
    held = open;
    seen = open.spot;
    fill(notice);
    book.show(open);
  }

  async function kept() {
    for (const id of Object.keys(form)) visited.add(id);
    const open = read();
    const problems = problemsOf(open);
    complain(problems);
    if (problems.length) {
      say(keepState, problems.length === 1 ? 'Not kept: one value needs mending.' : `Not kept: ${problems.length} values need mending.`);
      form[fieldOf(problems[0])]?.control.focus();
      return;
    }
    say(keepState, 'Keeping…');
    try {
      seen = open.spot;
      held = await book.keep(open);
      book.unkept.delete('spot-form');
      say(keepState, book.lasts ? `Only ${book.lasts}.` : 'Kept on this device.');
    } catch (error) {
      keepFailed(error);
    }
  }

  /** @param {unknown} error */
  function keepFailed(error) {
    say(keepState, `Not kept: ${reasonOf(error)}. Its address below holds all of it.`);
  }

  /** @param {boolean} [finished] a half-typed pair is no mistake yet */
  function pasted(finished = false) {
    coordinatesField.problem = null;
    if (!coordinates.value.trim()) return;
    try {
      const read = readCoordinates({ text: coordinates.value });
      settle(read);
    } catch (error) {
      if (finished) coordinatesField.problem = problemWords(refusal(error));
      else refusal(error);
    }
  }

  /** @param {boolean} [finished] */
  function aimed(finished = false) {
    targetField.problem = null;
    say(targetState, '');
    if (!target.value.trim()) return;
    try {
      const { latitudeDeg, longitudeDeg } = { latitudeDeg: form.latitudeDeg.value, longitudeDeg: form.longitudeDeg.value };
      const { bearingDeg, distanceM } = geodesicTo({ latitudeDeg, longitudeDeg, target: target.value });
      form.bearingDeg.value = Number(bearingDeg.toFixed(1));
      say(targetState, `${format.degrees(bearingDeg, 1)}, ${format.distance(distanceM, book.settings.lengths)} away`);
      touched('bearingDeg');
    } catch (error) {
      if (finished) targetField.problem = problemWords(refusal(error));
      else refusal(error);
    }
  }

  /** Takes a position over. @param {{ latitudeDeg: number, longitudeDeg: number, elevationM: number | null }} position */
  function settle({ latitudeDeg, longitudeDeg, elevationM }) {
    form.latitudeDeg.value = latitudeDeg;
    form.longitudeDeg.value = longitudeDeg;
    if (elevationM !== null) form.elevationM.value = elevationM;
    visited.add('longitudeDeg');
    touched('latitudeDeg');
  }

  async function located() {
    say(locateState, 'Looking…');
    try {
      const found = await whereAmI();
      settle(found);
      say(locateState, `Within about ${format.distance(found.accuracyM, book.settings.lengths)}`);
    } catch (error) {
      say(locateState, reasonOf(error));
    }
  }

  /** @param {Open | null} open */
  function offerLink(open) {
    link.hidden = copyLink.hidden = !open;
    if (open && problemsOf(open).length === 0) link.href = writeSpotLink({ spot: open.spot, shot: open.shot, unknown: open.unknown });
    else link.hidden = copyLink.hidden = true;
  }

  async function copied() {
    try {
      await navigator.clipboard.writeText(link.href);
      announce('Copied');
      say(copyLink, 'Copied');
      setTimeout(() => say(copyLink, 'Copy the address'), 2000);
    } catch {
      say(keepState, 'This browser does not let the page copy: hold the address and copy it from there.');
    }
  }

  return { element, render };
}
