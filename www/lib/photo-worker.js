// @ts-check
// Looks into photographs beside the page, which stays at hand meanwhile.

import { ready } from '../core.js';
import { lookInto } from './photograph.js';

// A worker that cannot draw says so, and the page does it.
const able = typeof OffscreenCanvas !== 'undefined';

self.addEventListener('message', async ({ data: { file } }) => {
  try {
    if (!able) throw new Error('no canvas');
    await ready;
    self.postMessage({ photograph: await lookInto(file) });
  } catch {
    self.postMessage({ photograph: null });
  }
});
