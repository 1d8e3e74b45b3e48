// @ts-check
// Reading a curve that came as columns: between its points, straight lines.

/**
 * The value of a column at a moment; its first or last value outside of the curve.
 * @param {ArrayLike<number>} atMs rising
 * @param {ArrayLike<number>} column
 * @param {number} moment
 */
export function valueAt(atMs, column, moment) {
  let after = 0;
  while (after < atMs.length && atMs[after] < moment) after += 1;
  if (after === 0) return column[0];
  if (after === atMs.length) return column[after - 1];
  const share = (moment - atMs[after - 1]) / (atMs[after] - atMs[after - 1]);
  return column[after - 1] + share * (column[after] - column[after - 1]);
}

/**
 * The moment at which a column first passes a value, or `null`.
 * @param {ArrayLike<number>} atMs
 * @param {ArrayLike<number>} column
 * @param {number} value
 */
export function passes(atMs, column, value) {
  for (let i = 1; i < column.length; i += 1) {
    const [a, b] = [column[i - 1], column[i]];
    if (a !== b && (a - value) * (b - value) <= 0) {
      return atMs[i - 1] + ((value - a) / (b - a)) * (atMs[i] - atMs[i - 1]);
    }
  }
  return null;
}
