// Frames by spot and half-day, two logs made one, what a spot was taught, and the store's versions. Reckoned by hand.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

// A browser has one, Node from version 21 on.
globalThis.navigator ??= { language: 'en-GB' };

const source = file => readFileSync(new URL(`../../www/${file}`, import.meta.url), 'utf8');
const address = text => `data:text/javascript;base64,${Buffer.from(text).toString('base64')}`;
/** A module of the page; what it imports comes through a data address too, as in `tests/boundary/node.mjs`. */
const page = file =>
  import(address(source(file).replace(/from '\.\/(\w+\.js)'/g, (_, name) => `from '${address(source(`lib/${name}`))}'`)));

const { dayOf, merged, ofHalfDay, ofSpot } = await page('lib/frames.js');
const { lessonBefore, lightThen, notIn, taughtBy } = await page('lib/lesson.js');
const { upgrade } = await page('store.js');

const frame = (id, rest) => ({
  id, version: 1, spotId: 's', spotName: 'Heron Weir', atMs: 0, aperture: 8, shutterS: 1, iso: 100, note: '', ...rest,
});

test('frames are of a spot by its record, and by its name before it has one', () => {
  const frames = [frame('a'), frame('b', { spotId: null }), frame('c', { spotId: null, spotName: 'Elsewhere' })];
  const at = (id, name) => ofSpot(frames, { id, spot: { name } }).map(each => each.id);
  assert.deepEqual([at('s', 'Renamed'), at(null, 'Heron Weir'), at('t', 'Heron Weir')], [['a'], ['b'], []]);
});

test('an evening lasts from noon into the small hours, a morning till noon, by the clocks there', () => {
  const at = text => frame(text, { atMs: Date.parse(text) });
  // Kolkata is 5 h 30 min ahead.
  const frames = ['2031-03-09T06:29Z', '2031-03-09T06:30Z', '2031-03-09T18:31Z', '2031-03-09T22:29Z', '2031-03-09T22:30Z'].map(at);
  const of = (date, part) => ofHalfDay(frames, 'Asia/Kolkata', date, part).map(each => each.id.slice(8, 16));
  assert.deepEqual(of('2031-03-09', 'evening'), ['09T06:30', '09T18:31', '09T22:29']);
  assert.deepEqual(of('2031-03-09', 'morning'), ['09T06:29']);
  assert.deepEqual(of('2031-03-10', 'morning'), ['09T18:31', '09T22:29', '09T22:30']);
});

test('every hour of a day is of it, those of neither half too', () => {
  const of = (text, part) => dayOf('Asia/Kolkata', Date.parse(text), part);
  // 03:59, 04:00, 11:59 and 12:00 there.
  const times = ['2031-03-08T22:29Z', '2031-03-08T22:30Z', '2031-03-09T06:29Z', '2031-03-09T06:30Z'];
  assert.deepEqual(times.map(text => of(text, 'evening')), ['2031-03-08', '2031-03-09', '2031-03-09', '2031-03-09']);
  assert.deepEqual(times.map(text => of(text, 'morning')), Array(4).fill('2031-03-09'));
});

test('a log read in adds what is new, once, and overwrites nothing', () => {
  const here = [frame('a'), frame('b', { note: 'mine' })];
  let count = 0;
  const read = [frame('a'), frame('b', { note: 'its' }), frame('c'), frame('', { iso: 200 }), frame('', { iso: 200 }), frame('')]
    .map(({ version, ...form }) => form);
  const { fresh, same, differing } = merged(here, read, () => `new${count += 1}`);
  assert.deepEqual(fresh.map(each => [each.id, each.iso, each.version]), [['c', 100, 1], ['new1', 200, 1]]);
  assert.deepEqual(same.map(each => each.id), ['a', '', '']);
  assert.deepEqual(differing.map(each => each.note), ['its']);
});

test('an evening starts from what was known before it, however often it teaches', () => {
  const lesson = name => ({ name });
  let taught = taughtBy(undefined, '2031-03-09 b', lesson('one'));
  taught = taughtBy(taught, '2031-03-09 b', lesson('two'));
  assert.equal(lessonBefore(taught, '2031-03-09 b'), undefined);
  assert.deepEqual(lessonBefore(taught, '2031-03-10 a'), lesson('two'));
  taught = taughtBy(taught, '2031-03-10 a', lesson('three'));
  assert.deepEqual(lessonBefore(taught, '2031-03-10 a'), lesson('two'));
  assert.equal(taughtBy(taught, '2031-03-09 b', lesson('late')), taught, 'an earlier one teaches no more');
  // Its readings are deleted: what was known before it stays.
  taught = taughtBy(taught, '2031-03-10 a', null);
  assert.deepEqual(lessonBefore(taught, '2031-03-10 a'), lesson('two'));
  assert.equal(taughtBy(undefined, '2031-03-10 a', null), undefined);
});

test('a half-day that is over keeps its sky, and a reading of two half-days counts once', () => {
  const [thin, clear] = [{ cloud: 'thin' }, { cloud: 'clear' }];
  const taught = taughtBy(undefined, '2031-03-09 b', { atMs: 5 }, thin);
  const under = (key, over) => lightThen(taught, key, over, clear);
  assert.deepEqual([under('2031-03-09 b', true), under('2031-03-09 b', false), under('2031-03-10 a', true)], [thin, clear, clear]);
  assert.equal(lightThen(undefined, '2031-03-09 b', true, clear), clear);
  const readings = [{ atMs: 4 }, { atMs: 5 }, { atMs: 6 }];
  assert.deepEqual(notIn(readings, lessonBefore(taught, '2031-03-10 a')), [{ atMs: 6 }]);
  assert.deepEqual(notIn(readings, lessonBefore(taught, '2031-03-09 b')), readings);
});

test('a store of any version is brought to this one by adding what it lacks', () => {
  const made = from => {
    const stores = [];
    upgrade({ createObjectStore: name => stores.push(name) }, from);
    return stores;
  };
  assert.deepEqual([0, 1, 2, 3].map(made), [
    ['spots', 'settings', 'filters', 'frames'], ['filters', 'frames'], ['frames'], [],
  ]);
});
