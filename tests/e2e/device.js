// Fills the store of the page with a device in use: the one kept spot gets a surveyed skyline, filters, and the frames and readings of
// one evening. A page's script, used from the tests.

/* exported fillDevice */

/** @returns {Promise<number>} how many frames */
async function fillDevice() {
  const database = await new Promise((resolve, reject) => {
    const opening = indexedDB.open('duskbook');
    opening.onsuccess = () => resolve(opening.result);
    opening.onerror = () => reject(opening.error);
  });
  const writing = database.transaction(['frames', 'filters', 'spots'], 'readwrite');
  const [frames, filters, spots] = ['frames', 'filters', 'spots'].map(name => writing.objectStore(name));
  const [kept] = await new Promise(resolve => { const asked = spots.getAll(); asked.onsuccess = () => resolve(asked.result); });
  spots.put({ ...kept, skyline: { profile: Array.from({ length: 36 }, (_, i) => [i * 10, (i * 7) % 5]), observerHeightM: 1.6 } });
  const fromMs = Date.UTC(2031, 2, 9, 17, 40);
  for (let i = 0; i < 60; i++) {
    frames.put({
      id: `frame-${i}`, version: 1, spotId: kept.id, spotName: kept.spot.name, atMs: fromMs + i * 90_000, aperture: 8,
      shutterS: 64 / 2 ** (12 - i / 7), iso: 100, filterStops: 0, compensationStops: 0, focalMm: 28, whiteBalance: '', intent: 'frame',
      note: 'Ferry under way', rating: i % 6, reading: i % 3 === 0, source: 'desk',
    });
  }
  filters.put({ id: 'nd', version: 1, sinceMs: 1, glass: { text: 'ND 3.0', kind: 'neutral' } });
  filters.put({ id: 'pol', version: 1, sinceMs: 2, glass: { stops: 1, kind: 'polariser', mostStops: 2 } });
  await new Promise((resolve, reject) => { writing.oncomplete = resolve; writing.onabort = () => reject(writing.error); });
  database.close();
  return 60;
}
