// @ts-check
// The theme before the first paint: a white flash costs a photographer twenty minutes of night sight.
// A classic script, so that it runs before anything is drawn. What was chosen is kept by the book as well.
(() => {
  /** @type {string | null} */
  let chosen = null;
  try {
    chosen = localStorage.getItem('duskbook-theme');
  } catch {
    // No storage allowed: the device's own preference decides.
  }
  const dark = matchMedia('(prefers-color-scheme: dark)').matches;
  const theme = chosen ?? (dark ? 'dark' : 'day');
  const { dataset, style } = document.documentElement;
  dataset.theme = theme;
  // The papers of tokens.css, for as long as that is not here, and for what the browser draws around the page.
  const paper = theme === 'night' ? '#000' : theme === 'dark' ? '#12151b' : '#f6f3ec';
  style.background = paper;
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', paper);
  // A file of this page's version is gone: while the page was loading, another tab took a newer one. Anew, then, but once.
  addEventListener('error', ({ target }) => {
    const [visit] = performance.getEntriesByType('navigation');
    const { src, href } = /** @type {any} */ (target);
    if (/\?v=/.test(src || href) && navigator.serviceWorker?.controller && /** @type {any} */ (visit).type !== 'reload') location.reload();
  }, true);
})();
