// The come-up rule checked anew on a cook under way, as in forecast/recheck.py. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.recheck = (() => {
  const { coldStretches, inOrder } = Slowfolio.retiming;
  const GRID_S = 300;

  /** @typedef {any} Clock as in retiming.js */
  /** @typedef {{low_c: number, high_c: number, limit_s: number}} Limits of the rule, from the page */

  /** @param {any} ensemble @param {number} limit @returns {Float64Array} */
  function firstAbove(ensemble, limit) {
    const { times: points, grid_s, count } = ensemble, course = ensemble.courses.thick;
    return Float64Array.from({ length: count }, (_, member) => {
      let after = 0;
      while (after < points - 1 && course[member * points + after] <= limit) after += 1;
      const before = Math.max(after - 1, 0);
      const low = course[member * points + before], high = course[member * points + after];
      const part = Math.min(Math.max((limit - low) / (high > low ? high - low : 1), 0), 1);
      return (before + part * (after - before)) * grid_s;
    });
  }

  /** When the real clock shows that each member is at its moment. @param {Clock} clock @param {Float64Array} moments */
  function realMoment(clock, moments) {
    const grid = [];
    for (let at = 0; at < clock.now_s; at += GRID_S) grid.push(at);
    grid.push(clock.now_s);
    const lived = grid.map((at) => clock.memberTime(at));
    return moments.map((goal, member) => {
      const last = lived[lived.length - 1][member];
      if (goal >= last) return clock.now_s + goal - last;
      const after = lived.findIndex((row) => row[member] > goal);
      const from = lived[after - 1][member];
      const part = (goal - from) / Math.max(lived[after][member] - from, 1e-9);
      return grid[after - 1] + part * (grid[after] - grid[after - 1]);
    });
  }

  /** @param {string} place @param {Float64Array} lasting @param {Float64Array} weight @param {Limits} limits */
  function check(place, lasting, weight, limits) {
    const order = Array.from(lasting.keys()).sort((a, b) => lasting[a] - lasting[b] || a - b);
    const reached = (/** @type {number} */ share) => {
      let sum = 0;
      for (const i of order) if ((sum += weight[i]) >= share) return lasting[i];
      return lasting[order[order.length - 1]];
    };
    const met = order.reduce((sum, i) => sum + (lasting[i] <= limits.limit_s ? weight[i] : 0), 0);
    return { place, p50_s: reached(0.5), p90_s: reached(0.9), limit_s: limits.limit_s, shareMet: met };
  }

  /** Surface, where the rule is read on an intact piece, then core.
   * @param {Clock} clock @param {any[]} events @param {Float64Array} weight @param {Limits} limits */
  function comeUpChecks(clock, events, weight, limits) {
    const { ensemble, now_s } = clock;
    const cold = coldStretches(inOrder(events))
      .filter((/** @type {[number, number]} */ [from]) => from < now_s)
      .reduce((/** @type {number} */ sum, /** @type {[number, number]} */ [from, to]) => sum + Math.min(to, now_s) - from, 0);
    const real = realMoment(clock, ensemble.surface_s);
    const surface = real.map((/** @type {number} */ at, /** @type {number} */ i) => Math.max(at, ensemble.surface_s[i] + cold));
    const begin = realMoment(clock, firstAbove(ensemble, limits.low_c));
    const end = realMoment(clock, firstAbove(ensemble, limits.high_c));
    const core = end.map((/** @type {number} */ at, /** @type {number} */ i) => at - begin[i]);
    return [check("surface", surface, weight, limits), check("core", core, weight, limits)];
  }

  return { comeUpChecks };
})();
