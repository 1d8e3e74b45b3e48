// Every control of the screen in front, touched in turn, with marks from which the browser's account of the page tells what came of
// each: at the event, at the end of the frame that follows, and of the frame that shows all that came of it.
// A page's script, used from the tests.

/* exported beats, touchAll, touched */
/* global beat */

const VALUES = 'input[type=text], input[type=number], input[type=search], input:not([type]), textarea';

/** Of controls without an id, a kind's first ones. */
const SAME_KIND = 6;

/** Resolves after the next frame was drawn; asked for before an event, so that the page's own work for later does not count. */
const frame = () => new Promise(resolve => {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = resolve;
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

/** Beats one after another, each after a frame. @param {string} name @param {number} count */
async function beats(name, count) {
  for (let i = 0; i < count; i++) {
    await frame();
    await task();
    beat(`${name} ${i}`);
  }
  return count;
}

/** One touch and a beat before it. @param {string} name of its marks @param {() => void} touch */
async function touched(name, touch) {
  await beats(name, 1);
  await frame();
  await task();
  const painted = frame();
  performance.mark(`${name} begins`);
  touch();
  await painted;
  performance.mark(`${name} painted`);
  await task();
  do await task(); while (document.querySelector('[aria-busy]'));
  await frame();
  performance.mark(`${name} answered`);
}

/**
 * Touches each control some times, and beats once more at the end.
 * @param {string} name the marks are of this, the control's number and the touch's
 * @param {number} times
 * @returns {Promise<string[]>} the controls in their order
 */
async function touchAll(name, times) {
  const screen = document.querySelector('.screen:not([hidden])');
  for (const fold of screen.querySelectorAll('details')) fold.open = true;
  await frame();
  const all = controls(screen);
  for (const [i, [control, touch]] of all.entries()) {
    for (let k = 0; k < times; k++) await touched(`${name} ${i} ${k}`, touch);
    // A fold stays open for what is in it.
    if (control.startsWith('fold') && times % 2) touch();
  }
  await beats(`${name} ${all.length} 0`, 1);
  return all.map(([control]) => control);
}
