// @ts-check
// A photograph's file, looked into: what it says of itself, and how many pixels it has of each tone. The browser
// decodes, the calls count. Runs in a worker, or in the page where a worker cannot draw.

import { histogram, readPhoto, tones } from '../core.js';

/**
 * @typedef {ReturnType<typeof readPhoto>} Record
 * @typedef {Pick<ReturnType<typeof histogram>, 'red' | 'green' | 'blue' | 'luminance' | 'brightest'>} Counts
 * @typedef {{ counts: Counts, tones: ReturnType<typeof tones>, preview: ImageData, width: number, height: number }} Seen
 * @typedef {{ record: Record, seen: Seen | null }} Photograph `seen` is null for what this browser cannot decode
 */

/** Enough of a JPEG to find its Exif, as a rule. */
const BEGINNING = 128 * 1024;

/** Larger files are not looked through to the end. */
const LARGEST = 256 * 1024 * 1024;

/** Pixels counted in one go: a few megabytes. */
const STRIP = 1024 * 1024;

/** The preview's longer side. */
const PREVIEW = 640;

/** @param {Blob} part */
const bytesOf = async part => new Uint8Array(await part.arrayBuffer());

/** @param {File} file @returns {Promise<Photograph>} */
export async function lookInto(file) {
  let record = readPhoto(await bytesOf(file.slice(0, BEGINNING)));
  if (record.warnings.includes('cut') && file.size > BEGINNING && file.size <= LARGEST) record = readPhoto(await bytesOf(file));
  const bitmap = await createImageBitmap(file).catch(() => null);
  if (!bitmap) return { record, seen: null };
  try {
    return { record, seen: count(bitmap) };
  } finally {
    bitmap.close();
  }
}

/** @param {ImageBitmap} bitmap @returns {Seen} */
function count(bitmap) {
  const { width, height } = bitmap;
  const rows = Math.max(1, Math.floor(STRIP / width));
  const draw = pen(width, Math.min(rows, height));
  /** @type {Counts | null} */
  let counts = null;
  for (let top = 0; top < height; top += rows) {
    const tall = Math.min(rows, height - top);
    draw.clearRect(0, 0, width, tall);
    draw.drawImage(bitmap, 0, top, width, tall, 0, 0, width, tall);
    const strip = histogram(draw.getImageData(0, 0, width, tall).data, width, tall);
    counts = counts ? added(counts, strip) : strip;
  }
  const share = Math.min(1, PREVIEW / Math.max(width, height));
  const [wide, tall] = [width, height].map(side => Math.max(1, Math.round(side * share)));
  const small = pen(wide, tall);
  small.drawImage(bitmap, 0, 0, wide, tall);
  const whole = /** @type {Counts} */ (counts);
  return { counts: whole, tones: tones(whole), preview: small.getImageData(0, 0, wide, tall), width, height };
}

/** @param {number} width @param {number} height */
function pen(width, height) {
  const canvas = typeof OffscreenCanvas === 'undefined'
    ? Object.assign(document.createElement('canvas'), { width, height })
    : new OffscreenCanvas(width, height);
  return /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d', { willReadFrequently: true }));
}

/** @param {Counts} to @param {Counts} from */
function added(to, from) {
  for (const kind of /** @type {(keyof Counts)[]} */ (['red', 'green', 'blue', 'luminance', 'brightest'])) {
    from[kind].forEach((count, value) => { to[kind][value] += count; });
  }
  return to;
}

/**
 * The luminance of a band of a preview, from one share of its height to another.
 * @param {ImageData} preview
 * @param {{ from: number, to: number }} band
 */
export function bandOf({ data, width, height }, { from, to }) {
  const top = Math.min(height - 1, Math.floor(from * height));
  const rows = Math.max(1, Math.round(to * height) - top);
  return histogram(data.subarray(top * width * 4, (top + rows) * width * 4), width, rows).luminance;
}
