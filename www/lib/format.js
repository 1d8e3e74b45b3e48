// @ts-check
// Numbers and moments as people read them. The page formats here and nowhere else.

const MINUS = '\u2212';
const NARROW = '\u202f';
const METRES_PER_FOOT = 0.3048;
const METRES_PER_MILE = 1609.344;

// What is usual is asked at the first use: a browser takes its time over its first formatter.
/** @type {string | undefined} */
let found;

/** The reader's language; some systems name one ("C") that the formatters refuse. */
const home = () => found ??= [...(navigator.languages ?? []), navigator.language].find(tag => {
  try {
    return Intl.DateTimeFormat.supportedLocalesOf(tag)[0];
  } catch {
    return false;
  }
}) ?? 'en-GB';

/** The zone of the device's own clock. */
export const zoneHere = () => Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC';

/** @typedef {'metres' | 'feet'} Lengths */
/** @typedef {'12' | '24'} Hours */
/** @typedef {'point' | 'comma'} Decimals */
/** @typedef {'day' | 'month'} Dates which of them comes first */

/** @returns {Hours} what the reader's region is used to */
export function usualHours() {
  return new Intl.DateTimeFormat(home(), { hour: 'numeric' }).resolvedOptions().hour12 ? '12' : '24';
}

/** @returns {Lengths} */
export function usualLengths() {
  return /-(US|LR|MM)\b/i.test(home()) ? 'feet' : 'metres';
}

/** @returns {Decimals} */
export const usualDecimals = () => (new Intl.NumberFormat(home()).format(1.5).includes(',') ? 'comma' : 'point');

/** @returns {Dates} */
export const usualDates = () =>
  (new Intl.DateTimeFormat(home(), { day: 'numeric', month: 'numeric' }).formatToParts(0).find(({ type }) => type !== 'literal')?.type === 'month' ? 'month' : 'day');

/** What the reader set. @type {{ decimals?: Decimals, dates?: Dates }} */
let set = {};

/** Takes up how the reader writes numbers and dates. @param {{ decimals: Decimals, dates: Dates }} reader */
export function writeFor(reader) {
  set = reader;
}

const decimals = () => (set.decimals ??= usualDecimals());

/** The page speaks English, in one order of day and month or the other. */
const locale = () => ((set.dates ??= usualDates()) === 'month' ? 'en-US' : 'en-GB');

/** A text with its numbers’ marks as the reader writes them; marks of dials stay as cameras print them. @param {string} text */
export const written = text =>
  (decimals() === 'comma' ? text.replace(/(\d)([.,])(?=\d)/g, (_, digit, mark) => digit + (mark === '.' ? ',' : NARROW)) : text);

/** A number as it stands in a field. @param {number} value */
export const typed = value => written(String(value));

/** @param {string} text */
const trueMinus = text => text.replace('-', MINUS);

/** @type {Map<string, Intl.DateTimeFormat>} */
const formats = new Map();

/**
 * A formatter, built once: building is what costs.
 * @param {string | undefined} zone
 * @param {Intl.DateTimeFormatOptions} options
 */
function dateFormat(zone, options) {
  const key = locale() + zone + JSON.stringify(options);
  let format = formats.get(key);
  if (!format) {
    format = new Intl.DateTimeFormat(locale(), { ...options, timeZone: zone });
    formats.set(key, format);
  }
  return format;
}

/**
 * A time of day in a zone, to the minute.
 * @param {number} atMs
 * @param {string} zone
 * @param {Hours} hours
 */
export function clock(atMs, zone, hours) {
  const nearest = Math.round(atMs / 60_000) * 60_000;
  const text = dateFormat(zone, {
    hour: hours === '12' ? 'numeric' : '2-digit',
    minute: '2-digit',
    hourCycle: hours === '12' ? 'h12' : 'h23',
  }).format(nearest);
  return text.replace(/[\s\u202f]?([ap])\.?m\.?$/i, (_, half) => `${NARROW}${half.toLowerCase()}m`);
}

/**
 * The same without its half of the day, for rows of one evening.
 * @param {number} atMs
 * @param {string} zone
 * @param {Hours} hours
 */
export const shortClock = (atMs, zone, hours) => clock(atMs, zone, hours).replace(/\u202f[ap]m$/, '');

/**
 * The civil date of a moment in a zone, as `2031-03-09`.
 * @param {string} zone
 * @param {number} atMs
 */
