// @ts-check
// Roads to begin a sketch with. Each is a list of points right of the tripod and ahead of it, far to near, as multiples of
// the distance to its middle.

/** @typedef {[rightM: number, aheadM: number, belowM: number]} RoadPoint */
/** @typedef {'across' | 'left' | 'right' | 'double'} RoadShape */

/** @type {[number, number][]} */
const BEND = [[-0.5, 6], [0.4, 3.5], [0.75, 2.4], [0.8, 1.8], [0.65, 1.4], [0.3, 1.1], [-0.2, 0.9], [-0.8, 0.75], [-1.6, 0.65]];

/** @type {Record<RoadShape, [number, number][]>} */
const SHAPES = {
  across: [[-4, 1], [4, 1]],
  left: BEND,
  right: BEND.map(([right, ahead]) => [-right, ahead]),
  double: [[1.2, 7], [0.2, 4.6], [-0.45, 3.2], [-0.65, 2.5], [-0.5, 2], [-0.05, 1.65], [0.35, 1.35], [0.45, 1.1], [0.3, 0.9], [-0.1, 0.7], [-0.6, 0.5]],
};

/** @type {[RoadShape | 'own', string][]} */
export const ROAD_CHOICES = [
  ['across', 'Straight across'],
  ['left', 'A bend, out to the left'],
  ['right', 'A bend, out to the right'],
  ['double', 'A double bend'],
  ['own', 'My points'],
];

const tenths = (/** @type {number} */ length) => Math.round(length * 10) / 10;

/**
 * Points to whole tenths of the unit that the distance comes in.
 * @param {RoadShape} shape
 * @param {number} distance
 * @param {number} below
 * @returns {RoadPoint[]}
 */
export const roadOf = (shape, distance, below) =>
  SHAPES[shape].map(([right, ahead]) => [tenths(right * distance), tenths(ahead * distance), below]);
