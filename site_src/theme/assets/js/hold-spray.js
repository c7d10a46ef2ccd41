// The Holding page's `swing`: how far the humidity goes between sprays, as forecast/hold_spray.py finds it.
// Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdSpray = (() => {
  const { meatLoad } = Slowfolio.holdTable;
  const { saturationPressure, needed } = Slowfolio.holdAir;
  const [periods, stepsAPeriod, spreadH] = [6, 60, 300 / 3600];
  const gasConstant = 287.042 / 0.621945; // of water vapour, J/(kg·K): physics/humid_air.py has the source
  const halvings = 30;

  /** Lowest and highest humidity between two sprays, by implicit steps of the water in the air
   * from its mean; the last pulse is read. @param {any} holder @param {any} table @param {any} wish
   * @param {number} mean @returns {[number, number]} */
  function swing(holder, table, wish, mean) {
    const { kg, hours } = wish.spray;
    const given = meatLoad(table, wish.wrap, wish.air, mean, wish.hours);
    const full = (holder.volume * saturationPressure(wish.air)) / (gasConstant * (wish.air + 273.15));
    const step = hours / stepsAPeriod;
    const evaporated = (/** @type {number} */ until) => {
      let sum = 0;
      for (let pulse = 0; pulse * hours < until; pulse += 1) sum += kg * Math.min((until - pulse * hours) / spreadH, 1);
      return sum;
    };
    let [humidity, lowest, highest] = [mean, Infinity, -Infinity];
    for (let at = 1; at <= periods * stepsAPeriod; at += 1) {
      const flow = given + (evaporated(at * step) - evaporated((at - 1) * step)) / step;
      let [low, high] = [0, 1];
      for (let i = 0; i < halvings; i += 1) {
        const later = 0.5 * (low + high);
        if ((full * (later - humidity)) / step > flow - needed(holder, wish.air, later)) high = later;
        else low = later;
      }
      humidity = 0.5 * (low + high);
      if (at >= (periods - 1) * stepsAPeriod) [lowest, highest] = [Math.min(lowest, humidity), Math.max(highest, humidity)];
    }
    return [lowest, highest];
  }

  return { swing };
})();
