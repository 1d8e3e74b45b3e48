// @ts-check
// Where the device is. Browsers may neither answer nor refuse, so the wait has an end of our own.

const WITHIN_MS = 15_000;

/** @typedef {{ latitudeDeg: number, longitudeDeg: number, elevationM: number | null, accuracyM: number }} Found */

/**
 * @returns {Promise<Found>} rejected with words that can be shown
 */
export function whereAmI() {
  return new Promise((resolve, reject) => {
    if (!navigator.geolocation) return reject(new Error('This browser does not tell where it is. Type the coordinates.'));
    const late = setTimeout(
      () => reject(new Error('No position within 15 seconds. Try under open sky, or type the coordinates.')), WITHIN_MS,
    );
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        clearTimeout(late);
        resolve({
          latitudeDeg: Number(coords.latitude.toFixed(5)),
          longitudeDeg: Number(coords.longitude.toFixed(5)),
          elevationM: coords.altitude === null ? null : Math.round(coords.altitude),
          accuracyM: coords.accuracy,
        });
      },
      refused => {
        clearTimeout(late);
        reject(new Error(refused.code === refused.PERMISSION_DENIED
          ? 'The browser may not tell this page where it is. Allow it, or type the coordinates.'
          : 'No position to be had here. Try under open sky, or type the coordinates.'));
      },
      { enableHighAccuracy: true, timeout: WITHIN_MS, maximumAge: 0 },
    );
  });
}

/** Zone names that this browser knows; none where it cannot list them, then any name may be typed. */
export function zoneNames() {
  const known = Intl.supportedValuesOf?.('timeZone') ?? [];
  return known.includes('UTC') ? known : [...known, 'UTC'];
}
