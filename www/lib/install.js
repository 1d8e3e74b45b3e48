// @ts-check
// What "add to the home screen" makes. A manifest's start address is fixed in a file, and would open the
// home spot in place of the one on screen. So while a spot's own address is open, the worker answers for a
// manifest of that spot (see worker.js), whose start is that address. Without a worker in charge, and on
// iOS (which may read the manifest past the worker; untested on a device), there is no manifest then:
// browsers put the plain address on the home screen, fragment and all.

const MANIFEST = 'manifest.webmanifest';

/** @returns {HTMLLinkElement | null} */
const link = () => document.querySelector('link[rel="manifest"]');

/**
 * @param {string | null} fragment the address of the spot on screen, or `null` when the address names none
 * @param {string} name
 */
export function offerInstall(fragment, name) {
  const ios = 'standalone' in navigator;
  const answered = Boolean(navigator.serviceWorker?.controller) && !ios;
  document.querySelector('meta[name="apple-mobile-web-app-title"]')?.setAttribute('content', fragment ? name : 'Duskbook');
  if (fragment && !answered) {
    link()?.remove();
    return;
  }
  const href = fragment ? `${MANIFEST}?${new URLSearchParams({ start: fragment, name })}` : MANIFEST;
  const present = link();
  if (present?.getAttribute('href') === href) return;
  const next = document.createElement('link');
  next.rel = 'manifest';
  next.href = href;
  // A new element: browsers read a manifest again for that, not for a changed address.
  if (present) present.replaceWith(next);
  else document.head.append(next);
}
