// Backups, GeoJSON and GPX, good ones damaged, given to the page's own reader. Every file is taken or refused with a
// reason, and nothing of it reaches the prototypes that all objects share.

/** Small, quick, the same each time (Marsaglia, "Xorshift RNGs", 2003). */
function chance(seed) {
  let state = (seed ^ 0x9e3779b9) >>> 0 || 1;
  return below => {
    state ^= state << 13; state >>>= 0;
    state ^= state >>> 17;
    state ^= state << 5; state >>>= 0;
    return state % below;
  };
}

const ODD = [
  '__proto__', '"__proto__":{"hurt":1},', 'constructor', '{"constructor":{"prototype":{"hurt":1}}}', 'toString', 'null', 'true', '-1', '1e999', '-1e999', '1e-999',
  'NaN', 'Infinity', '""', '[]', '{}', '[[[[[[[[[[[[[[[[', '{"a":{"a":{"a":{"a":{"a":{"a":{"a":{"a":{"a":{"a":1}}}}}}}}}}', '\\ud800', '\\u0000', '\0', '\ufeff',
  '\u202e', '\u2028', '🌘', '<', '>', '</wpt>', '<wpt lat="1" lon="2">', '<name>', ']]>', '<![CDATA[', '<!--', '<?x?>', '&lt;', '&#0;', '&a;', '&', '"', "'", ',', ':', '\\',
  '<script xmlns="http://www.w3.org/1999/xhtml">window.hurt=1</script>', '99999999999999999999', '0x1F', 'lat="NaN"', 'lon="1e400"', 'xmlns=""', 'xmlns:d="urn:other"',
];

/** Up to three faults: cut, doubled, taken out, something odd put in or over. */
function damaged(text, pick) {
  for (let faults = pick(4); faults > 0; faults -= 1) {
    const from = pick(text.length + 1);
    const to = Math.min(text.length, from + pick(24));
    const odd = ODD[pick(ODD.length)];
    switch (pick(6)) {
      case 0: if (pick(3) === 0) text = text.slice(0, from); break;
      case 1: text = text.slice(0, to) + text.slice(from); break;
      case 2: text = text.slice(0, from) + text.slice(to); break;
      case 3: text = text.slice(0, from) + odd + text.slice(from); break;
      default: text = text.slice(0, from) + odd + text.slice(to);
    }
  }
  return text;
}

/** A value of JSON somewhere in it replaced by an odd one: what is cut anywhere mostly is no JSON any more. */
function planted(text, pick) {
  const file = JSON.parse(text);
  for (let faults = 1 + pick(3); faults > 0; faults -= 1) {
    let within = file;
    for (;;) {
      const keys = Object.keys(within);
      if (!keys.length) break;
      const key = keys[pick(keys.length)];
      if (typeof within[key] === 'object' && within[key] !== null && pick(6)) {
        within = within[key];
        continue;
      }
      const odd = ODD[pick(ODD.length)];
      let value = odd;
      try {
        value = JSON.parse(odd);
      } catch {
        // It stays the text that it is.
      }
      if (pick(4) === 0) Object.defineProperty(within, odd, { value: within[key], enumerable: true, configurable: true, writable: true });
      else if (pick(8) === 0) delete within[key];
      else within[key] = value;
      break;
    }
  }
  return JSON.stringify(file);
}

/**
 * @param {(text: string, mine: any) => { plan: any[], passed: number }} planFile
 * @param {{ json: string[], xml: string[] }} good
 */
function fuzzed(planFile, good, mine, cases, seed) {
  const pick = chance(seed);
  const told = { cases, json: 0, xml: 0, planned: 0, records: 0, refusedFiles: 0, refusedRecords: 0, faults: [], reasons: {} };
  const fault = (what, text) => { if (told.faults.length < 5) told.faults.push(`${what}: ${text.slice(0, 2000)}`); };
  for (let i = 0; i < cases; i += 1) {
    const xml = i % 3 === 2;
    const of = good[xml ? 'xml' : 'json'];
    told[xml ? 'xml' : 'json'] += 1;
    const source = of[pick(of.length)];
    // As a file holds it: half a letter cannot be in one.
    const text = new TextDecoder().decode(new TextEncoder().encode(!xml && pick(2) ? planted(source, pick) : damaged(source, pick)));
    try {
      const { plan, passed } = planFile(text, mine);
      told.planned += 1;
      told.records += plan.length;
      if (!(passed >= 0)) fault('passed', text);
      for (const { verdict, reason, record, key } of plan) {
        if (verdict === 'refused') told.refusedRecords += 1;
        if ((verdict === 'refused') !== Boolean(reason) || !['add', 'same', 'conflict', 'refused'].includes(verdict)) fault(`${verdict} "${reason}"`, text);
        if (reason.length > 500 || reason.startsWith(':')) fault(`reason ${reason}`, text);
        if (verdict !== 'refused' && record.id !== undefined && record.id !== key && !['open'].includes(key)) fault(`kept as ${key}`, text);
      }
    } catch (error) {
      told.refusedFiles += 1;
      const ours = error instanceof Error && error.message && (error.constructor === Error);
      if (!ours || error.message.length > 500) fault(`${error?.constructor?.name} ${error?.message}`, text);
    }
    if (({}).hurt !== undefined || globalThis.hurt !== undefined) {
      fault('a prototype was changed', text);
      break;
    }
  }
  return told;
}
