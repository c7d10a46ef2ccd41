// The Plan page reads a method's simulated cooks: the same sums as forecast/planning/{basis,times,start}.py,
// under the same names. Seconds from on, or from the serving time. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planTimes = (() => {
  /** @typedef {{weight: number, stretch: number[], cooked: number}} AtWeight */
  /** @typedef {{act: string, name: string, do: string, pit: string, pitTemp: number, when: string, ends: number[]}} Stage */
  /** @typedef {{stages: Stage[], windows: number[][], ready: number[], vent: Stage | null, onPit: Stage[]}} Times */
  /** @typedef {{holder: string, title: string, wanted: number, atMost: number, do: string, rules: number[] | null,
   *   tooCool: string, rule: string, rulesP10: number, longest: number}} Hold */

  const GRID_S = 300;
  const HAIR_S = 1e-3;
  const gridDown = (/** @type {number} */ s) => GRID_S * Math.floor((s + 1e-6) / GRID_S);
  const gridUp = (/** @type {number} */ s) => 0 - gridDown(-s);
  const onGrid = (/** @type {number} */ s) => gridDown(s + GRID_S / 2);

  /** Linear between the two nearest ranks. @param {number[]} values @param {number} percent */
  function percentile(values, percent) {
    const sorted = [...values].sort((a, b) => a - b);
    const place = ((sorted.length - 1) * percent) / 100;
    const low = Math.floor(place);
    const high = Math.min(low + 1, sorted.length - 1);
    return sorted[low] + (sorted[high] - sorted[low]) * (place - low);
  }

  /** The smallest value that at least `share` of them do not exceed. @param {number[]} values @param {number} share */
  function atShare(values, share) {
    const rank = Math.ceil(share * values.length - 1e-9);
    return [...values].sort((a, b) => a - b)[Math.min(Math.max(rank, 1), values.length) - 1];
  }

  /** @param {boolean[]} held */
  const shareOf = (held) => held.filter(Boolean).length / held.length;

  /** The factors of a piece's weight; null is the piece of the card. @param {any} record @param {number | null} weight @returns {AtWeight} */
  function atWeight(record, weight) {
    if (weight === null || !record.light) {
      return { weight: record.piece, stretch: record.ends.map(() => 1), cooked: 1 };
    }
    const { light, heavy } = record;
    const part = Math.log(weight / light.weight) / Math.log(heavy.weight / light.weight);
    const mixed = (/** @type {number} */ low, /** @type {number} */ high) =>
      Math.exp((1 - part) * Math.log(low) + part * Math.log(high));
    return {
      weight,
      stretch: light.stretch.map((/** @type {number} */ low, /** @type {number} */ i) => mixed(low, heavy.stretch[i])),
      cooked: mixed(light.cooked, heavy.cooked),
    };
  }

  /** @param {any} record @param {AtWeight} at @returns {Times} */
  function timesOf(record, at) {
    /** @type {Stage[]} */
    const stages = [];
    record.stages.forEach((/** @type {any} */ stage, /** @type {number} */ i) => {
      const before = i ? stages[i - 1].ends : null;
      const ends = record.ends[i].map((/** @type {number} */ end, /** @type {number} */ m) =>
        (before ? before[m] : 0) + (end - (i ? record.ends[i - 1][m] : 0)) * at.stretch[i]);
      stages.push({ ...stage, ends });
    });
    const begins = [stages[0].ends.map(() => 0), ...stages.map(({ ends }) => ends)];
    const last = stages[stages.length - 1];
    const vent = last.act === "vent" ? last : null;
    return {
      stages,
      windows: begins.map((row) => [10, 50, 90].map((percent) => percentile(row, percent))),
      ready: last.ends,
      vent,
      onPit: vent ? stages.slice(0, -1) : stages,
    };
  }

  /** @param {Times} times */
  const readyWindow = (times) => times.windows[times.windows.length - 1];

  /** What the hold offers so many pieces. @param {any} record @param {number} pieces @returns {Hold} */
  function holdOf(record, pieces) {
    const { hold } = record;
    if (!hold) {
      return { holder: "", title: "", wanted: 0, atMost: 0, do: "", rules: null, tooCool: "", rule: "", rulesP10: Infinity, longest: 0 };
    }
    const kept = record.rules[Math.min(pieces, record.rules.length) - 1];
    const rules = kept.map((/** @type {number} */ s) => (s < 0 ? Infinity : s));
    const rulesP10 = atShare(rules, 0.1);
    return { ...hold, rules, rulesP10, longest: Math.max(0, Math.min(hold.atMost, rulesP10)) };
  }

  // --- the start ------------------------------------------------------------------------------------

  /** @param {Times} times @param {number} start @param {number} by */
  const readyChance = (times, start, by) => shareOf(times.ready.map((ready) => start + ready <= by + HAIR_S));

  /** @param {Times} times @param {number} start @param {number} by */
  const earlyHold = (times, start, by) => Math.max(0, by - start - readyWindow(times)[0]);

  /** The start that gives the median piece the hold its card wants, within both limits.
   * @param {Times} times @param {Hold} hold @param {number} by @param {number} confidence @param {number} notBefore */
  function chooseStart(times, hold, by, confidence, notBefore) {
    const latest = gridDown(by - atShare(times.ready, confidence));
    const earliest = gridUp(by - hold.longest - readyWindow(times)[0]);
    const wanted = Math.min(hold.wanted, hold.longest);
    const preferred = onGrid(by - wanted - readyWindow(times)[1]);
    const soonest = Number.isFinite(notBefore) ? gridUp(notBefore) : notBefore;
    const made = (/** @type {number} */ start, /** @type {string} */ fit, /** @type {any} */ instead = null) =>
      ({ start, earliest, latest, preferred, fit, chance: readyChance(times, start, by), instead });
    if (soonest > latest) return made(soonest, "late");
    if (earliest <= latest) return made(Math.min(Math.max(preferred, earliest, soonest), latest), "both");
    const other = { start: earliest, chance: readyChance(times, earliest, by), earlyHold: earlyHold(times, earliest, by) };
    return made(latest, "trade", other);
  }

  return { GRID_S, HAIR_S, gridDown, gridUp, onGrid, percentile, atShare, shareOf, atWeight, timesOf, readyWindow,
    holdOf, readyChance, earlyHold, chooseStart };
})();
