/**
 * Where a zone's offsets, asked of the page's own call, differ from a table of them; one line a zone.
 * A plain function, so that the page and Node can each be given it as it stands.
 * @param {{ zone: string, atMs: number[], offsetS: number[] }[]} table
 * @param {(question: { zone: string, atMs: number }) => { offsetS: number }} zoneOffset
 */
function zoneDifferences(table, zoneOffset) {
  return table.flatMap(({ zone, atMs, offsetS }) => {
    try {
      const wrong = atMs.findIndex((at, i) => zoneOffset({ zone, atMs: at }).offsetS !== offsetS[i]);
      if (wrong < 0) return [];
      const told = zoneOffset({ zone, atMs: atMs[wrong] }).offsetS;
      return [`${zone} at ${new Date(atMs[wrong]).toISOString()}: ${told}, not ${offsetS[wrong]}`];
    } catch (error) {
      return [`${zone}: ${error.message}`];
    }
  });
}
