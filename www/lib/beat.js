// @ts-check
// A worker that answers after the time it is told. Browsers slow the timers of a hidden page, to one a minute in
// the end, and leave a worker's alone.

/** @type {ReturnType<typeof setTimeout> | undefined} */
let waiting;

self.addEventListener('message', ({ data }) => {
  clearTimeout(waiting);
  waiting = setTimeout(() => self.postMessage('beat'), data);
});
