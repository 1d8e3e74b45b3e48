// @ts-check
// The shell: which screen is open, the clock, the head of the page, offline and updates.

import { checkSpot, readSpotLink, ready } from './core.js';
import { OFFLINE_WORDS, OfflineCopy } from './offline.js';
import { Store } from './store.js';
import { Book, EXAMPLE, USUAL_LIGHT } from './lib/book.js';
import { el, fill, say } from './lib/dom.js';
import { backupFile, judged } from './lib/exchange.js';
import { handOver } from './lib/file.js';
import { bearing } from './lib/format.js';
import { helpFold } from './lib/help.js';
import { offerInstall } from './lib/install.js';
import { SPOT_LINK, readRoute } from './lib/route.js';
import { onDeviceTheme, wear } from './lib/theme.js';
import { Timekeeper } from './lib/timekeeper.js';
import { backup } from './screens/backup.js';
import { brackets } from './screens/brackets.js';
import { evening } from './screens/evening.js';
import { exposure } from './screens/exposure.js';
import { film } from './screens/film.js';
import { filters } from './screens/filters.js';
import { focus } from './screens/focus.js';
import { lens } from './screens/lens.js';
import { moon } from './screens/moon.js';
import { log } from './screens/log.js';
import { photos } from './screens/photos.js';
import { settings } from './screens/settings.js';
import { sky } from './screens/sky.js';
import { skyline } from './screens/skyline.js';
import { spot } from './screens/spot.js';
import { stars } from './screens/stars.js';
import { TIMER, timer, timerEverywhere } from './screens/timer.js';
import { trails } from './screens/trails.js';
import { year } from './screens/year.js';
import { WINDOW, exposureFit } from './screens/window.js';

/**
 * @typedef {object} Screen
 * @property {HTMLElement} element
 * @property {(nowMs: number) => void} render after a change of the book, or when it comes to the front
 * @property {(nowMs: number) => void} [tick] each second while it is in front
 */

/**
 * Every screen, by its address. Those with a word stand in the row at the foot of the window, in this order; all
 * others stand at the end of the page beside the word that they belong to. A new screen is a new line here, and its help in
 * `lib/help.js`.
 * @type {{ card: string, word?: string, title: string, build: (book: Book, timekeeper: Timekeeper) => Screen }[]}
 */
const SCREENS = [
  { card: 'evening', word: 'Evening', title: 'Evening', build: evening },
  { card: 'sky', word: 'Sky', title: 'Sky', build: sky },
  { card: 'exposure', word: 'Exposure', title: 'Exposure', build: exposure },
  { card: 'lens', word: 'Lens', title: 'Lens', build: lens },
  { card: 'log', word: 'Log', title: 'Log', build: log },
  { card: 'settings', word: 'More', title: 'Settings', build: settings },
  { card: 'sky/moon', title: 'Moon', build: moon },
  { card: 'sky/skyline', title: 'Skyline', build: skyline },
  { card: 'sky/year', title: 'Year', build: year },
  { card: WINDOW, title: 'When it fits', build: exposureFit },
  { card: 'exposure/filters', title: 'Filters', build: filters },
  { card: 'exposure/film', title: 'Film', build: film },
  { card: 'exposure/brackets', title: 'Brackets', build: brackets },
  { card: TIMER, title: 'Timer', build: timer },
  { card: 'lens/focus', title: 'Focus', build: focus },
  { card: 'lens/trails', title: 'Trails', build: trails },
  { card: 'lens/stars', title: 'Stars', build: stars },
  { card: 'log/photo', title: 'Photographs', build: photos },
  { card: 'spot-form', title: 'Spot', build: spot },
  { card: 'backup', title: 'Keep and share', build: backup },
];

/** @template {HTMLElement} [T=HTMLElement] @param {string} id @returns {T} */
const byId = id => /** @type {T} */ (document.getElementById(id));

/** Where the reader came in; the address may move on while the page starts. */
const arrival = location.hash;

/** A task of its own for what follows, so that a slow phone answers a touch between. */
const breath = () => new Promise(resolve => setTimeout(resolve));

const store = await Store.open(judged);
const book = new Book(store);
await breath();
const timekeeper = new Timekeeper(store);
const copy = new OfflineCopy();
/** @type {Map<string, Screen>} */
const built = new Map();
let card = SCREENS[0].card;
/** The version that is not wanted yet. @type {ServiceWorker | boolean | null} */
let putOff = null;

