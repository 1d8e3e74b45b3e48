// @ts-check
// Labels beside a picture drawn to scale: each as near to its own height as its neighbours allow.

/**
 * Tops for labels in order, none overlapping and none above zero, moved as little as that takes
 * (neighbours which collide share the shift: pooled adjacent violators).
 * @param {number[]} wanted the top each would like
 * @param {number[]} heights
 * @returns {number[]}
 */
export function spread(wanted, heights) {
  /** @type {{ first: number, count: number, height: number, sum: number }[]} */
  const pools = [];
  const top = (/** @type {typeof pools[0]} */ pool) => Math.max(0, pool.sum / pool.count);
  wanted.forEach((at, index) => {
    pools.push({ first: index, count: 1, height: heights[index], sum: at });
    for (;;) {
      const last = pools[pools.length - 1];
      const above = pools[pools.length - 2];
      if (!above || top(above) + above.height <= top(last)) break;
      pools.pop();
      above.sum += last.sum - last.count * above.height;
      above.count += last.count;
      above.height += last.height;
    }
  });
  const tops = new Array(wanted.length);
  for (const pool of pools) {
    let y = top(pool);
    for (let index = pool.first; index < pool.first + pool.count; index += 1) {
      tops[index] = y;
      y += heights[index];
    }
  }
  return tops;
}

/**
 * The gentlest scale at which no label sits further than `most` from where it belongs.
 * @param {number[]} scales rising
 * @param {(scale: number) => number[]} wantedAt
 * @param {number[]} heights
 * @param {number} most
 */
export function gentlestScale(scales, wantedAt, heights, most) {
  const fits = scales.find(scale => {
    const wanted = wantedAt(scale);
    return spread(wanted, heights).every((top, index) => Math.abs(top - wanted[index]) <= most);
  });
  return fits ?? scales[scales.length - 1];
}