export function dateIn(zone, atMs) {
  const parts = new Map(
    dateFormat(zone, {
      calendar: 'gregory', numberingSystem: 'latn', year: 'numeric', month: '2-digit', day: '2-digit',
    }).formatToParts(atMs).map(part => [part.type, part.value]),
  );
  return `${(parts.get('year') ?? '').padStart(4, '0')}-${parts.get('month')}-${parts.get('day')}`;
}

/**
 * The hour of the day in a zone, 0 to 23.
 * @param {string} zone
 * @param {number} atMs
 */
export function hourIn(zone, atMs) {
  return Number(dateFormat(zone, { hour: '2-digit', hourCycle: 'h23' }).format(atMs));
}

/**
 * A date some days from another; anything else than a date comes back as it was.
 * @param {string} date
 * @param {number} days
 */
export function dateShifted(date, days) {
  const at = Date.parse(`${date}T00:00:00Z`);
  return Number.isNaN(at) ? date : new Date(at + days * 86_400_000).toISOString().slice(0, 10);
}

/**
 * A date in words; the year is said when it is not the one that runs.
 * @param {string} date as `2031-03-09`
 * @returns {string} as `Sun 9 Mar 2031`
 */
export function dateInWords(date) {
  const at = Date.parse(`${date}T00:00:00Z`);
  if (Number.isNaN(at)) return date;
  const year = new Date(at).getUTCFullYear() === new Date().getUTCFullYear() ? undefined : 'numeric';
  return dateFormat('UTC', { weekday: 'short', day: 'numeric', month: 'short', year }).format(at);
}

/**
 * How long until something, coarser the further off.
 * @param {number} ms
 */
export function wait(ms) {
  const seconds = Math.max(0, Math.round(ms / 1000));
  if (seconds < 60) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
  return `${Math.round(hours / 24)} days`;
}

/**
 * @param {number} value
 * @param {number} [places]
 */
export function number(value, places = 0) {
  const text = value.toFixed(places);
  return written(Number(text) === 0 ? text.replace('-', '') : trueMinus(text));
}

/**
 * @param {number} value
 * @param {number} [places]
 */
export const degrees = (value, places = 0) => `${number(value, places)}°`;

/** @param {number} value a bearing, clockwise from true north */
export const bearing = value => `${number(Math.round(value) % 360)}°`;

/** @param {number} value */
export const ev = value => number(value, 1);

/** @param {number} stops with its sign */
export const stops = stops => `${stops > 0 ? '+' : ''}${number(stops, 1)}`;

const THIRDS = ['', '⅓', '⅔'];

/** Stops or EV in thirds, as dials show them: `−1⅓`. @param {number} value @param {boolean} [signed] */
export function thirds(value, signed = false) {
  const count = Math.round(Math.abs(value) * 3);
  const text = `${Math.floor(count / 3) || (count ? '' : '0')}${THIRDS[count % 3]}`;
  return (value < 0 && count ? MINUS : signed && count ? '+' : '') + text;
}

/** The same with its unit: `⅓ stop`, `1⅓ stops`. @param {number} value @param {boolean} [signed] */
export function thirdStops(value, signed = false) {
  const count = Math.round(Math.abs(value) * 3);
  return `${thirds(value, signed)} ${count > 0 && count <= 3 ? 'stop' : 'stops'}`;
}

/** `1 frame`, `3 frames`. @param {number} count @param {string} one */
export const howMany = (count, one) => `${count} ${one}${count === 1 ? '' : 's'}`;

/** @type {Intl.NumberFormat | undefined} */
let threeFigures;

/** To three figures, whatever the size. @param {number} value */
export const measured = value => written((threeFigures ??= new Intl.NumberFormat('en', { maximumSignificantDigits: 3 })).format(value));

/** @param {number} value */
export const fNumber = value => `f/${value.toFixed(value < 10 ? 1 : 0)}`;

/** A length of time, to three figures below a minute: `0.0167 s`, `1 min 8 s`. @param {number} value seconds */
export function seconds(value) {
  const whole = Math.round(value);
  if (whole < 60) return `${measured(value)} s`;
  const parts = /** @type {const} */ ([[Math.floor(whole / 3600), 'h'], [Math.floor(whole / 60) % 60, 'min'], [whole % 60, 's']]);
  return parts.filter(([count]) => count).map(([count, unit]) => `${count} ${unit}`).join(' ');
}

/**
 * A length on the ground.
 * @param {number} metres
 * @param {Lengths} lengths
 */
