// The built site's wasm in Node, as the page would load it. Through a data address, because Node before
// 20.19 takes a file named .js for the older kind of module.

import { readFileSync } from 'node:fs';

export async function load(dist = new URL('../../dist/', import.meta.url)) {
  const glue = readFileSync(new URL('wasm/duskbook.js', dist), 'utf8');
  const calls = await import(`data:text/javascript,${encodeURIComponent(glue)}`);
  calls.initSync({ module: readFileSync(new URL('wasm/duskbook_bg.wasm', dist)) });
  return calls;
}