byId('main').before(...timerEverywhere(book, timekeeper, () => card));
const start = ready.then(() => {
  book.recall();
  timekeeper.recall();
});
// Built while the rest is on its way.
build(card);
await start.catch(error => {
  fill(byId('main'), el('p', { class: 'problem' }, `Duskbook could not start here: ${error.message ?? error}`));
  throw error;
});
await breath();

// What an earlier version kept may be more than this one allows.
const { problems } = checkSpot(book.open);
if (problems.length) {
  book.offer({ ...book.open, problems });
  book.open = EXAMPLE;
}

wear(book.settings.theme);
onDeviceTheme(() => wear(book.settings.theme));
const theme = /** @type {HTMLSelectElement} */ (byId('theme'));
theme.value = book.settings.theme;
theme.addEventListener('change', () => {
  wear(/** @type {import('./lib/book.js').Theme} */ (theme.value));
  book.choose({ theme: /** @type {import('./lib/book.js').Theme} */ (theme.value) });
});

byId('skip').addEventListener('click', event => {
  event.preventDefault();
  byId('main').focus();
});

fill(byId('nav'), ...SCREENS.filter(screen => screen.word).map(screen =>
  el('li', {}, el('a', { href: `#${screen.card}`, 'data-card': screen.card }, screen.word))));
fill(byId('other-cards'), ...SCREENS.filter(screen => screen.word).map(({ card: group, word }) => el('li', {}, el('span', {}, word),
  ...SCREENS.filter(screen => groupOf(screen) === group && screen.title !== word).map(screen => el('a', { href: `#${screen.card}` }, screen.title)))));

book.addEventListener('change', () => {
  // Settings may come from a file.
  if (theme.value !== book.settings.theme) wear(theme.value = book.settings.theme);
  render();
});
window.addEventListener('hashchange', () => follow(location.hash));
document.addEventListener('visibilitychange', () => document.hidden || render());
addEventListener('beforeunload', event => { if (book.waiting) event.preventDefault(); });
setInterval(() => document.hidden || built.get(card)?.tick?.(Date.now()), 1000);

copy.addEventListener('change', tellOffline);
follow(arrival);
if (location.hash !== arrival) follow(location.hash);
// Photographs that the system opens with the app.
/** @type {any} */ (window).launchQueue?.setConsumer(async (/** @type {{ files?: FileSystemFileHandle[] }} */ { files = [] }) => {
  if (!files.length) return;
  const photographs = await Promise.all(files.map(file => file.getFile().catch(() => new File([], file.name))));
  location.hash = 'log/photo';
  book.hand(photographs);
});
// After the first paint, so that copying does not compete with it.
(window.requestIdleCallback ?? setTimeout)(() => copy.start());

/** Goes where an address says. @param {string} fragment */
function follow(fragment) {
  const route = readRoute(fragment);
  if (route.card === SPOT_LINK) return openLink(route.fragment);
  const date = route.query.get('date');
  const part = route.query.get('part');
  if (date) book.date = date;
  if (part === 'evening' || part === 'morning') book.part = part;
  open(screenOf(route.card).card);
}

/**
 * Opens the spot that an address carries. Where the address holds what cannot be, the form opens with the
 * rest filled in and the faults beside their fields.
 * @param {string} fragment
 */
function openLink(fragment) {
  const { spot, shot, unknown, problems } = readSpotLink({ fragment });
  const kept = book.kept.find(({ spot: known }) => known.name === spot.name
    && known.latitudeDeg === spot.latitudeDeg && known.longitudeDeg === spot.longitudeDeg);
  const light = { ...USUAL_LIGHT, ...kept?.light };
  const linked = { id: kept?.id ?? null, spot, shot, unknown, light, skyline: kept?.skyline, edited: false, example: false, problems };
  if (problems.length) book.offer(linked);
  else book.show(linked);
  open(problems.length ? 'spot-form' : 'evening');
}

/** The card whose word at the foot stands for a card. @param {{ card: string, word?: string }} screen */
function groupOf({ card, word }) {
  return word || card.includes('/') ? card.split('/')[0] : 'settings';
}

/** Builds a card with its help at the end. @param {string} name */
function build(name) {
  const screen = screenOf(name).build(book, timekeeper);
  const last = screen.element.lastElementChild;
  last?.[last.matches('.cautions') ? 'before' : 'after'](helpFold(name));
  built.set(name, screen);
}

/** @param {string} next */
function open(next) {
  const moved = next !== card;
  card = next;
  if (!built.has(card)) build(card);
  breath().then(() => {
    render();
    if (!moved) return;
    scrollTo(0, 0);
    // Its label is spoken as it takes the focus.
    byId('main').setAttribute('aria-label', screenOf(card).title);
    byId('main').focus({ preventScroll: true });
  });
}

