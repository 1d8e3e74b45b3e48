// @ts-check
// The only module that knows the wasm. Everything the page shows is asked for here.

import init, { zoneDay as askDay } from './wasm/duskbook.js';

export {
  aperturePriority,
  brackets,
  checkSpot,
  circleOfConfusion,
  depthOfField,
  describeEv,
  diffraction,
  editCost,
  equivalentLens,
  equivalents,
  evening,
  exposureWindow,
  filmSheets,
  filterFor,
  focusFor,
  framesFor,
  geodesicTo,
  graduatedFilter,
  histogram,
  inFrame,
  intervalRamp,
  logTable,
  photoTime,
  planBackup,
  readCoordinates,
  readLogCsv,
  readPhoto,
  readSpotLink,
  reciprocity,
  roadTrail,
  runSheet,
  sequence,
  series,
  sighting,
  skyEvents,
  skyPosition,
  skylineAltitude,
  starFrame,
  starTrail,
  testFrame,
  throughFilters,
  tones,
  trafficTrail,
  view,
  writeCalendar,
  writeLogCsv,
  writeSpotLink,
  writeSpots,
  yearSearch,
} from './wasm/duskbook.js';

/** Resolves when questions may be asked. */
export const ready = init();

/** @typedef {{ field: string, code: string, message: string }} Problem */

/**
 * A refusal as a problem with a field; anything else is a fault of ours and is thrown on.
 * @param {unknown} error
 * @returns {Problem}
 */
export function refusal(error) {
  if (error instanceof Error && 'field' in error && 'code' in error) {
    return { field: String(error.field), code: String(error.code), message: error.message };
  }
  throw error;
}

/** The browser's zones answer slowly, and the cards ask for the same few days. @type {Record<string, ReturnType<typeof askDay>>} */
const days = Object.create(null);

/** @type {typeof askDay} */
export const zoneDay = question => (days[question.zone + question.date] ??= askDay(question));
