// @ts-check
// What a spot has taught about its light, as it is kept: by which half-day it was last taught, what it had been taught
// before that, and what it knows since. An evening starts from what was known before it, however often it is asked.

/**
 * @typedef {NonNullable<import('../../target/types/duskbook.d.ts').RunSheetAnswer['lesson']>} Lesson
 * @typedef {import('./book.js').Light} Light
 * @typedef {{ key: string, before?: Lesson, after: Lesson, light?: Light }} Taught a part of the spot's record; `light` is what was chosen then
 */

/** Half-days in their order. @param {string} date @param {import('./book.js').Part} part */
export const halfDayKey = (date, part) => `${date} ${part === 'morning' ? 'a' : 'b'}`;

/**
 * What is known of a spot before a half-day.
 * @param {Taught | undefined} taught
 * @param {string} key
 */
export function lessonBefore(taught, key) {
  if (!taught || key < taught.key) return undefined;
  return key === taught.key ? taught.before : taught.after;
}

/**
 * Readings that are not in a lesson yet: those of the small hours belong to two half-days and count but once.
 * @template {{ atMs: number }} Reading
 * @param {Reading[]} readings
 * @param {Lesson | undefined} lesson
 */
export const notIn = (readings, lesson) => readings.filter(({ atMs }) => !lesson || atMs > lesson.atMs);

/**
 * The light under which a half-day teaches: once it is over, the one that it had, whatever is chosen since.
 * @param {Taught | undefined} taught
 * @param {string} key
 * @param {boolean} over
 * @param {Light} chosen
 */
export const lightThen = (taught, key, over, chosen) => (over && taught?.key === key && taught.light) || chosen;

/**
 * What to keep when a half-day has taught something, or no longer does; an earlier one than the last teaches nothing more.
 * @param {Taught | undefined} taught
 * @param {string} key
 * @param {Lesson | null} lesson `null` without readings
 * @param {Light} [light]
 * @returns {Taught | undefined}
 */
export function taughtBy(taught, key, lesson, light) {
  if (taught && key < taught.key) return taught;
  const before = lessonBefore(taught, key);
  if (lesson) return { key, before, after: lesson, light };
  if (taught?.key !== key) return taught;
  return before && { key: '', after: before };
}
