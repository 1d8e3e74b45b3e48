// @ts-check
// What the reader carries: the lens in hand, the other camera, formats of one's own, and what counts as sharp.

import { readNumber, written } from './format.js';
import { FORMATS } from './words.js';

/**
 * @typedef {'modern' | 'traditional' | 'customary' | 'print'} Basis
 *
 * @typedef {object} Kit
 * @property {{ focalMm: number, format: string } | null} lens in hand; `null` follows the spot
 * @property {boolean} upright how the camera is held
 * @property {string} other the other camera's format
 * @property {string[]} ownFormats
 * @property {Basis} basis of what counts as sharp
 * @property {number} printCm its long side
 * @property {number} viewingCm
 * @property {number} pitchUm from pixel to pixel
 * @property {number} blades of the stop
 */

/** @returns {Kit} */
export const usualKit = () => ({
  lens: null, upright: false, other: '23.5x15.6', ownFormats: [], basis: 'modern', printCm: 60, viewingCm: 60, pitchUm: 4.3, blades: 9,
});

/** Width and height of a format, millimetres; `NaN` for what are no numbers. @param {string} format @returns {[number, number]} */
export const sidesOf = format => {
  const [width, height] = format.split(/[x×*]/i).map(side => readNumber(side) ?? NaN);
  return [width, height ?? NaN];
};

/** A format as it is read. @param {string} format */
export const formatWords = format => written(format.replace('x', ' × '));

/** @param {Kit} kit @returns {[string, string][]} */
export const formatsOf = ({ ownFormats }) => [...FORMATS.map(([code, words]) => /** @type {[string, string]} */ ([code, written(words)])), ...ownFormats.map(own => /** @type {[string, string]} */ ([own, `${formatWords(own)} mm`]))];

/**
 * The lens that the cards start from, and the picture's width and height as the camera is held.
 * @param {{ kit: Kit, open: { spot: { focalMm: number | null, format: string } } }} book
 */
export function lensInHand({ kit, open: { spot } }) {
  const { focalMm, format } = kit.lens ?? spot;
  const [width, height] = sidesOf(format);
  return { focalMm: focalMm ?? 35, format, formatMm: /** @type {[number, number]} */ (kit.upright ? [height, width] : [width, height]) };
}