/** @param {string} name */
function screenOf(name) {
  return SCREENS.find(screen => screen.card === name) ?? SCREENS[0];
}

function render() {
  const screen = built.get(card);
  if (!screen) return;
  showOnly(screen);
  tellSpot();
  screen.render(Date.now());
  tellOffline();
  tellStore();
}

/** @param {Screen} screen */
function showOnly(screen) {
  const main = byId('main');
  if (!screen.element.isConnected) main.append(screen.element);
  main.querySelector('.starting')?.remove();
  for (const each of built.values()) each.element.hidden = each !== screen;
  for (const link of byId('nav').querySelectorAll('a')) {
    if (link.dataset.card === groupOf(screenOf(card))) link.setAttribute('aria-current', 'page');
    else link.removeAttribute('aria-current');
  }
}

function tellSpot() {
  const { spot, example } = book.open;
  document.title = `${spot.name || 'Duskbook'} · ${screenOf(card).title}`;
  say(byId('spot-name'), spot.name || 'A spot without a name');
  say(byId('spot-told'), [example && 'an example', spot.bearingDeg !== null && `lens ${bearing(spot.bearingDeg)}`]
    .filter(Boolean).join(' · '));
}

function tellOffline() {
  offerInstall(readRoute(location.hash).card === SPOT_LINK ? location.hash : null, book.open.spot.name);
  const state = byId('offline-state');
  state.dataset.state = copy.state;
  say(state, [OFFLINE_WORDS[copy.state], book.trouble ? `not kept on this device: ${book.trouble}` : book.lasting === false && book.kept.length ? 'kept, but the browser may clear it' : '']
    .filter(Boolean).join(' · '));
  const prompt = byId('update-prompt');
  const newest = copy.overtaken || copy.waiting;
  const newer = Boolean(newest) && newest !== putOff;
  if (newer && prompt.hidden) {
    fill(prompt,
      el('p', {}, 'A new version is ready.'),
      el('button', { type: 'button', on: { click: useNew } }, 'Use it'),
      el('button', { type: 'button', class: 'quiet', on: { click: () => { putOff = newest; prompt.hidden = true; } } }, 'Later'));
  }
  prompt.hidden = !newer;
}

const SURE = 'Delete it for good';

/** What is not kept, and what is and cannot be read; with the file of all of it at hand. */
function tellStore() {
  const { trouble, refused, waiting, gone } = book;
  const unread = refused.slice(0, 3).map(({ title, reason }) => `Cannot be read: ${title} (${reason}).`);
  if (refused.length) unread.push(`${refused.length > 3 ? `And ${refused.length - 3} more. ` : ''}All stays as it is, and goes into the file${refused.some(each => !('record' in each)) ? ', but for what the browser itself cannot read' : ''}.`);
  const told = [trouble && waiting && `Not kept on this device: ${trouble}. What you do stays in this page until it closes.`,
    gone && 'What was kept here before is gone: the browser found it damaged, or cleared it. A backup brings it back.', ...unread]
    .filter(Boolean).join(' ');
  const prompt = byId('store-prompt');
  if (told === prompt.dataset.told) return;
  prompt.dataset.told = told;
  prompt.hidden = !told;
  const drop = el('button', { type: 'button', class: 'quiet', hidden: true, on: { click: () => (drop.textContent === SURE ? book.dropRefused() : say(drop, SURE)) } }, 'Delete what cannot be read');
  fill(prompt,
    el('p', {}, told),
    el('button', { type: 'button', on: { click: () => { handOver(...backupFile(book.everything())); drop.hidden = !refused.length; } } }, 'Save the file'),
    trouble && el('button', { type: 'button', class: 'quiet', on: { click: () => book.retry(true) } }, 'Try again'),
    !trouble && el('button', { type: 'button', class: 'quiet', on: { click: () => { prompt.hidden = true; } } }, 'Hide'),
    drop);
}

/** A reload would lose what is not kept. What is being kept is waited for. */
async function useNew() {
  if (book.waiting) await book.retry();
  const where = [...book.unkept][0] ?? (book.waiting && 'backup');
  if (!where) return copy.useNew();
  fill(byId('update-prompt'),
    el('p', {}, 'There is work here that is not kept yet.'),
    el('a', { class: 'button', href: `#${where}` }, 'Look at it'),
    el('button', { type: 'button', class: 'quiet', on: { click: () => copy.useNew() } }, 'Use it without'));
}