export function distance(metres, lengths) {
  if (metres > 1e7) return `${measured(metres / (lengths === 'feet' ? METRES_PER_MILE : 1000))} ${lengths === 'feet' ? 'mi' : 'km'}`;
  if (lengths === 'feet') {
    const feet = metres / METRES_PER_FOOT;
    return feet < 3000 ? `${number(feet)} ft` : `${number(metres / METRES_PER_MILE, 1)} mi`;
  }
  return metres < 1000 ? `${number(metres)} m` : `${number(metres / 1000, metres < 10_000 ? 2 : 1)} km`;
}

/** A distance that may be a small one, to three figures. @param {number} metres @param {Lengths} lengths */
export const reach = (metres, lengths) => {
  const typed = lengthTyped(metres, lengths);
  return typed < 1000 ? `${measured(typed)} ${lengths === 'feet' ? 'ft' : 'm'}` : distance(metres, lengths);
};

/** @param {number} metres @param {Lengths} lengths */
export const lengthTyped = (metres, lengths) => (lengths === 'feet' ? metres / METRES_PER_FOOT : metres);

/** @param {number} typed in the reader's unit @param {Lengths} lengths */
export const lengthMetres = (typed, lengths) => (lengths === 'feet' ? typed * METRES_PER_FOOT : typed);

/**
 * A height as the reader types it, in the reader's unit.
 * @param {number} metres
 * @param {Lengths} lengths
 */
export const heightTyped = (metres, lengths) =>
  typed(Number((lengths === 'feet' ? metres / METRES_PER_FOOT : metres).toFixed(1)));

/**
 * @param {number} typed in the reader's unit
 * @param {Lengths} lengths
 */
export const heightMetres = (typed, lengths) =>
  lengths === 'feet' ? Number((typed * METRES_PER_FOOT).toFixed(2)) : typed;

/** Seconds of an hour over metres of a kilometre or a mile. @param {Lengths} lengths */
const perHour = lengths => 3600 / (lengths === 'feet' ? METRES_PER_MILE : 1000);

/** A speed as the reader types it. @param {number} metres a second @param {Lengths} lengths */
export const speedTyped = (metres, lengths) => Number((metres * perHour(lengths)).toFixed(1));

/** @param {number} typed in the reader's unit @param {Lengths} lengths */
export const speedMetres = (typed, lengths) => typed / perHour(lengths);

/** A share as a percentage, finer where it is small: `62 %`, `0.4 %`. @param {number} share */
export const percent = share => `${share > 0 && share < 0.0995 ? measured(Number((share * 100).toPrecision(2))) : number(share * 100)} %`;

/**
 * A typed number, with a comma or a point, either minus, and thousands apart or not; `null` for nothing, `NaN` for
 * something else. `1,500` is fifteen hundred to a reader of points; a point alone is always a decimal one, as in coordinates.
 * @param {string} text
 */
export function readNumber(text) {
  const plain = text.trim().replace(MINUS, '-').replace(/(\d)[\s’'](?=\d{3}(?!\d))/g, '$1');
  const two = /[.,].*[.,]/.test(plain);
  if ((two || decimals() === 'point') && /^[-+]?[1-9]\d{0,2}(,\d{3})+(\.\d*)?$/.test(plain)) return Number(plain.replace(/,/g, ''));
  if (two && /^[-+]?[1-9]\d{0,2}(\.\d{3})+(,\d*)?$/.test(plain)) return Number(plain.replace(/\./g, '').replace(',', '.'));
  return plain === '' ? null : Number(two ? NaN : plain.replace(',', '.'));
}

/**
 * A stretch of time to the tenth of a second begun, as a timer shows it: `4:00.0`, `1:02:03.4`.
 * @param {number} ms
 */
export function stopwatch(ms) {
  const tenths = Math.floor(Math.max(0, ms) / 100);
  return written(`${duration(Math.floor(tenths / 10))}.${tenths % 10}`);
}

/**
 * A length of time as it is typed and read: `0.5`, `4:00`, `1:02:03`.
 * @param {number} seconds
 */
export function duration(seconds) {
  if (!Number.isInteger(seconds)) return typed(Number(seconds.toFixed(3)));
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  const two = (/** @type {number} */ part) => String(part).padStart(2, '0');
  return [...(hours ? [hours, two(minutes)] : [minutes]), two(seconds % 60)].join(':');
}

/**
 * A typed length of time in seconds, `90` and `1:30` alike; `null` for nothing, `NaN` for something else.
 * @param {string} text
 */
export function readDuration(text) {
  const parts = text.split(':').map(readNumber);
  if (parts.length === 1) return parts[0];
  return parts.length > 3 ? NaN : parts.reduce((/** @type {number} */ sum, part) => sum * 60 + (part ?? NaN), 0);
}
