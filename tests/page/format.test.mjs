// Numbers, lengths, clocks and dates as readers of other regions write them, and typed numbers read back.
// What each region uses is the browser's own table (CLDR); the examples are written out by hand.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

const source = readFileSync(new URL('../../www/lib/format.js', import.meta.url), 'utf8');
let loaded = 0;
/** The module anew, as a browser of these languages has it. */
function formatOf(...languages) {
  Object.defineProperty(globalThis, 'navigator', { value: { languages, language: languages[0] }, configurable: true });
  return import(`data:text/javascript,${encodeURIComponent(`${source}//${loaded += 1}`)}`);
}

const AT = Date.parse('2031-03-09T18:42:00Z');
const NARROW = '\u202f';

test('the reader’s region decides at first', async () => {
  const usual = async (...languages) => {
    const { usualDates, usualDecimals, usualHours, usualLengths } = await formatOf(...languages);
    return [usualLengths(), usualHours(), usualDecimals(), usualDates()].join(' ');
  };
  assert.equal(await usual('en-US'), 'feet 12 point month');
  assert.equal(await usual('en-GB'), 'metres 24 point day');
  assert.equal(await usual('de-DE', 'de', 'en-US'), 'metres 24 comma day');
  assert.equal(await usual('fr-FR'), 'metres 24 comma day');
  assert.equal(await usual('ja-JP'), 'metres 24 point month');
  assert.equal(await usual('es-US'), 'feet 12 point day');
  // Some systems name a language that the formatters refuse.
  assert.equal(await usual('C'), 'metres 24 point day');
  assert.equal(await usual('tlh', 'de-DE'), 'metres 24 comma day');
});

test('a reader in feet, of twelve hours, with the month first', async () => {
  const { clock, dateInWords, distance, measured, number, heightTyped } = await formatOf('en-US');
  assert.equal(clock(AT, 'UTC', '12'), `6:42${NARROW}pm`);
  assert.match(dateInWords('2131-03-09'), /^Fri, Mar 9, 2131$/);
  assert.equal(distance(100, 'feet'), '328 ft');
  assert.equal(distance(2000, 'feet'), '1.2 mi');
  // The moon's.
  assert.equal(distance(384_400_000, 'feet'), '239,000 mi');
  assert.equal(measured(10_234), '10,200');
  assert.equal(number(-0.55, 1), '\u22120.6');
  assert.equal(heightTyped(6, 'feet'), '19.7');
});

test('a reader in metres, of 24 hours, with a decimal comma', async () => {
  const { clock, dateInWords, distance, duration, fNumber, measured, number, percent, seconds, stopwatch, typed, written } = await formatOf('de-DE');
  assert.equal(clock(AT, 'UTC', '24'), '18:42');
  assert.match(dateInWords('2131-03-09'), /^Fri,? 9 Mar 2131$/);
  assert.equal(distance(2000, 'metres'), '2,00 km');
  assert.equal(distance(384_400_000, 'metres'), `384${NARROW}000 km`);
  assert.equal(measured(10_234), `10${NARROW}200`);
  assert.equal(measured(0.01667), '0,0167');
  assert.equal(number(-0.55, 1), '\u22120,6');
  assert.equal(percent(0.0044), '0,44 %');
  assert.equal(seconds(3.914), '3,91 s');
  assert.equal(duration(0.5), '0,5');
  assert.equal(stopwatch(240_050), '4:00,0');
  assert.equal(typed(-5.63), '-5,63');
  assert.equal(written('23.5 × 15.6 mm, APS-C'), '23,5 × 15,6 mm, APS-C');
  // As it stands on the lens.
  assert.equal(fNumber(5.6), 'f/5.6');
});

test('settings go before the region', async () => {
  const { dateInWords, number, writeFor } = await formatOf('de-DE');
  writeFor({ decimals: 'point', dates: 'month' });
  assert.equal(number(1.5, 1), '1.5');
  assert.match(dateInWords('2131-03-09'), /^Fri, Mar 9/);
  writeFor({ decimals: 'comma', dates: 'day' });
  assert.equal(number(1.5, 1), '1,5');
  assert.match(dateInWords('2131-03-09'), /^Fri,? 9 Mar/);
});

test('typed numbers are read with a comma or a point', async () => {
  for (const [language, thousand] of [['en-US', 1500], ['de-DE', 1.5]]) {
    const { readDuration, readNumber } = await formatOf(language);
    const read = texts => texts.map(readNumber);
    assert.deepEqual(read(['1.5', '1,5', ' 49,82 ', '\u22123,2', '-3.2', ',5', '0,125', '12']), [1.5, 1.5, 49.82, -3.2, -3.2, 0.5, 0.125, 12]);
    // A point alone is a decimal one: coordinates come with it everywhere.
    assert.deepEqual(read(['50.123', '1.500']), [50.123, 1.5]);
    assert.equal(readNumber('1,500'), thousand);
    assert.equal(readNumber('+1,500'), thousand);
    assert.deepEqual(read(['1,234.5', '1.234,5', '1,234,567', '1.234.567', `1${NARROW}234,5`, '1 234.5', '1’234.5']),
      [1234.5, 1234.5, 1_234_567, 1_234_567, 1234.5, 1234.5, 1234.5]);
    assert.ok(read(['1,2,3', '1.2.3', '12,34.5', '1,5.0', 'twelve', '1 2', '-', ',']).every(Number.isNaN));
    assert.equal(readNumber('  '), null);
    assert.deepEqual(['0,5', '1:30', '4:00,5'].map(readDuration), [0.5, 90, 240.5]);
  }
});

test('what the page writes it reads back', async () => {
  for (const language of ['en-US', 'en-GB', 'de-DE', 'fr-FR', 'de-CH']) {
    const { measured, number, readNumber, typed } = await formatOf(language);
    let count = 0;
    for (let value = -5; value < 4e6; value = value * 1.07 + 0.37) {
      assert.equal(readNumber(typed(value)), value, `${language} ${value}`);
      assert.equal(readNumber(number(value, 2)), Number(value.toFixed(2)), `${language} ${value}`);
      assert.equal(readNumber(measured(value)), Number(value.toPrecision(3)), `${language} ${measured(value)}`);
      count += 1;
    }
    assert.ok(count > 100, String(count));
  }
});
