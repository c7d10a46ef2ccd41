// Drawing lots from a seed exactly as the `tasting` command does, so that a seed gives the same tasting in both.
// The Mersenne twister as Python seeds and reads it. Loaded on the page of tastings.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.tastingLots = (() => {
  const LENGTH = 624;
  const SHIFT = 397;

  /** @param {Uint32Array} state @param {number} seed A whole number from 0 to 2^53 - 1. */
  function start(state, seed) {
    const key = seed < 2 ** 32 ? [seed >>> 0] : [seed % 2 ** 32 >>> 0, Math.floor(seed / 2 ** 32) >>> 0];
    state[0] = 19650218;
    for (let i = 1; i < LENGTH; i++) {
      state[i] = Math.imul(1812433253, state[i - 1] ^ (state[i - 1] >>> 30)) + i;
    }
    let i = 1;
    let j = 0;
    for (let left = Math.max(LENGTH, key.length); left > 0; left--) {
      state[i] = (state[i] ^ Math.imul(state[i - 1] ^ (state[i - 1] >>> 30), 1664525)) + key[j] + j;
      if (++i >= LENGTH) [state[0], i] = [state[LENGTH - 1], 1];
      j = (j + 1) % key.length;
    }
    for (let left = LENGTH - 1; left > 0; left--) {
      state[i] = (state[i] ^ Math.imul(state[i - 1] ^ (state[i - 1] >>> 30), 1566083941)) - i;
      if (++i >= LENGTH) [state[0], i] = [state[LENGTH - 1], 1];
    }
    state[0] = 0x80000000;
  }

  /** @param {Uint32Array} state */
  function turn(state) {
    for (let i = 0; i < LENGTH; i++) {
      const joined = (state[i] & 0x80000000) | (state[(i + 1) % LENGTH] & 0x7fffffff);
      state[i] = state[(i + SHIFT) % LENGTH] ^ (joined >>> 1) ^ (joined & 1 ? 0x9908b0df : 0);
    }
  }

  /**
   * A source of random orders with a seed; each draw moves it on.
   * @param {number} seed
   */
  function lots(seed) {
    const state = new Uint32Array(LENGTH);
    let at = LENGTH;
    start(state, seed);

    function word() {
      if (at >= LENGTH) {
        turn(state);
        at = 0;
      }
      let value = state[at++];
      value ^= value >>> 11;
      value ^= (value << 7) & 0x9d2c5680;
      value ^= (value << 15) & 0xefc60000;
      return (value ^ (value >>> 18)) >>> 0;
    }

    const random = () => {
      const high = word() >>> 5;
      return (high * 67108864 + (word() >>> 6)) / 9007199254740992;
    };

    /** @param {number} count @returns {number} A whole number from 0 to count - 1. */
    const below = (count) => Math.floor(random() * count);

    /** @template T @param {T[]} items @returns {T[]} The items in random order. */
    function shuffled(items) {
      const order = [...items];
      for (let last = order.length - 1; last > 0; last--) {
        const other = below(last + 1);
        [order[last], order[other]] = [order[other], order[last]];
      }
      return order;
    }

    return { random, below, shuffled };
  }

  return { lots };
})();
