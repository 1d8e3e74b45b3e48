// Looks at the page as hands and eyes meet it. Run once in a page; each look returns plain values.
globalThis.hands = (() => {
  const wait = ms => new Promise(next => setTimeout(next, ms));
  const all = selector => [...document.querySelectorAll(selector)];
  const byId = id => document.getElementById(id);
  const settled = () => new Promise(next => requestAnimationFrame(() => requestAnimationFrame(next)));

  async function until(look, what) {
    for (let i = 0; i < 200; i += 1) {
      if (look()) return;
      await wait(25);
    }
    throw new Error(`waited in vain for ${what}`);
  }

  const title = () => document.querySelector('.screen:not([hidden])')?.ariaLabel;

  /** Every screen, by its address, as the shell lists them and the evening's own link. */
  const screens = () => [...new Set([...all('#nav a, #other-cards a').map(({ hash }) => hash.slice(1))])];

  /** Brings a screen to the front, its folds open. */
  async function go(card) {
    location.hash = card;
    await until(() => document.querySelector('#nav') && location.hash === `#${card}`, card);
    await wait(30);
    await settled();
    for (const fold of all('.screen:not([hidden]) details')) fold.open = true;
    await settled();
    return title();
  }

  /** A JPEG of every colour with a camera's record in it. */
  async function photograph(hue) {
    const canvas = Object.assign(document.createElement('canvas'), { width: 240, height: 160 });
    const context = canvas.getContext('2d');
    for (let x = 0; x < 240; x += 8) {
      for (let y = 0; y < 160; y += 8) {
        context.fillStyle = `hsl(${hue + x * 1.5} 80% ${10 + y / 2}%)`;
        context.fillRect(x, y, 8, 8);
      }
    }
    const blob = await new Promise(next => canvas.toBlob(next, 'image/jpeg'));
    const picture = new Uint8Array(await blob.arrayBuffer());
    const le = (value, bytes) => Array.from({ length: bytes }, (_, i) => (value >>> (8 * i)) & 255);
    const entry = (tag, kind, count, value) => [...le(tag, 2), ...le(kind, 2), ...le(count, 4), ...le(value, 4)];
    const directory = (...entries) => [...le(entries.length, 2), ...entries.flat(), ...le(0, 4)];
    const at = [...'2031:03-09 18:05:00\0'.replace('-', ':')].map(letter => letter.charCodeAt(0));
    const tiff = [73, 73, ...le(42, 2), ...le(8, 4), ...directory(entry(0x8769, 4, 1, 26)),
      ...directory(entry(0x829a, 5, 1, 80), entry(0x829d, 5, 1, 88), entry(0x8827, 3, 1, 200), entry(0x9003, 2, 20, 96)),
      ...le(1, 4), ...le(4, 4), ...le(8, 4), ...le(1, 4), ...at];
    const length = tiff.length + 8;
    const app1 = [255, 0xe1, length >> 8, length & 255, 69, 120, 105, 102, 0, 0, ...tiff];
    return new File([picture.slice(0, 2), new Uint8Array(app1), picture.slice(2)], `dusk-${hue}.jpg`, { type: 'image/jpeg' });
  }

  function give(id, ...files) {
    const chosen = new DataTransfer();
    for (const file of files) chosen.items.add(file);
    const input = byId(id);
    input.files = chosen.files;
    input.dispatchEvent(new Event('change'));
  }

  /** Everything on show: a kept spot, its run sheet, frames, readings, filters, photographs, a skyline, a file to take in. */
  async function dress() {
    await until(() => document.querySelector('#sheet-table tr[data-kind=dial]'), 'a run sheet');
    await go('spot-form');
    byId('keep').click();
    await until(() => /Kept/.test(byId('keep-state').textContent), 'a kept spot');
    await go('evening');
    byId('made-frame').click();
    await until(() => document.querySelector('#made-state a'), 'a frame');
    byId('meter-says').click();
    byId('meter-wants-on').click();
    byId('take-reading').click();
    await until(() => /reading/.test(byId('made-state').textContent), 'a reading');
    byId('meter-says').click();
    await go('log');
    await until(() => all('#frames details').length === 2, 'two frames');
    await go('log');
    byId('frame-note').value = 'Wind from the left; the second lamp is out';
    byId('frame-note').dispatchEvent(new Event('change'));
    await go('exposure/filters');
    for (const kind of ['neutral', 'graduated', 'polariser']) {
      byId(`kind-${kind}`).click();
      all('.bag-form button').find(button => /bag/i.test(button.textContent)).click();
      await wait(60);
    }
    await until(() => all('.chips .chip input').length === 3, 'three filters');
    all('.chips .chip input')[0].click();
    await go('sky/skyline');
    for (let i = 0; i < 2; i += 1) {
      byId('add-point').click();
      await until(() => all('#points button').length === i + 1, 'a point');
      all('.screen-skyline button[aria-label^="More: Towards"]')[0].click();
    }
    await go('log/photo');
    give('photo-files', await photograph(0), await photograph(120));
    await until(() => all('#photo-tones svg').length > 2, 'tones');
    await until(() => all('#photo-list li').length === 2 && !/Looking/.test(byId('photo-list').textContent), 'photographs');
    all('#photo-list button').find(button => /clock/.test(button.textContent))?.click();
    await go('backup');
    const make = URL.createObjectURL;
    const saved = new Promise(next => { URL.createObjectURL = file => { next(file.text()); return '#backup'; }; });
    byId('save-backup').click();
    const other = (await saved).replaceAll('Cormorant Quay', 'Heron Stairs');
    URL.createObjectURL = make;
    location.hash = 'backup';
    give('file-in', new File([other], 'other.json', { type: 'application/json' }));
    await until(() => !byId('take-in').hidden, 'a plan');
    await go('evening');
    return screens().length;
  }

  /* Colours, by WCAG 2.2: relative luminance and contrast ratio. */

  const painter = document.createElement('canvas').getContext('2d', { willReadFrequently: true });
  const known = new Map();
  /** Red, green, blue of 255 and alpha of 1. */
  function colour(text) {
    if (!known.has(text)) {
      painter.clearRect(0, 0, 1, 1);
      painter.fillStyle = '#0000';
      painter.fillStyle = text;
      painter.fillRect(0, 0, 1, 1);
      const alpha = /rgba?\(([^)]+)\)/.exec(text)?.[1].split(/[ ,/]+/).map(Number);
      const [r, g, b, a] = alpha ?? painter.getImageData(0, 0, 1, 1).data.map((part, i) => (i === 3 ? part / 255 : part));
      known.set(text, { r, g, b, a: a ?? 1 });
    }
    return known.get(text);
  }
  const over = (top, under, share = 1) => {
    const a = top.a * share;
    return { r: top.r * a + under.r * (1 - a), g: top.g * a + under.g * (1 - a), b: top.b * a + under.b * (1 - a), a: 1 };
  };
  const linear = part => (part / 255 <= 0.04045 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4);
  const luminance = ({ r, g, b }) => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
  const ratio = (one, other) => {
    const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };

  /** The product of the opacities of an element and all around it. */
  function opacity(element) {
    let share = 1;
    for (let each = element; each; each = each.parentElement) share *= Number(getComputedStyle(each).opacity);
    return share;
  }

  const shown = element => element.checkVisibility({ opacityProperty: true, visibilityProperty: true }) && !element.closest('.unseen, [hidden]');

  /** The colours that may stand at a point below an element: a gradient brings several. */
  function grounds(x, y, below) {
    const stack = document.elementsFromPoint(x, y);
    const from = below ? stack.indexOf(below) : -1;
    let colours = [{ r: 255, g: 255, b: 255, a: 1 }];
    for (const element of stack.slice(from + 1).reverse()) {
      const style = getComputedStyle(element);
      const share = opacity(element);
      let paints;
      if (element instanceof SVGElement && !(element instanceof SVGSVGElement)) {
        if (element instanceof SVGTextElement || style.fill === 'none') continue;
        if (!element.isPointInFill?.(at(element, x, y))) continue;
        paints = style.fill.startsWith('url')
          ? all(`${/#[^")]+/.exec(style.fill)[0]} stop`).map(stop => colour(getComputedStyle(stop).stopColor))
          : [colour(style.fill)];
      } else {
        paints = [colour(style.backgroundColor)];
      }
      colours = paints.flatMap(paint => (paint.a * share === 0 ? colours : colours.map(each => over(paint, each, share))));
      if (colours.length > 12) colours = colours.slice(0, 12);
    }
    return colours;
  }
  const at = (element, x, y) => new DOMPoint(x, y).matrixTransform(element.getScreenCTM().inverse());

  function sheet(rules) {
    const made = new CSSStyleSheet();
    made.replaceSync(rules);
    return made;
  }

  /** The label of a thing, short. */
  const called = element => {
    const node = element instanceof Element ? element : element.parentElement;
    const id = node.id ? `#${node.id}` : [...node.classList].map(name => `.${name}`).join('');
    return `${node.localName}${id} “${(node.ariaLabel ?? node.textContent ?? '').trim().replace(/\s+/g, ' ').slice(0, 40)}”`;
  };

  /** Text that is painted: each node with the boxes of its lines. */
  function texts(root = document.body) {
    const found = [];
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const node = walker.currentNode;
      const element = node.parentElement;
      if (!node.data.trim() || element.closest('option, datalist, script, noscript, title, .unseen') || !shown(element)) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      const boxes = [...range.getClientRects()].filter(({ width, height }) => width > 1 && height > 1);
      if (boxes.length) found.push({ node, element, boxes });
    }
    return found;
  }

  /** Graphics that say something not said by text in the same place. The grid, the leaders and the ticks of a scale only help the eye. */
  const GRAPHICS = '.sheet-curve, .sheet-balance, .sheet-now-line, .sheet-now-mark, .sheet-dot, .mark circle, .mark path, .sky-line, .sky-sun-way, .sky-moon-way, '
    + '.sky-frame, .lens-edge, .lens-focus, .lens-body, .lens-skyline, .road-line, .road-trail, .moon-lit, .year-found, .tone-line, .tone-filled, .band, .year-moon';

  /** Contrast of all text, control edges and telling graphics on the screen in front. The window must be as high as the page. */
  function contrasts() {
    document.adoptedStyleSheets = [sheet('main { min-block-size: 0 !important; }')];
    const faint = [];
    const least = { text: 99, edges: 99, graphics: 99, looks: 0 };
    const note = (kind, value, want, element) => {
      least.looks += 1;
      if (value < least[kind]) { least[kind] = value; least[`${kind}At`] = called(element); }
      if (value < want) faint.push(`${kind} ${value.toFixed(2)}: ${called(element)}`);
    };
    const seen = new Map();
    const textual = (element, x, y, ink) => {
      // What lies beyond the side of a table that scrolls has the ground of its fellows.
      if (!document.elementsFromPoint(x, y).some(each => each === element || element.contains(each))) return;
      const share = opacity(element);
      const { stroke, strokeWidth, paintOrder } = getComputedStyle(element);
      const halo = element instanceof SVGElement && paintOrder.startsWith('stroke') && parseFloat(strokeWidth) > 2 ? [colour(stroke)] : null;
      for (const ground of halo ?? grounds(x, y, element instanceof SVGElement || document.elementsFromPoint(x, y).includes(element) ? before(element, x, y) : null)) {
        const value = ratio(over(ink, ground, share), ground);
        const { fontSize, fontWeight } = getComputedStyle(element);
        const large = parseFloat(fontSize) >= 24 || (parseFloat(fontSize) >= 18.66 && Number(fontWeight) >= 700);
        note('text', value, large ? 3 : 4.5, element);
      }
    };
    // Text stands on its own element's background.
    const before = (element, x, y) => {
      if (element instanceof SVGElement) return element;
      const stack = document.elementsFromPoint(x, y);
      return stack[stack.indexOf(element) - 1] ?? null;
    };
    for (const { element, boxes } of texts()) {
      const key = element;
      if (seen.has(key)) continue;
      seen.set(key, true);
      if (element.closest('[aria-disabled=true], :disabled')) continue;
      const style = getComputedStyle(element);
      const ink = colour(element instanceof SVGElement ? style.fill : style.color);
      const box = boxes[0];
      for (const share of element instanceof SVGElement ? [0.1, 0.5, 0.9] : [0.5]) {
        textual(element, box.left + box.width * share, box.top + box.height / 2, ink);
      }
    }
    for (const control of all('input:not([type=radio], [type=checkbox], [type=file], [type=date]), select, textarea').filter(shown)) {
      const box = control.getBoundingClientRect();
      textual(control, box.left + 6, box.top + box.height / 2, colour(getComputedStyle(control).color));
    }
    for (const control of all('button, .button, input:not([type=radio], [type=date], .unseen), select, textarea, .choice, .chip').filter(shown)) {
      if (control.matches('[aria-disabled=true], :disabled, .chip input')) continue;
      const style = getComputedStyle(control);
      const box = control.getBoundingClientRect();
      const outside = grounds(box.left - 2, box.top + box.height / 2, null)[0];
      const own = ratio(over(colour(style.backgroundColor), outside), outside);
      const line = parseFloat(style.borderTopWidth) ? ratio(over(colour(style.borderTopColor), outside), outside) : 1;
      // A button of words alone, and a value within a framed line, is known by its text.
      const framed = control.closest('.dial .field-line') ?? (colour(style.borderTopColor).a === 0 ? control : null);
      if (framed && framed !== control) {
        const frame = framed.getBoundingClientRect();
        const beside = grounds(frame.left - 2, frame.top + frame.height / 2, null)[0];
        note('edges', ratio(over(colour(getComputedStyle(framed).borderTopColor), beside), beside), 3, framed);
      } else if (!framed) {
        note('edges', Math.max(own, line), 3, control);
      }
    }
    for (const each of all('.screen:not([hidden]) svg').flatMap(svg => [...svg.querySelectorAll(GRAPHICS)]).filter(shown)) {
      const style = getComputedStyle(each);
      if (style.visibility === 'hidden' || !each.getBBox) continue;
      const total = each.getTotalLength?.() ?? 0;
      const painted = style.stroke !== 'none' && colour(style.stroke).a > 0 ? [style.stroke] : [];
      if (!painted.length) painted.push(style.fill);
      const points = total ? [0.07, 0.33, 0.5, 0.71, 0.93].map(share => each.getPointAtLength(total * share).matrixTransform(each.getScreenCTM())) : [];
      for (const { x, y } of points) {
        if (x < 0 || y < 0 || x > innerWidth || y > innerHeight) continue;
        // Where two cross, each is seen on either side of the crossing.
        const stack = document.elementsFromPoint(x, y);
        const below = stack[stack.indexOf(each) + 1];
        if (below?.matches('.sheet-dot, .mark *, .lens-body, .lens-skyline, .sky-line')) continue;
        // An edge is seen when it stands out from either side; the side away from its own fill is below it.
        for (const paint of painted) {
          const values = grounds(x, y, stack.includes(each) ? each : null).map(ground => ratio(over(colour(paint), ground, opacity(each)), ground));
          // A line with a halo stands out from that, whatever photograph is below.
          if (each.matches('.band')) { note('graphics', ratio(colour(paint), colour(getComputedStyle(document.documentElement).getPropertyValue('--paper').trim())), 3, each); continue; }
          const inner = style.stroke !== 'none' && style.fill !== 'none' ? ratio(colour(style.stroke), over(colour(style.fill), { r: 0, g: 0, b: 0, a: 1 })) : 0;
          note('graphics', Math.max(Math.min(...values), inner), 3, each);
        }
      }
    }
    document.adoptedStyleSheets = [];
    return { ...least, faint: [...new Set(faint)] };
  }

  /* Hands */

  const CONTROLS = 'a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex="-1"])';
  const controls = () => all(CONTROLS).filter(each => each.checkVisibility({ visibilityProperty: true }) && !each.closest('[hidden]') && !each.disabled);
  /** A link within a sentence: its size is that of the line, WCAG 2.5.8 excepts it. */
  const inSentence = each => each.matches('a') && getComputedStyle(each).display === 'inline'
    && [...each.parentElement.childNodes].some(node => node.nodeType === 3 && node.data.trim().length > 1);

  /** What a thumb would miss: everything smaller than this either way, and the links that sentences excuse. */
  function targets(least) {
    const [small, excepted] = [[], []];
    let count = 0;
    for (const each of controls()) {
      if (each.matches('.skip') || each.matches('.wide')) continue;
      const label = each.labels?.[0];
      const boxes = [each.getBoundingClientRect()];
      if (label && each.matches('[type=radio], [type=checkbox], [type=file]')) boxes.push(label.getBoundingClientRect());
      const width = Math.max(...boxes.map(box => box.width));
      const height = Math.max(...boxes.map(box => box.height));
      count += 1;
      const box = boxes[boxes.length - 1];
      const out = box.left < -0.5 || box.right > innerWidth + 0.5;
      if (inSentence(each)) excepted.push(called(each));
      else if (width < least - 0.02 || height < least - 0.02) small.push(`${width.toFixed(1)}×${height.toFixed(1)}: ${called(each)}`);
      if (out && !each.closest('.wide, table')) small.push(`off the screen, ${box.left.toFixed(0)} to ${box.right.toFixed(0)}: ${called(each)}`);
    }
    return { count, small, excepted };
  }

  /** What is lost at this size of text and window: sideways scrolling, text cut off, text over text. */
  function lost() {
    const told = [];
    const { scrollWidth } = document.documentElement;
    if (scrollWidth > innerWidth) told.push(`${scrollWidth} px in a window of ${innerWidth}`);
    const lines = [];
    for (const { element, boxes } of texts()) {
      if (element.closest('.cue:not([open])')) continue;
      const fixed = element.closest('.nav, .next, .keep, .skip');
      for (const box of boxes) {
        if ((box.right > innerWidth + 1 || box.left < -1) && !element.closest('.wide, table')) told.push(`beyond the side: ${called(element)}`);
        if (!fixed) lines.push({ element, box });
      }
      for (let each = element; each && each !== document.body; each = each.parentElement) {
        const style = getComputedStyle(each);
        if (each.matches('.wide, table, textarea, svg') || style.display === 'inline') continue;
        const clips = style.overflowX !== 'visible';
        if (clips && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1)) told.push(`cut off: ${called(each)}`);
      }
    }
    for (const each of all('input:not([type=radio], [type=checkbox], [type=file], [type=date]), select').filter(shown)) {
      const style = getComputedStyle(each);
      painter.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
      painter.letterSpacing = style.letterSpacing === 'normal' ? '0px' : style.letterSpacing;
      const text = each.matches('select') ? each.selectedOptions[0]?.text ?? '' : each.value;
      const room = each.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
      // Long words in a list of long words may end in dots; a number may not.
      if (painter.measureText(text).width > room + 1 && /^[^a-z]*[\d.,/]+[^a-z]{0,4}$/i.test(text)) told.push(`cut off, “${text}” in ${room.toFixed(0)} px: ${called(each)}`);
    }
    lines.sort((a, b) => a.box.top - b.box.top);
    for (let i = 0; i < lines.length; i += 1) {
      for (let j = i + 1; j < lines.length && lines[j].box.top < lines[i].box.bottom - 3; j += 1) {
        const [a, b] = [lines[i], lines[j]];
        const wide = Math.min(a.box.right, b.box.right) - Math.max(a.box.left, b.box.left);
        const high = Math.min(a.box.bottom, b.box.bottom) - Math.max(a.box.top, b.box.top);
        // A line's box is higher than its letters by what the lines are apart.
        const most = 0.35 * Math.min(a.box.height, b.box.height);
        if (wide > 2 && high > most && !a.element.closest('.mark') && !b.element.closest('.mark')) told.push(`over each other: ${called(a.element)} and ${called(b.element)}`);
      }
    }
    return [...new Set(told)];
  }

  /** What takes Tab in turn: of a row of choices the one that is taken, or the first. */
  const stops = () => controls().filter(each => each.tabIndex >= 0 && (each.type !== 'radio' || each.checked
    || (!all(`[name="${each.name}"]`).some(other => other.checked) && all(`[name="${each.name}"]`)[0] === each)));

  /** The ring around what has the focus: its own, or that of what it lies in. */
  function ringOf(element) {
    for (let each = element; each && each !== document.body; each = each.parentElement) {
      const { outlineStyle, outlineWidth, outlineColor, outlineOffset } = getComputedStyle(each);
      if (each.matches('.unseen') || opacity(each) < 0.5 || outlineStyle === 'none' || outlineStyle === 'auto' || parseFloat(outlineWidth) < 2) continue;
      const box = each.getBoundingClientRect();
      const out = parseFloat(outlineOffset) + parseFloat(outlineWidth);
      const [x, y] = [box.left - out - 1, box.top + box.height / 2];
      const ground = grounds(Math.max(0, x), Math.min(innerHeight - 1, Math.max(0, y)), null)[0];
      // A ring drawn inwards stands on the thing itself.
      const own = out <= 0 ? over(colour(getComputedStyle(each).backgroundColor), ground) : ground;
      return ratio(over(colour(outlineColor), own), own);
    }
    return 0;
  }

  /** Whether a point of the focused thing can be seen: nothing sticky lies over it. */
  function covered(element) {
    const box = (element.matches('[type=radio], [type=checkbox], [type=file]') && element.labels[0] || element).getBoundingClientRect();
    const left = Math.max(0, box.left);
    const right = Math.min(innerWidth, box.right);
    let [seen, asked] = [0, 0];
    for (const x of [0.2, 0.5, 0.8]) {
      for (const y of [0.15, 0.5, 0.85]) {
        asked += 1;
        const top = document.elementFromPoint(left + (right - left) * x, box.top + box.height * y);
        if (top && (element.contains(top) || top.contains(element) && !top.matches('body, html, main, .screen') || top.closest('label')?.contains(element))) seen += 1;
      }
    }
    return 1 - seen / asked;
  }

  /** Notes what has the focus at each Tab, before it goes on. */
  const walk = [];
  document.addEventListener('keydown', ({ key }) => {
    const { activeElement: target } = document;
    if (key !== 'Tab' || target === document.body) return;
    const box = target.getBoundingClientRect();
    walk.push({ target, called: called(target), ring: ringOf(target), covered: covered(target), high: box.height, top: box.top + scrollY, left: box.left });
  }, true);

  /** How the walk through a screen went, from the skip link on. */
  function walked(least) {
    const told = [];
    const round = walk.findIndex(({ target }, i) => i && target.matches('.skip'));
    if (round > 0) walk.length = round;
    const reached = new Set(walk.map(({ target }) => target));
    for (const stop of stops()) if (!reached.has(stop)) told.push(`never reached: ${called(stop)}`);
    for (const step of walk) {
      if (step.ring < least) told.push(`ring ${step.ring.toFixed(2)}: ${step.called}`);
      if (step.covered > (step.high > 300 ? 0.9 : 0.5)) told.push(`covered ${step.covered.toFixed(2)}: ${step.called}`);
    }
    const inMain = walk.filter(({ target }) => byId('main').contains(target) && target.isConnected && !target.closest('.keep'));
    for (let i = 1; i < inMain.length; i += 1) {
      const [before, after] = [inMain[i - 1], inMain[i]];
      if (after.top < before.top - 60 && after.left <= before.left) told.push(`upwards: ${before.called} to ${after.called}`);
    }
    const ring = Math.min(...walk.map(step => step.ring));
    return { count: reached.size, ring, told: [...new Set(told)] };
  }

  /** Begins a walk at the top of the screen in front, and says how many stops it should have. */
  function begin() {
    scrollTo(0, 0);
    byId('skip').focus();
    walk.length = 0;
    return stops().length;
  }

  const words = text => text.toLowerCase().match(/[\p{L}\d]{2,}/gu) ?? [];

  /** Names that lack what is seen, units that are only seen, and pictures without a name. */
  function misnamed() {
    const told = [];
    for (const each of controls()) {
      const label = each.matches('button, a, summary') ? each : each.closest('label') ?? each.labels?.[0];
      if (each.ariaLabel && label) {
        const missing = words(label.textContent).filter(word => !each.ariaLabel.toLowerCase().includes(word));
        if (missing.length) told.push(`seen but not said, “${missing.join(' ')}”: ${called(each)}`);
      }
      const unit = each.closest('.field-line')?.querySelector('.field-unit');
      if (unit && each.matches('input:not([type=radio]), select') && !each.getAttribute('aria-describedby')?.split(' ').includes(unit.id)) told.push(`its unit is not said: ${called(each)}`);
      if (each.getAttribute('aria-describedby')?.split(' ').some(id => all(`[id="${id}"]`).length !== 1)) told.push(`described by nothing: ${called(each)}`);
    }
    for (const each of all('.screen:not([hidden]) svg').filter(shown)) {
      if (!each.closest('[aria-hidden=true]') && !(each.getAttribute('role') === 'img' && each.ariaLabel)) told.push(`no picture by name: ${called(each)}`);
    }
    return told;
  }

  /** What the live regions say while something is done. */
  async function spoken(act) {
    const said = [];
    const watch = new MutationObserver(changes => {
      const regions = new Set(changes.map(({ target }) => (target.parentElement ?? target).closest('[role=status], [role=alert], [aria-live], output') ?? target));
      for (const region of regions) {
        if (region.checkVisibility() && region.textContent.trim()) said.push(region.textContent.trim());
      }
    });
    for (const region of all('[role=status], [role=alert], [aria-live], output')) {
      watch.observe(region, { childList: true, characterData: true, subtree: true });
    }
    await act();
    watch.disconnect();
    return said;
  }

  /** What moves by itself or would glide. */
  const moving = () => [
    ...document.getAnimations().filter(each => each.playState === 'running').map(each => `${each.animationName ?? each.transitionProperty}: ${called(each.effect.target)}`),
    ...all('html, body, .wide').filter(each => getComputedStyle(each).scrollBehavior === 'smooth').map(called),
    ...all('a, button, input, summary, svg *').filter(each => parseFloat(getComputedStyle(each).transitionDuration) > 0).map(called),
  ];

  /** What is taken of some, and does not show it by more than weight. */
  function untold() {
    const told = [];
    for (const label of all('.choice-item, .chip, .setting label').filter(shown)) {
      const input = label.querySelector('input');
      if (!input?.checked) continue;
      const other = all(input.type === 'radio' ? `input[name="${input.name}"]` : '.chip input').find(each => !each.checked)?.closest('label');
      if (!other) continue;
      const [mine, theirs] = [label, other].map(each => over(colour(getComputedStyle(each).backgroundColor), grounds(each.getBoundingClientRect().left - 2, each.getBoundingClientRect().top + 8, null)[0]));
      if (getComputedStyle(label).boxShadow === 'none' && ratio(mine, theirs) < 3) told.push(`taken ${ratio(mine, theirs).toFixed(2)}: ${called(label)}`);
    }
    for (const link of all('.nav [aria-current], .screen:not([hidden]) .cards [aria-current]')) {
      if (getComputedStyle(link).boxShadow === 'none' && !/underline/.test(getComputedStyle(link).textDecorationLine)) told.push(`current: ${called(link)}`);
    }
    return told;
  }

  return { begin, misnamed, spoken, moving, untold, stops, walk, walked, ringOf, covered, all, byId, wait, settled, until, go, title, screens, dress, texts, contrasts, controls, called, targets, lost, shown, ratio, colour, grounds, over };
})();
