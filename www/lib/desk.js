// @ts-check
// The exposure desk: what was metered, what will be dialled, and how its reader works.

import { seconds, thirds } from './format.js';

/**
 * @typedef {import('../../target/types/duskbook.d.ts').DialMark} Mark
 * @typedef {'aperture' | 'shutter' | 'iso'} Dial
 * @typedef {Record<Dial, Mark>} Dials
 * @typedef {Pick<import('../../target/types/duskbook.d.ts').SettingAnswer,
 *   'aperture' | 'apertureLabel' | 'shutterS' | 'shutterLabel' | 'iso' | 'isoLabel'>} Told a setting as an answer tells it
 *
 * @typedef {import('../../target/types/duskbook.d.ts').FilterQuestion} Glass
 * @typedef {object} OwnFilter a record of the store
 * @property {string} id
 * @property {1} version
 * @property {number} sinceMs when it came into the bag
 * @property {Glass} glass
 *
 * @typedef {object} Desk
 * @property {Dials | null} metered what the light was measured by; `null` follows the run sheet
 * @property {'reader' | 'run-sheet' | 'usual'} from who says so
 * @property {number} sinceMs when
 * @property {Dials | null} dials what will be shot, when a row was taken
 * @property {Dial} hold which stays while the other two change
 * @property {'full' | 'thirds'} steps of the rows
 * @property {number} offsetStops what the reader's meter always needs
 * @property {number} compensationStops what this picture is to get more
 * @property {string[]} onLens filters of the bag, by their ids
 * @property {number | null} meterLowEv where the camera's meter gives up
 * @property {string} sheet the film, or nothing for an exponent of one's own
 * @property {number} exponent
 * @property {number} sensorStops what one frame holds
 * @property {number} stepStops between the frames of a bracket
 * @property {number | null} fitMinS the time that the picture bears at least; `null` follows the spot's
 * @property {number | null} fitMaxS and at most
 * @property {number} fullWellE electrons that a pixel holds at the sensor's base speed
 * @property {number} readNoiseE noise of reading one, electrons
 * @property {number} baseIso
 */

/** @returns {Desk} */
export const usualDesk = () => ({
  metered: null, from: 'usual', sinceMs: 0, dials: null, hold: 'iso', steps: 'full', offsetStops: 0, compensationStops: 0, onLens: [],
  meterLowEv: null, sheet: 'hp5-plus', exponent: 1.3, sensorStops: 12, stepStops: 2, fitMinS: null, fitMaxS: null,
  fullWellE: 50_000, readNoiseE: 3, baseIso: 100,
});

/** Where nothing is known of the light: a setting to step from. @type {Dials} */
export const USUAL_DIALS = {
  aperture: { label: 'f/8', exact: 8 },
  shutter: { label: '1/60 s', exact: 1 / 64 },
  iso: { label: 'ISO 100', exact: 100 },
};

/** @type {Glass} */
export const CLEAR_GLASS = {
  stops: undefined, factor: undefined, density: undefined, text: undefined, kind: undefined,
  mostStops: undefined, edge: undefined,
};

/** @param {Told} told @returns {Dials} */
export const dialsOf = told => ({
  aperture: { label: told.apertureLabel, exact: told.aperture },
  shutter: { label: told.shutterLabel, exact: told.shutterS },
  iso: { label: told.isoLabel, exact: told.iso },
});

/** A mark below the word of its dial, which need not be said twice. @param {Mark} mark */
export const shortLabel = ({ label }) => label.replace('ISO ', '');

/**
 * Every third of a stop between two whole numbers of them.
 * @param {number} from
 * @param {number} to
 * @param {(value: number) => string} [write]
 * @returns {Mark[]}
 */
export const thirdsBetween = (from, to, write = thirds) =>
  Array.from({ length: (to - from) * 3 + 1 }, (_, index) => from + index / 3).map(exact => ({ label: write(exact), exact }));

/** @param {number} exact @returns {Mark} */
export const timeMark = exact => ({ label: seconds(exact), exact });

/** The mark nearest to a value. @param {Mark[]} marks @param {number} exact */
export const nearestMark = (marks, exact) => marks.reduce((a, b) => (Math.abs(b.exact - exact) < Math.abs(a.exact - exact) ? b : a));

/** Past this a camera's own dial ends: its 30 s by doublings. */
export const DIAL_ENDS_S = 32;

/** Times past what a camera keeps by itself. */
export const longTimes = () => [45, 60, 90, 120, 180, 240, 300, 360, 480, 600, 900, 1200, 1800].map(timeMark);

/** A filter's name on the bag. @param {Glass} glass */
export function glassWords({ kind, text, stops, mostStops, edge }) {
  const measured = thirds(stops ?? 0);
  switch (kind) {
    case 'polariser': return `Polariser ${measured}–${thirds(mostStops ?? 0)}`;
    case 'night-sky': return `Night-sky ${measured}`;
    case 'graduated': return `${edge === 'hard' ? 'Hard' : edge === 'reverse' ? 'Reverse' : 'Soft'} grad ${text}`;
    default: return text ?? '';
  }
}
