// @ts-check
// Elements without a framework. Text reaches the page as text nodes only, never as markup, so that a
// spot's name or a link's stray key cannot become anything but words.

const SVG = 'http://www.w3.org/2000/svg';

/** @typedef {Node | string | number | null | undefined | false} Child */
/** @typedef {Record<string, any>} Attributes attributes by name; `on` holds listeners by event; `true` sets
 * a bare attribute, `false`, `null` and `undefined` leave it out */

/**
 * @template {Element} T
 * @param {T} node
 * @param {Attributes} attributes
 * @param {Child[]} children
 * @returns {T}
 */
function dress(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name === 'on') {
      for (const [event, listener] of Object.entries(value)) node.addEventListener(event, listener);
    } else if (value === true) {
      node.setAttribute(name, '');
    } else if (value !== false && value !== null && value !== undefined) {
      node.setAttribute(name, String(value));
    }
  }
  fill(node, ...children);
  return node;
}

/**
 * An HTML element.
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[Tag]}
 */
export function el(tag, attributes = {}, ...children) {
  return dress(document.createElement(tag), attributes, children);
}

/**
 * An SVG element.
 * @template {keyof SVGElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {SVGElementTagNameMap[Tag]}
 */
export function svg(tag, attributes = {}, ...children) {
  return dress(document.createElementNS(SVG, tag), attributes, children);
}

/**
 * Replaces what an element holds.
 * @param {Element} node
 * @param {...Child} children
 */
export function fill(node, ...children) {
  const kept = children.filter(child => child !== null && child !== undefined && child !== false);
  node.replaceChildren(...kept.map(child => (child instanceof Node ? child : String(child))));
}

/**
 * Sets an element's text, leaving the page alone when it already says so.
 * @param {Element} node
 * @param {string} text
 */
export function say(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/** How many works wait for an element that they will change. @type {WeakMap<Element, number>} */
const waiting = new WeakMap();

/** @param {Element} busy until the last of its works was done @param {1 | -1} by */
function wait(busy, by) {
  const left = (waiting.get(busy) ?? 0) + by;
  waiting.set(busy, left);
  if (left) busy.setAttribute('aria-busy', 'true');
  else busy.removeAttribute('aria-busy');
}

/**
 * Work for after the next paint, once however often it is asked for: what was touched shows first.
 * @param {Element} busy what it will change
 * @param {() => void} work
 */
export function afterPaint(busy, work) {
  let due = false;
  const later = () => setTimeout(() => {
    due = false;
    wait(busy, -1);
    work();
  });
  return () => {
    if (due) return;
    due = true;
    wait(busy, 1);
    // A hidden page paints nothing.
    if (document.hidden) later();
    else requestAnimationFrame(later);
  };
}

/**
 * Marks a control as holding something wrong, for those who do not see the words beside it.
 * @param {Element} control
 * @param {boolean} wrong
 */
export function markWrong(control, wrong) {
  if (wrong) control.setAttribute('aria-invalid', 'true');
  else control.removeAttribute('aria-invalid');
}
