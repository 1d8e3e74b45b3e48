// @ts-check
import { el } from '../lib/dom.js';
import { number, readNumber } from '../lib/format.js';
import { CLOUDS, INTENTS, SCENES } from '../lib/words.js';
import { pick } from './choice.js';
import { field, textInput } from './field.js';

/** @typedef {import('../lib/book.js').Light} Light */

/** Where a known level of the lamps starts before it is typed: an unhurried lit street. */
const FIRST_FLOOR_EV = 5;

/**
 * Sky, lamps and what is exposed for: all that the forecast has to be told.
 * @param {string} prefix keeps ids apart where two screens ask the same
 * @param {(light: Partial<Light>) => string} onchange says what is wrong with it, or nothing
 */
export function lightChoices(prefix, onchange) {
  const id = (/** @type {string} */ name) => prefix + name;
  const floorInput = textInput(id('floorEv'), {
    number: true, attributes: { on: { change: () => floorTyped() } },
  });
  const cloud = pick({ id: id('cloud'), choices: CLOUDS, value: 'clear', onchange: value => onchange({ cloud: value }) });
  const scene = pick({
    id: id('scene'), choices: SCENES, value: /** @type {typeof SCENES[number][0]} */ ('street'),
    onchange: value => onchange({ scene: value === 'floor' ? { floorEv: FIRST_FLOOR_EV } : value }),
  });
  const intent = pick({ id: id('intent'), choices: INTENTS, value: 'frame', onchange: value => onchange({ intent: value }) });

  const floor = field({
    id: id('floorEv'), label: 'The lamps alone, EV at ISO 100', control: floorInput, unit: 'EV',
    hint: 'Meter the scene after dark once; it holds for next time.',
  });
  const floorTyped = () => {
    const floorEv = readNumber(floorInput.value);
    const known = floorEv !== null && !Number.isNaN(floorEv);
    floor.problem = known ? onchange({ scene: { floorEv } }) : 'A number of EV, such as 4.5';
  };

  const element = el(
    'div',
    { class: 'light-choices' },
    field({ id: id('cloud'), label: 'Sky', control: cloud.element }).element,
    field({ id: id('scene'), label: 'Lamps in the picture', control: scene.element }).element,
    floor.element,
    field({ id: id('intent'), label: 'Exposed for', control: intent.element }).element,
  );
  return {
    element,
    /** @param {Light} light */
    set value(light) {
      const known = typeof light.scene === 'object' ? light.scene : null;
      cloud.value = light.cloud;
      scene.value = typeof light.scene === 'object' ? 'floor' : light.scene;
      intent.value = light.intent;
      floor.element.hidden = !known;
      if (known && document.activeElement !== floorInput) floorInput.value = number(known.floorEv, 1);
    },
    /** A refusal of the typed level, or `null`. @param {string | null} message */
    set floorProblem(message) {
      floor.problem = message;
    },
  };
}
