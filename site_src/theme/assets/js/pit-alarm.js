// Sound, vibration and a screen that stays on, each as far as the device lets a page have it, said plainly where not.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitAlarm = (() => {
  const NOTES = [880, 660, 880], NOTE_S = 0.28, VIBRATION = [400, 150, 400, 150, 800];
  /** @type {AudioContext | null} */
  let speaker = null;
  /** @type {any} */
  let lock = null;
  let wanted = false;

  /** A browser gives sound only after a touch; this is called from one. @returns {boolean} Whether there is sound. */
  function allowSound() {
    const Context = window.AudioContext || /** @type {any} */ (window).webkitAudioContext;
    if (!Context) return false;
    speaker ??= new Context();
    void speaker?.resume();
    return true;
  }

  function ring() {
    // Before the first touch a browser refuses to vibrate, and complains.
    if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(VIBRATION);
    const now = speaker;
    if (!now || now.state !== "running") return;
    NOTES.forEach((pitch, index) => {
      const note = now.createOscillator(), volume = now.createGain(), from = now.currentTime + index * NOTE_S;
      note.type = "square";
      note.frequency.value = pitch;
      volume.gain.setValueAtTime(0.0001, from);
      volume.gain.exponentialRampToValueAtTime(0.35, from + 0.03);
      volume.gain.exponentialRampToValueAtTime(0.0001, from + NOTE_S);
      note.connect(volume).connect(now.destination);
      note.start(from);
      note.stop(from + NOTE_S);
    });
  }

  const canStayAwake = () => "wakeLock" in navigator;

  /** @returns {Promise<boolean>} Whether the screen now stays on. */
  async function stayAwake() {
    wanted = true;
    try {
      lock = await /** @type {any} */ (navigator).wakeLock.request("screen");
      return true;
    } catch {
      lock = null;
      return false;
    }
  }

  async function maySleep() {
    wanted = false;
    await lock?.release();
    lock = null;
  }

  // A page that was out of sight has lost its lock.
  document.addEventListener("visibilitychange", () => {
    if (wanted && document.visibilityState === "visible") void stayAwake();
  });

  return { allowSound, ring, canStayAwake, stayAwake, maySleep, awake: () => lock !== null && !lock.released };
})();
