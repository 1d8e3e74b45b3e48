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
  document.documentElement.dataset.theme = chosen ?? (dark ? 'dark' : 'day');
})();
