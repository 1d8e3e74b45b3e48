// @ts-check
// Addresses inside the page: `#evening`, `#evening?date=2031-03-09&part=morning`, `#spot?v=1&…`.

/** @typedef {{ card: string, query: URLSearchParams, fragment: string }} Route */

/** The card that carries a whole spot in its address. */
export const SPOT_LINK = 'spot';

/**
 * @param {string} fragment the address from `#` on, or nothing
 * @returns {Route}
 */
export function readRoute(fragment) {
  const body = fragment.replace(/^#/, '');
  const mark = body.indexOf('?');
  const card = mark < 0 ? body : body.slice(0, mark);
  return { card, query: new URLSearchParams(mark < 0 ? '' : body.slice(mark + 1)), fragment };
}
