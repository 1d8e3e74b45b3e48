// @ts-check
// What the calls say of photographs, in words; a code that is not known here shows itself.

import { number, percent, thirdStops, thirds } from './format.js';

/** @type {Record<string, string>} */
const WARNINGS = {
  'unknown-format': 'No kind of file that can be read here.',
  'no-exif': 'The file says nothing of how it was taken.',
  cut: 'The file’s own record points beyond its end: parts are missing.',
  'file-time': 'No time of exposure in the file; this is when it was scanned or changed.',
  'bad-time': 'The time in the file cannot be one.',
  'bad-offset': 'The offset from UTC in the file cannot be one.',
  'bad-shutter': 'The time of exposure in the file cannot be one.',
  'bad-aperture': 'No f-number: a lens without contacts, perhaps.',
  'bad-iso': 'The ISO in the file cannot be one.',
  'bad-focal': 'No focal length: a lens without contacts, perhaps.',
  'bad-place': 'The place in the file cannot be one.',
};

/** @param {string} code */
export const warningWords = code => WARNINGS[code] ?? code;

/** @typedef {import('./photograph.js').Seen['tones']} Tones */

/** @param {Tones} tones @returns {[string, string][]} */
export const toneNumbers = tones => [
  ['Clipped high', percent(tones.clippedHigh)],
  ['+⅓ stop would clip', percent(tones.clippedAfterThird)],
  ['Clipped low', percent(tones.clippedLow)],
  ['Room above', thirdStops(tones.roomStops)],
  ['Middle', `${thirds(tones.midStops, true)} from grey`],
  ['Span', `${number(tones.spanStops, 1)} stops`],
];

/** @param {Tones} tones @param {string} code */
export function adviceWords({ roomStops }, code) {
  switch (code) {
    case 'expose-right': return `Expose to the right: ${thirdStops(roomStops, true)} and hardly a pixel clips.`;
    case 'lamps': return 'A few pixels have clipped, as lamps may.';
    case 'expose-less': return 'Highlights are gone: give less.';
    case 'bracket': return 'Both ends are gone: one frame does not hold this. Bracket, or graduate if the sky is what clips.';
    case 'shadows-black': return 'Shadows are black.';
    default: return code;
  }
}

/** @typedef {ReturnType<typeof import('../core.js').editCost>} Cost */

/** The verdict on an edit. @param {Cost} cost */
export function verdictWords({ verdict, longerStops, longerIso, liftStops }) {
  switch (verdict) {
    case 'little': return 'Hardly any lift: it costs nothing';
    case 'clean': return 'The lift will not show';
    case 'longer': return `Better: one frame ${thirdStops(longerStops)} longer, ISO ${number(longerIso)}`;
    case 'bracket': return `Better: a second frame at ${thirds(liftStops, true)}`;
    default: return verdict;
  }
}
