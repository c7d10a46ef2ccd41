// The Holding page's `advise`: the same as in forecast/hold_advice.py, which the command line prints.
// Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdAdvice = (() => {
  const { bracket, mix, interp, readTable, readCrispness, windowOf, meatLoad } = Slowfolio.holdTable;
  const { saturationPressure, saturationTemperature, reach, balanceWithMeat, setAir } = Slowfolio.holdAir;
  const { swing } = Slowfolio.holdSpray;

  /** @typedef {any} Table as in hold-table.js */
  /** @typedef {any} Holder as in hold-air.js */
  /** @typedef {{air: number, hours: number, wrap: string, humidity: number | null, spray: {kg: number, hours: number} | null,
   *   litres: number | null, water: number | null}} Wish what is null is the book's own */

  const spreads = ["loss", "core_c", "coldest_c", "tenderness"];

  /** What the hold does to the piece after some hours. @param {Table} table @param {string} wrap @param {number} air
   * @param {number} humidity @param {number} hour @returns {Record<string, number[]>} */
  function pieceAt(table, wrap, air, humidity, hour) {
    const state = Object.fromEntries(spreads.map((name) => [name, readTable(table, name, wrap, air, humidity, hour)]));
    return { ...state, crispness: readCrispness(table, wrap, air, humidity, hour) };
  }

  /** @param {Table} table @param {string} wrap @param {number} air @param {number} humidity
   * @returns {[number, string, boolean]} Hours, the name of what ends them, whether the crust stays too soft. */
  function longestHold(table, wrap, air, humidity) {
    const most = Math.min(table.card.atMost, table.hours[table.hours.length - 1]);
    const last = Math.floor(4 * most);
    let warm = false;
    for (let quarter = 1; quarter <= last && !warm; quarter += 1) {
      warm = readTable(table, "coldest_c", wrap, air, humidity, quarter / 4)[0] >= table.floor;
    }
    if (!warm) return [0, "never", false];
    warm = false;
    let crisp = table.needed <= 0;
    for (let quarter = 1; quarter <= last; quarter += 1) {
      const state = pieceAt(table, wrap, air, humidity, quarter / 4);
      const collagen = readTable(table, "collagen", wrap, air, humidity, quarter / 4);
      const cold = state.coldest_c[0] < table.floor;
      crisp = crisp || state.crispness[1] >= table.needed;
      let reason = "";
      if (warm && cold) reason = "cold";
      else if (state.loss[1] > table.allowedLoss) reason = "loss";
      else if (crisp && state.crispness[1] < table.needed) reason = "crust";
      else if (collagen[collagen.length === 1 ? 0 : 1] > table.overSoft) reason = "soft";
      if (reason) return [quarter / 4 - 0.25, reason, !crisp];
      warm = warm || !cold;
    }
    return [most, "card", !crisp];
  }

  /** @param {Table} table @param {Wish} wish @param {any[]} windows @returns {number} */
  function targetHumidity(table, wish, windows) {
    if (wish.humidity !== null) return wish.humidity;
    if (table.card.humidity !== null) return table.card.humidity;
    const middle = windows.find((/** @type {any} */ window) => window.wrap === wish.wrap).target;
    return Math.min(Math.max(middle, 0.02), 0.95);
  }

  /** An unheated box with its bottles. @param {Table} table @param {Holder} holder @param {Wish} wish */
  function boxed(table, holder, wish) {
    const grid = table.box[holder.id];
    const [litres, water] = [wish.litres ?? grid.usual[0], wish.water ?? grid.usual[1]];
    const above = (/** @type {number} */ filled) => {
      const [low, high, part] = bracket(grid.litres, filled);
      return mix(interp(water, grid.water, grid.hours[low]), interp(water, grid.water, grid.hours[high]), part);
    };
    const hours = above(litres);
    const longest = Math.min(hours, table.hours[table.hours.length - 1]);
    return { possible: hours >= wish.hours, why: "box", box: hours, perLitre: above(litres + 1) - hours, longest, endedBy: "cold",
      litres, bottleTemp: water, windows: [] };
  }

  /** @param {Table} table @param {Holder} holder @param {Wish} wish */
  function advise(table, holder, wish) {
    if (table.pieceLow > holder.load) return { possible: false, why: "load", windows: [] };
    if (!holder.heated) return boxed(table, holder, wish);
    const windows = table.wraps.map((/** @type {any} */ { id }) => windowOf(table, id, wish.air, wish.hours));
    const target = targetHumidity(table, wish, windows);
    const free = wish.spray !== null || !["pan", "vapour temperature", "per cent"].includes(holder.control);
    const byHand = wish.humidity !== null && holder.control === "per cent";
    const settled =
      free || byHand
        ? {
            humidity: balanceWithMeat(holder, table, wish, byHand ? target : null),
            reached: true,
            setHumidity: byHand ? target : NaN,
          }
        : setAir(holder, table, wish, target);
    const { humidity } = settled;
    const [least, most] = reach(holder, wish.air, meatLoad(table, wish.wrap, wish.air, humidity, wish.hours));
    const swings = wish.spray ? swing(holder, table, wish, humidity) : null;
    const piece = pieceAt(table, wish.wrap, wish.air, humidity, wish.hours);
    const [longest, endedBy, staysSoft] = longestHold(table, wish.wrap, wish.air, humidity);
    return {
      possible: true,
      windows,
      target,
      swings,
      least,
      most,
      dewPoint: saturationTemperature(humidity * saturationPressure(wish.air)),
      ...settled,
      ...piece,
      belowAir: wish.air - piece.coldest_c[1],
      longest,
      endedBy,
      staysSoft,
    };
  }

  return { pieceAt, advise };
})();
