// Each screen has its help, whole and short.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';

const source = file => readFileSync(new URL(`../../www/${file}`, import.meta.url), 'utf8');
const address = text => `data:text/javascript;base64,${Buffer.from(text).toString('base64')}`;
const { HELP } = await import(address(source('lib/help.js').replace("'./dom.js'", `'${address(source('lib/dom.js'))}'`)));

/** Addresses that the list of screens names by a constant. */
const NAMED = { WINDOW: 'evening/window', TIMER: 'exposure/timer' };
const CARDS = [...source('app.js').matchAll(/^  \{ card: (?:'([\w/-]+)'|(\w+)),/gm)].map(([, card, name]) => card ?? NAMED[name]);

test('every screen says what it answers, its formula, its source, its limits and what to take care of', () => {
  assert.equal(CARDS.length, 20);
  assert.deepEqual(Object.keys(HELP).sort(), CARDS.toSorted());
  for (const card of CARDS) {
    assert.equal(HELP[card].length, 5, card);
    for (const part of HELP[card]) assert.match(part, /^.{9,}[.]$/, `${card}: ${part}`);
    const length = HELP[card].join(' ').length;
    assert.ok(length > 200 && length <= 530, `${card}: ${length} characters`);
  }
});

test('sources that were not opened, and practice without one, are marked as such', () => {
  const marks = /second-hand|from memory|common practice|quoted|encyclopaedias|judgement/i;
  for (const card of ['evening', 'sky', 'sky/skyline', 'exposure', 'exposure/filters', 'exposure/film', 'exposure/brackets', 'exposure/timer',
    'lens', 'lens/focus', 'lens/trails', 'lens/stars', 'log', 'log/photo']) assert.match(HELP[card][2], marks, card);
});
