// Every control of the screen in front, touched in turn: how long from the event to the end of the frame that follows, and to
// the end of the frame that shows what came of it. A page's script, used from the tests.

/* exported loop, touchAll, touched */

const VALUES = 'input[type=text], input[type=number], input[type=search], input:not([type]), textarea';

/** Of controls without an id, a kind's first ones. */
const SAME_KIND = 6;

/** Resolves after the next frame was drawn; asked for before an event, so that the page's own work for later does not count. */
const frame = () => new Promise(resolve => {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => resolve(performance.now());
  requestAnimationFrame(() => port2.postMessage(0));
});
const task = () => new Promise(resolve => setTimeout(resolve));

/** @param {EventTarget} target @param {...string} events */
const send = (target, ...events) => events.forEach(name => target.dispatchEvent(new Event(name, { bubbles: true })));

/** A text that differs in one letter, and the same back again. */
function retyped(text) {
  if (/\d$/.test(text)) return text.replace(/\d$/, digit => String((Number(digit) ^ 1) % 10));
  return text.endsWith('\u200a') ? text.slice(0, -1) : `${text}\u200a`;
}

/** What a reader can do on a screen: a name, and the touch. @param {Element} screen */
function controls(screen) {
  const seen = [...screen.querySelectorAll('button, input, select, textarea, summary')].filter(each =>
    each.getClientRects().length && !each.disabled);
  const groups = new Set();
  const alike = new Map();
  return seen.flatMap((each, i) => {
    const name = each.id || `${each.ariaLabel || each.name || each.className || each.textContent || each.tagName}-${i}`;
    const field = each.closest('.field, .date-turner');
    // Of the two ways to step one will do, and of the rows of a list the first ones.
    if (each.matches('button.step') && each !== [...(field ?? screen).querySelectorAll('.step')].pop()) return [];
    const kind = each.id ? each.id : `${each.tagName} ${each.type} ${each.parentElement.className} ${field?.parentElement.className}`;
    alike.set(kind, (alike.get(kind) ?? 0) + 1);
    if (alike.get(kind) > SAME_KIND) return [];
    if (each.matches('button.step, .taps button')) return [[name, () => each.click()]];
    if (each.matches('summary')) return [[`fold ${name}`, () => each.click()]];
    if (each.matches('select')) {
      return [[name, () => {
        each.selectedIndex = (each.selectedIndex + 1) % each.length;
        send(each, 'input', 'change');
      }]];
    }
    if (each.matches('input[type=checkbox]')) return [[name, () => each.click()]];
    if (each.matches('input[type=radio]')) {
      if (groups.has(each.name)) return [];
      groups.add(each.name);
      const group = seen.filter(other => other.name === each.name && other.type === 'radio');
      return [[each.name, () => group[(group.findIndex(({ checked }) => checked) + 1) % group.length].click()]];
    }
    if (each.matches('input[type=date]')) {
      return [[name, () => {
        each.valueAsDate = new Date(Date.parse(each.value) + 86_400_000);
        send(each, 'input', 'change');
      }]];
    }
    if (!each.matches(VALUES) || each.readOnly) return [];
    if (field?.querySelector('.step')) {
      return [[name, () => {
        each.value = retyped(each.value);
        send(each, 'input', 'change');
      }]];
    }
    return [
      [`typing ${name}`, () => {
        each.value = retyped(each.value);
        send(each, 'input');
      }],
      [`leaving ${name}`, () => {
        each.value = retyped(each.value);
        send(each, 'input', 'change');
      }],
    ];
  });
}

/** Milliseconds of a loop that is always the same: longer than at its best, it tells that the machine is at other work. */
function loop() {
  const began = performance.now();
  let sum = 0;
  for (let i = 0; i < 4_000_000; i++) sum = Math.imul(sum ^ i, 0x01000193);
  // Used, so that it cannot be left out.
  return performance.now() - began + (sum === 0.5 ? 1 : 0);
}

/** One touch: milliseconds to the end of the next frame, and to that of the frame that shows what came of it. @param {() => void} touch */
async function touched(touch) {
  const painted = frame();
  const began = performance.now();
  touch();
  const spent = await painted - began;
  await task();
  do await task(); while (document.querySelector('[aria-busy]'));
  return [spent, await frame() - began];
}

/**
 * Touches each control until most touches, two at least, were within the limits, or as often as may be.
 * @param {number[]} limits to the paint, to the answer
 * @param {number} most
 * @returns {Promise<{ name: string, touches: number[][] }[]>} in the order they came
 */
async function touchAll(limits, most) {
  const screen = document.querySelector('.screen:not([hidden])');
  for (const fold of screen.querySelectorAll('details')) fold.open = true;
  await frame();
  const all = [];
  for (const [name, touch] of controls(screen)) {
    const touches = [];
    let good = 0;
    while ((good < 2 || 2 * good <= touches.length) && touches.length < most) {
      const told = await touched(touch);
      touches.push(told);
      if (told.every((ms, i) => ms <= limits[i])) good++;
    }
    // A fold stays open for what is in it.
    if (name.startsWith('fold') && touches.length % 2) touch();
    all.push({ name, touches });
  }
  return all;
}
