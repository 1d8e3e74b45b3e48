// @ts-check
// What the answers' short codes are called on the page, in the words of the trade.

/** @typedef {import('./book.js').Part} Part */
/** @typedef {import('./book.js').Light} Light */

/** Rows of the run sheet. @type {Record<string, Record<Part, string>>} */
const ROWS = {
  'set-out': { evening: 'Set out', morning: 'Set out' },
  'be-there': { evening: 'Be there, set up', morning: 'Be there, set up' },
  skyline: { evening: 'Sun behind the skyline', morning: 'Sun clears the skyline' },
  gap: { evening: 'Sun back in a gap', morning: 'Sun behind it again' },
  sunset: { evening: 'Sunset', morning: 'Sunset' },
  sunrise: { evening: 'Sunrise', morning: 'Sunrise' },
  'golden-start': { evening: 'Golden hour begins', morning: 'Golden hour begins' },
  'golden-end': { evening: 'Golden hour ends', morning: 'Golden hour ends' },
  'blue-start': { evening: 'Blue hour begins', morning: 'Blue hour begins' },
  'blue-end': { evening: 'Blue hour ends', morning: 'Blue hour ends' },
  civil: { evening: 'Civil twilight ends', morning: 'Civil twilight begins' },
  nautical: { evening: 'Nautical twilight ends', morning: 'Nautical twilight begins' },
  astronomical: { evening: 'Astronomical twilight ends', morning: 'Astronomical twilight begins' },
  balance: { evening: 'Sky meets lamps', morning: 'Sky meets lamps' },
  'light-ends': { evening: 'Last useful light', morning: 'Last useful light' },
  'light-begins': { evening: 'First useful light', morning: 'First useful light' },
  'lowest-light': { evening: 'The sun at its lowest', morning: 'The sun at its lowest' },
};

/**
 * @param {string} kind
 * @param {Part} part
 */
export const rowWord = (kind, part) => ROWS[kind]?.[part] ?? kind;

/**
 * A setting as three words to dial.
 * @param {{ apertureLabel: string, shutterLabel: string, isoLabel: string }} setting
 */
export const settingWords = ({ apertureLabel, shutterLabel, isoLabel }) => [apertureLabel, shutterLabel, isoLabel];

/** What an answer had to assume, by its code. @type {Record<string, string>} */
const ASSUMPTIONS = {
  likely: '“Likely” and the band of the picture mean eight times in ten.',
  'no-readings': 'No reading yet: the light is a published curve with its scatter. One metered frame removes most of the error.',
  'lamps-guessed': 'The lamps are a guess from the kind of scene. Meter them once after dark and give that level.',
  'lamps-only': 'The sky never adds anything to the lamps here: no hour is better than another, and one setting holds.',
  'steady-cloud': 'The cloud stays as you chose it.',
  'even-moonlight': 'Moonlight counts as spread evenly over the sky.',
  'flat-skyline': 'The skyline is flat all round, at the height given with the spot.',
  'surveyed-skyline': 'The skyline is as you surveyed it, straight between its points.',
  'standard-air': 'The air bends the light of the low sun as it does on average, by half a degree or so.',
  'hours-by-practice': 'Golden and blue hour are common practice; their limits are set under Sky.',
};

/** @param {string} code */
export const assumptionWords = code => ASSUMPTIONS[code] ?? code;

/** @type {[Light['cloud'], string][]} */
export const CLOUDS = [
  ['clear', 'Clear sky'],
  ['thin', 'Thin cloud'],
  ['average', 'Average cloud'],
  ['dark', 'Dark, low cloud'],
];

/** @type {[Extract<Light['scene'], string> | 'floor', string][]} */
export const SCENES = [
  ['street', 'Lit street'],
  ['skyline', 'Distant lit skyline'],
  ['floodlit', 'Floodlit building'],
  ['unlit', 'No lamps'],
  ['floor', 'Lamps I have metered…'],
];

