// @ts-check
import { say } from './dom.js';

/**
 * Says something once to those who listen to the page. Sparing: the clock and the countdown never come here.
 * @param {string} text
 */
export function announce(text) {
  const region = document.getElementById('announce');
  if (region) say(region, text);
}
