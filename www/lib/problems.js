// @ts-check

/** @typedef {import('../core.js').Problem} Problem */

/** The field's own name, without the path to it: `scene.floorEv` is `floorEv`. @param {Problem} problem */
export const fieldOf = ({ field }) => field.split('.').pop() ?? field;

/** What to say beside the field, which need not be named there again. @param {Problem} problem */
export const problemWords = ({ code, field, message }) =>
  code === 'missing' ? 'This is needed' : message.replace(`${field}: `, '');
