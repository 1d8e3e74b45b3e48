// @ts-check

/** @typedef {import('./book.js').Theme} Theme */

const darkDevice = matchMedia('(prefers-color-scheme: dark)');

/**
 * Puts a theme on the page, and where first-paint.js looks for it.
 * @param {Theme} theme
 */
export function wear(theme) {
  const worn = theme === 'system' ? (darkDevice.matches ? 'dark' : 'day') : theme;
  const { documentElement } = document;
  documentElement.dataset.theme = worn;
  documentElement.style.background = '';
  const paper = getComputedStyle(documentElement).getPropertyValue('--paper').trim();
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', paper);
  try {
    if (theme === 'system') localStorage.removeItem('duskbook-theme');
    else localStorage.setItem('duskbook-theme', theme);
  } catch {
    // Then the next start begins with the device's own preference.
  }
}

/** @param {() => void} listener called when the device turns dark or light */
export const onDeviceTheme = listener => darkDevice.addEventListener('change', listener);
