// By how much one machine is slower than another in the work of a page. A page's script, used from the checks.

/* exported beat */

/**
 * A sheet of rows made, laid out and taken away: page work that is always the same, by which machines can be compared. It lies in a
 * tree of its own, out of the page's styles and its layout.
 * @param {string} name of its marks
 */
function beat(name) {
  performance.mark(`${name} begins`);
  const host = document.createElement('div');
  const sheet = host.attachShadow({ mode: 'open' });
  const style = { position: 'fixed', inset: '0 auto auto 0', width: '320px', height: '480px', contain: 'strict', visibility: 'hidden' };
  for (const [key, value] of Object.entries(style)) host.style.setProperty(key, value);
  for (let i = 0; i < 60; i++) {
    const row = document.createElement('div');
    row.style.setProperty('display', 'grid');
    row.style.setProperty('grid-template-columns', '4em 6em 1fr');
    const words = JSON.parse(JSON.stringify([(i * 7919 % 1000 / 8).toFixed(1), `1/${i * 104_729 % 8000} s`, `row ${i} of the sheet`]));
    for (const word of words) {
      const cell = document.createElement('span');
      cell.append(word);
      row.append(cell);
    }
    sheet.append(row);
  }
  document.documentElement.append(host);
  sheet.lastChild.getBoundingClientRect();
  host.remove();
  performance.mark(`${name} ends`);
}
