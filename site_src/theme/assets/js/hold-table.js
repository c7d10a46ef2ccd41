// The Holding page reads a method's hold table: the same sums as forecast/hold_table.py and the window of
// forecast/hold_window.py, under the same names. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdTable = (() => {
  /** @typedef {{id: string, title: string, tight: boolean}} Wrap */
  /** @typedef {{airs: number[], humidities: number[], hours: number[], weight: number, scale: number[][], wraps: Wrap[],
   *   needed: number, allowedLoss: number, overSoft: number, floor: number, card: any, box: any, pieceLow: number,
   *   values: Record<string, number[][][][][]>}} Table */

  /** @param {number} a @param {number} b @param {number} part */
  const mix = (a, b, part) => a + (b - a) * part;

  /** @param {number[]} grid @param {number} value @returns {[number, number, number]} */
  function bracket(grid, value) {
    if (grid.length === 1 || value <= grid[0]) return [0, 0, 0];
    for (let i = 0; i < grid.length - 1; i += 1) {
      if (value <= grid[i + 1]) return [i, i + 1, (value - grid[i]) / (grid[i + 1] - grid[i])];
    }
    return [grid.length - 1, grid.length - 1, 0];
  }

  /** @param {number} x @param {number[]} xs @param {number[]} ys */
  function interp(x, xs, ys) {
    const [low, high, part] = bracket(xs, x);
    return mix(ys[low], ys[high], part);
  }

  /** P10, P50, P90. @param {Table} table @param {string} quantity @param {string} wrap @param {number} air
   * @param {number} humidity @param {number} hour */
  function readTable(table, quantity, wrap, air, humidity, hour) {
    const byAir = table.values[quantity][table.wraps.findIndex(({ id }) => id === wrap)];
    const [a0, a1, ap] = bracket(table.airs, air);
    const [h0, h1, hp] = bracket(table.hours, hour);
    return byAir[0][0][0].map((_, percentile) => {
      const corners = [byAir[a0], byAir[a1]].map((rows) => {
        const [r0, r1, rp] = bracket(table.humidities.slice(0, rows.length), humidity);
        const at = (/** @type {number} */ h) => mix(rows[r0][h][percentile], rows[r1][h][percentile], rp);
        return mix(at(h0), at(h1), hp);
      });
      return mix(corners[0], corners[1], ap);
    });
  }

  /** @param {Table} table @param {string} wrap @param {number} air @param {number} humidity @param {number} hour */
  function readCrispness(table, wrap, air, humidity, hour) {
    const [dry, mid, damp] = readTable(table, "water_activity", wrap, air, humidity, hour);
    return [damp, mid, dry].map((activity) => interp(activity, table.scale[0], table.scale[1]));
  }

  /** @param {Table} table @param {string} wrap @param {number} air @param {number} hours */
  function windowOf(table, wrap, air, hours) {
    const first = table.humidities[0];
    const last = table.humidities[table.humidities.length - 1];
    const grid = Array.from({ length: Math.round((last - first) / 0.01) + 1 }, (_, i) => first + i * 0.01);
    const moist = grid.filter((h) => readTable(table, "loss", wrap, air, h, hours)[1] <= table.allowedLoss);
    const warm = grid.filter((h) => readTable(table, "coldest_c", wrap, air, h, hours)[0] >= table.floor);
    const crisp = grid.filter((h) => readCrispness(table, wrap, air, h, hours)[1] >= table.needed);
    const low = moist.length && warm.length ? Math.max(moist[0], warm[0]) : 1;
    const high = crisp.length ? crisp[crisp.length - 1] : 0;
    const middle = 0.5 * (low + high);
    if (low <= high) return { wrap, low, high, exists: true, target: middle, shut: "" };
    const target = Math.max(middle, warm.length ? warm[0] : grid[grid.length - 1]);
    return { wrap, low, high, exists: false, target, shut: shutBy(moist, warm, crisp) };
  }

  /** Why there is no window, as `opened_by` tells it. @param {number[]} moist @param {number[]} warm @param {number[]} crisp */
  function shutBy(moist, warm, crisp) {
    if (!warm.length) return "cold";
    if (!crisp.length) return "soft";
    if (!moist.length) return "dry";
    return warm[0] > Math.max(moist[0], crisp[crisp.length - 1]) ? "damp" : "both";
  }

  /** What the piece gives to the air, kg/h. @param {Table} table @param {string} wrap @param {number} air
   * @param {number} humidity @param {number} hours */
  function meatLoad(table, wrap, air, humidity, hours) {
    if (table.wraps.find(({ id }) => id === wrap)?.tight) return 0;
    const lost = readTable(table, "loss", wrap, air, humidity, hours)[1];
    return (Math.max(lost, 0) * table.weight) / Math.max(hours, 0.5);
  }

  return { mix, bracket, interp, readTable, readCrispness, windowOf, meatLoad };
})();
