// @ts-check
// Files on their way out: by the system's share sheet, or into the reader's downloads.

import { el } from './dom.js';
import { reasonOf } from './problems.js';

/**
 * @param {string} name
 * @param {string} type
 * @param {string} text
 */
const fileOf = (name, type, text) => new File([text], name, { type });

/**
 * Puts a file among the downloads.
 * @param {string} name
 * @param {string} type
 * @param {string} text
 */
export function handOver(name, type, text) {
  const url = URL.createObjectURL(fileOf(name, type, text));
  el('a', { href: url, download: name }).click();
  // Long enough for a browser that asks where to put it.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** Whether this system can be handed such a file. @param {string} name @param {string} type */
export const canSend = (name, type) => Boolean(navigator.canShare?.({ files: [fileOf(name, type, '')] }));

/**
 * Hands a file to the system's share sheet; a reader who thinks better of it is no failure.
 * @param {string} name
 * @param {string} type
 * @param {string} text
 * @returns {Promise<string>} why it was not sent, or nothing
 */
export async function send(name, type, text) {
  try {
    await navigator.share({ files: [fileOf(name, type, text)] });
  } catch (error) {
    if (!(error instanceof Error) || error.name !== 'AbortError') return reasonOf(error);
  }
  return '';
}
