// The Holding page works out a holder's air: the settings of forecast/hold_advice.py, with the balance of the
// cabinet read from the grid that site/hold_grid.py solves at every build. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdAir = (() => {
  /** @typedef {{airs: number[], areas: number[], single: number, humidities: number[][], gives: number[][][][], water: number[][][][],
   *   refills: number[][][][]}} Pans */
  /** @typedef {{id: string, control: string, heated: boolean, load: number, airs: number[], given: number[],
   *   boiling: number, dial: number[], humidities: number[][], needed: number[][], most: number[][],
   *   spare: number[][], volume: number, pans?: Pans}} Holder */
  /** @typedef {{kg: number, hours: number}} Spray so much water, so far apart */
  /** @typedef {{air: number, hours: number, wrap: string, humidity: number | null, spray: Spray | null}} Wish */

  const { mix, bracket, interp, meatLoad } = Slowfolio.holdTable;
  const bisections = 24;
  const halvings = 30;
  const nearEnough = 0.005;
  const noPanWithin = 0.01;

  // IAPWS-IF97, region 4: physics/water.py has the source.
  const n = [0, 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.1202082470247e5, -0.32325550322333e7,
    0.1491510861353e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3];

  /** @param {number} c */
  function saturationPressure(c) {
    const theta = c + 273.15 + n[9] / (c + 273.15 - n[10]);
    const a = theta ** 2 + n[1] * theta + n[2];
    const b = n[3] * theta ** 2 + n[4] * theta + n[5];
    const d = n[6] * theta ** 2 + n[7] * theta + n[8];
    return 1e6 * ((2 * d) / (-b + Math.sqrt(b ** 2 - 4 * a * d))) ** 4;
  }

  /** @param {number} pa */
  function saturationTemperature(pa) {
    const beta = (pa / 1e6) ** 0.25;
    const e = beta ** 2 + n[3] * beta + n[6];
    const f = n[1] * beta ** 2 + n[4] * beta + n[7];
    const g = n[2] * beta ** 2 + n[5] * beta + n[8];
    const d = (2 * g) / (-f - Math.sqrt(f ** 2 - 4 * e * g));
    return 0.5 * (n[10] + d - Math.sqrt((n[10] + d) ** 2 - 4 * (n[9] + n[10] * d))) - 273.15;
  }

  /** A row of a plane between its rows. @param {number[]} grid @param {number[][]} plane @param {number} value */
  function row(grid, plane, value) {
    const [low, high, part] = bracket(grid, value);
    return plane[low].map((first, k) => mix(first, plane[high][k], part));
  }

  /** The pans at one air, one flow from the meat and one humidity, by area.
   * @param {Holder} holder @param {number[][][][]} level @param {number} air @param {number} given
   * @param {number} humidity @returns {number[]} */
  function byArea(holder, level, air, given, humidity) {
    const pans = /** @type {Pans} */ (holder.pans);
    const [a0, a1, ap] = bracket(pans.airs, air);
    const [h0, h1, hp] = bracket(row(pans.airs, pans.humidities, air), humidity);
    const at = (/** @type {number} */ a) =>
      row(holder.given, level[a].map((plane) => plane[h0].map((first, k) => mix(first, plane[h1][k], hp))), given);
    return row([0, 1], [at(a0), at(a1)], ap);
  }

  /** Water an hour that keeps a humidity. @param {Holder} holder @param {number} air @param {number} humidity */
  const needed = (holder, air, humidity) =>
    interp(humidity, row(holder.airs, holder.humidities, air), row(holder.airs, holder.needed, air));

  /** The humidity that water from meat and pans keeps, found by halving: what is given falls as the air gets damper.
   * @param {Holder} holder @param {number} air @param {(humidity: number) => number} gives */
  function kept(holder, air, gives) {
    let [low, high] = [0, 1];
    for (let i = 0; i < halvings; i += 1) {
      const middle = 0.5 * (low + high);
      if (gives(middle) > needed(holder, air, middle)) low = middle;
      else high = middle;
    }
    return high > 1 - 1e-4 ? 1 : 0.5 * (low + high);
  }

  /** Lowest and highest humidity with a flow from the meat. @param {Holder} holder @param {number} air
   * @param {number} given @returns {[number, number]} */
  function reach(holder, air, given) {
    const driest = kept(holder, air, () => given);
    if (holder.control === "pan") {
      const { gives, areas } = /** @type {Pans} */ (holder.pans);
      const all = (/** @type {number} */ h) => given + byArea(holder, gives, air, given, h)[areas.length - 1];
      return [driest, Math.max(kept(holder, air, all), driest)];
    }
    if (!holder.dial.length) return [driest, driest];
    const least = Math.max(driest, dialled(holder, air)[0]);
    return [least, Math.max(interp(given, holder.given, row(holder.airs, holder.most, air)), least)];
  }

  /** The ends of the dial as humidities. @param {Holder} holder @param {number} air */
  const dialled = (holder, air) =>
    holder.control === "per cent"
      ? holder.dial
      : dialEnds(holder, air).map((end) => saturationPressure(end) / saturationPressure(air));

  /** The ends of a dial for the vapour temperature. @param {Holder} holder @param {number} air */
  const dialEnds = (holder, air) => holder.dial.map((end) => Math.min(end, air, holder.boiling - 0.1));

  /** The humidity at which what the meat gives is what keeps the air so damp: for air that is not set for a target.
   * @param {Holder} holder @param {any} table @param {Wish} wish @param {number | null} dial */
  function balanceWithMeat(holder, table, wish, dial) {
    let [low, high, humidity] = [0, 1, 0];
    const sprayed = wish.spray ? wish.spray.kg / wish.spray.hours : 0;
    for (let i = 0; i < bisections; i += 1) {
      const assumed = 0.5 * (low + high);
      const given = meatLoad(table, wish.wrap, wish.air, assumed, wish.hours);
      const least = kept(holder, wish.air, () => given + sprayed);
      humidity = dial === null ? least : Math.max(Math.min(dial, reach(holder, wish.air, given)[1]), least);
      if (humidity > assumed) low = assumed;
      else high = assumed;
    }
    return humidity;
  }

  /** @param {Holder} holder @param {any} table @param {Wish} wish @param {number} target */
  function setAir(holder, table, wish, target) {
    const given = meatLoad(table, wish.wrap, wish.air, target, wish.hours);
    const [least, most] = reach(holder, wish.air, given);
    const reached = target <= most + nearEnough && target >= least - nearEnough;
    const bare = holder.control === "pan" && target >= least && target <= least + noPanWithin;
    const humidity = bare ? least : Math.min(Math.max(target, least), most);
    const settled = { humidity, reached, given, vapourTemp: NaN, setHumidity: NaN, pan: NaN, pans: 0, water: NaN, refill: NaN };
    if (holder.control === "vapour temperature") {
      const [first, last] = dialEnds(holder, wish.air);
      const wanted = saturationTemperature(Math.max(target * saturationPressure(wish.air), 20));
      settled.vapourTemp = reached ? Math.min(Math.max(wanted, first), last) : target > most ? last : first;
    } else if (holder.control === "per cent") {
      const [first, last] = holder.dial;
      settled.setHumidity = reached ? Math.min(Math.max(target, first), last) : target > most ? last : first;
    } else if (holder.control === "pan") {
      const { areas, single, gives, water, refills } = /** @type {Pans} */ (holder.pans);
      const missing = needed(holder, wish.air, humidity) - given;
      const last = areas.length - 1;
      const flows = byArea(holder, gives, wish.air, given, humidity);
      settled.pan = target >= most ? areas[last] : bare || target <= least ? 0 : interp(missing, [0, ...flows], [0, ...areas]);
      settled.pans = settled.pan <= 0 ? 0 : settled.pan > single ? 2 : 1;
      if (settled.pans) {
        settled.water = interp(settled.pan, areas, byArea(holder, water, wish.air, given, humidity));
        settled.refill = 1 / Math.max(interp(settled.pan, areas, byArea(holder, refills, wish.air, given, humidity)), 1e-4);
      }
    }
    return settled;
  }

  /** Whether the elements may fail to keep the air this warm. @param {Holder} holder @param {number} air @param {number} given */
  const weak = (holder, air, given) =>
    holder.spare.length > 0 && interp(given, holder.given, row(holder.airs, holder.spare, air)) < 0;

  return { saturationPressure, saturationTemperature, needed, reach, balanceWithMeat, setAir, weak };
})();
