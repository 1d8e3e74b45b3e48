// @ts-check
// Sound, vibration and a screen that stays on. Each may be missing, and each says whether it works here.

const QUIET = 0.0001;
const LOUD = 0.6;

/** Notes as hertz and seconds: rising to open, falling to close, thrice when all is over. */
const TUNES = {
  open: [[880, 0.12], [1320, 0.2]],
  close: [[1320, 0.12], [880, 0.3]],
  over: [[1568, 0.25], [1175, 0.25], [1568, 0.25], [1175, 0.25], [1568, 0.5]],
};
const SHAKES = { open: [120], close: [250, 100, 250], over: [500, 150, 500, 150, 500] };

export class Bell {
  /** @type {AudioContext | null} */
  #audio = null;
  /** @type {WakeLockSentinel | null} */
  #lock = null;
  #wanted = false;

  /** Whether a tune would be heard. */
  get audible() {
    return this.#audio?.state === 'running';
  }

  /** Whether the screen is being kept on. */
  get awake() {
    return Boolean(this.#lock && !this.#lock.released);
  }

  /** Browsers let a page sound only after a touch: call this from one. */
  unlock() {
    if (typeof AudioContext !== 'function') return;
    this.#audio ??= new AudioContext();
    if (!this.audible) this.#audio.resume().catch(() => undefined);
  }

  /** @param {keyof typeof TUNES} tune */
  ring(tune) {
    navigator.vibrate?.(SHAKES[tune]);
    const audio = this.#audio;
    // Tones set while the context is held would sound when it is let go: too late.
    if (!audio || !this.audible) {
      audio?.resume().catch(() => undefined);
      return;
    }
    let at = audio.currentTime;
    for (const [hertz, seconds] of TUNES[tune]) {
      const [tone, level] = [audio.createOscillator(), audio.createGain()];
      tone.frequency.value = hertz;
      // Swelling and fading, since a tone cut off clicks.
      level.gain.setValueAtTime(QUIET, at);
      level.gain.exponentialRampToValueAtTime(LOUD, at + 0.02);
      level.gain.exponentialRampToValueAtTime(QUIET, at + seconds);
      tone.connect(level).connect(audio.destination);
      tone.start(at);
      tone.stop(at + seconds);
      at += seconds;
    }
  }

  /** The screen stays on from here; ask again when the page comes back, for it lets go of the lock when hidden. */
  async stayAwake() {
    this.#wanted = true;
    if (this.awake || document.hidden || !navigator.wakeLock) return;
    const lock = await navigator.wakeLock.request('screen').catch(() => null);
    // Two may have been asked for at once, and the wish may be over.
    if (!this.#wanted || this.awake) lock?.release();
    else this.#lock = lock;
  }

  /** Lets the screen and the loudspeaker rest. */
  rest() {
    this.#wanted = false;
    navigator.vibrate?.(0);
    this.#lock?.release();
    this.#lock = null;
    this.#audio?.close();
    this.#audio = null;
  }
}