/** @type {[Light['intent'], string][]} */
export const INTENTS = [
  ['frame', 'The whole frame'],
  ['sky', 'The sky'],
  ['shadows', 'The shadows'],
  ['highlights', 'The highlights'],
];

/** Formats by the width and height of the picture area; names of the trade. @type {[string, string][]} */
export const FORMATS = [
  ['36x24', '36 × 24 mm, full frame'],
  ['23.5x15.6', '23.5 × 15.6 mm, APS-C'],
  ['22.3x14.9', '22.3 × 14.9 mm, APS-C'],
  ['17.3x13', '17.3 × 13 mm, four thirds'],
  ['13.2x8.8', '13.2 × 8.8 mm, one inch'],
  ['43.8x32.9', '43.8 × 32.9 mm'],
  ['56x41.5', '56 × 41.5 mm, 6 × 4.5'],
  ['56x56', '56 × 56 mm, 6 × 6'],
  ['70x56', '70 × 56 mm, 6 × 7'],
  ['120x95', '120 × 95 mm, 4 × 5 in'],
];

/**
 * The word for a code in a list, or the code.
 * @param {[string, string][]} list
 * @param {string} code
 */
export const wordFor = (list, code) => list.find(([known]) => known === code)?.[1] ?? code;

/** What the sun does all day about an altitude that it never crosses. */
export const POLAR = {
  above: 'stays above this all day',
  below: 'stays below this all day',
};

/** The sun's centre as its upper edge leaves or meets a sea-level horizon. */
const HORIZON_DEG = -0.8333;

/**
 * The same of the horizon, where the sun does not cross it.
 * @param {{ altitudeDeg: number, state: 'above' | 'below' }[]} polar
 */
export function polarDay(polar) {
  const horizon = polar.find(({ altitudeDeg }) => Math.abs(altitudeDeg - HORIZON_DEG) < 0.001);
  if (!horizon) return null;
  return horizon.state === 'above' ? 'The sun does not set on this date.' : 'The sun does not rise on this date.';
}

/** What a row of equivalent settings costs, by its code; what is not known here shows its code. @type {Record<string, string>} */
const COSTS = {
  timed: 'past 30 s',
  'iso-above-limit': 'ISO past your limit',
  diffraction: 'diffraction',
};

/** @param {string} code */
export const costWords = code => COSTS[code] ?? code;

/** @type {Record<import('./desk.js').Dial, string>} */
export const DIALS = { aperture: 'Aperture', shutter: 'Time', iso: 'ISO' };

/** What keeps a picture steady and sharp, by its code: to be ticked off. @type {Record<string, string>} */
const STEADINESS = {
  'focus-then-lock': 'Focus while there is light: single autofocus on something that does not move, then lock it',
  'focus-after-zoom': 'After zooming check the focus again',
  'stabiliser-off': 'Stabiliser off on the tripod',
  release: 'Cable or remote release, or the self-timer',
  mirror: 'Mirror up, or electronic first curtain: 1/30 to 2 s show its shake',
  finder: 'Finder covered for long times',
  wind: 'Low and out of the wind, the strap tied down',
  'ground-shake': 'Wait for lorries and trains to pass; a bridge trembles on after them',
};

/** @param {string} code */
export const steadinessWords = code => STEADINESS[code] ?? code;

export const CAUTIONS = {
  sun: 'Never look at the sun through an optical finder or a long lens. A photographic filter, however dark, is not eye protection.',
  edges: 'Look up from the screen before you step: on roofs, quays and rocks stay back from the edge and tie gear down. Roofs need permission; defer to local codes.',
  rays: 'For rays around the sun at f/22, or for a long time behind dark glass, compose on the screen at the back.',
  ground: 'Keep off the carriageway and the track, tie gear down over drops, point no lights at drivers. Access and tripods are ruled locally: get permission, and defer to local codes and licensed practice.',
};
