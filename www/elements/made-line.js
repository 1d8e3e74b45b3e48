// @ts-check
// One tap for the frame just made; two for what the meter says of the setting that stands.

import { thirdsBetween } from '../lib/desk.js';
import { el, fill, say } from '../lib/dom.js';
import { thirds } from '../lib/format.js';
import { reasonOf } from '../lib/problems.js';
import { dial } from './dial.js';

/** @typedef {import('../lib/frames.js').Setting} Setting */

/** What the meter wants, in thirds. @param {number} stops */
const wants = stops => (Math.round(stops * 3) === 0 ? 'as it is' : `${thirds(Math.abs(stops))} ${stops > 0 ? 'lighter' : 'darker'}`);

/** A setting in a line. @param {Setting} setting */
export const dialled = ({ dials: { aperture, shutter, iso }, filterStops }) =>
  [aperture.label, shutter.label, iso.label, filterStops > 0 && `filter ${thirds(filterStops)}`].filter(Boolean).join(' · ');

/**
 * @param {object} options
 * @param {() => Setting | null} options.standing what stands on the camera
 * @param {() => string} options.intent what is metered
 * @param {(setting: Setting) => Promise<string>} options.onframe tells what to say when it is kept
 * @param {(setting: Setting, wantsStops: number) => Promise<string>} options.onreading
 */
export function madeLine({ standing, intent, onframe, onreading }) {
  /** What stood when the meter was asked: the sheet may go on meanwhile. @type {Setting | null} */
  let asked = null;
  const at = el('p', { class: 'aside', id: 'meter-at' });
  const wanted = dial({ id: 'meter-wants', label: 'The meter wants this frame', marks: thirdsBetween(-5, 5, wants), value: 0, onchange: () => say(state, '') });
  const state = el('p', { id: 'made-state', class: 'aside', role: 'status' });
  const take = el('button', { type: 'button', id: 'take-reading', on: { click: () => asked && keep(onreading(asked, wanted.value)).then(close) } }, 'Take this reading');
  const panel = el('div', { class: 'meter-panel', id: 'meter-panel', hidden: true }, at, wanted.element, take);
  const meter = el('button', { type: 'button', class: 'quiet', id: 'meter-says', 'aria-expanded': 'false', 'aria-controls': 'meter-panel', on: { click: toggle } }, 'Meter says…');
  const frame = el('button', { type: 'button', class: 'quiet', id: 'made-frame', on: { click: made } }, 'Made this frame now');
  const element = el('div', { class: 'made' }, el('div', { class: 'taps' }, frame, meter), panel, state);

  function made() {
    const setting = standing();
    if (setting) keep(onframe(setting));
  }

  function toggle() {
    if (!panel.hidden) return close();
    asked = standing();
    if (!asked) return;
    say(at, `At ${dialled(asked)}, metered on ${intent()}`);
    wanted.value = 0;
    panel.hidden = false;
    meter.setAttribute('aria-expanded', 'true');
    say(state, '');
  }

  function close() {
    panel.hidden = true;
    meter.setAttribute('aria-expanded', 'false');
  }

  /** @param {Promise<string>} kept */
  async function keep(kept) {
    try {
      fill(state, await kept, ' ', el('a', { class: 'button quiet', href: '#log' }, 'See the log'));
    } catch (error) {
      say(state, `Not kept: ${reasonOf(error)}`);
    }
  }

  return { element };
}
