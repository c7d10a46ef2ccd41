// Readings and targets met against what every carried member says of them, as in forecast/evidence.py; its
// constants and reasons are there. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.evidence = (() => {
  const { COASTING_S, coldStretches, inOrder, marksOf, memberPit } = Slowfolio.retiming;
  const HOUR_S = 3600;
  const THERMOMETER_SD_K = 1;
  const MODEL_SD_K = /** @type {Record<string, number>} */ ({ thick: 1.2, thin: 2 });
  const SHARED_BETWEEN_PLACES = 0.5, MEMORY_S = 2 * HOUR_S;
  const START_SD_K = 2, START_MEMORY_S = 2 * HOUR_S;
  const PIT_SD_K = 4, PIT_PLACE_SD_K = 3, PIT_SETTLING_S = 900;
  const MARK_SD_S = 1200;

  /** @typedef {{at_s: number, place: string, temp_c: number, sd_k?: number | null}} Reading */
  /** @typedef {any} Clock as in retiming.js */
  /** @typedef {any} Event as in retiming.js */
  /** @typedef {{predicted: Float64Array[], observed: number[], noise: number[][]}} Evidence */

  /** The readings that say something of the cook. @param {Reading[]} readings @param {Event[]} events
   * @param {number} now @param {number} pull @returns {Reading[]} */
  function counting(readings, events, now, pull) {
    const left = marksOf(events).filter((/** @type {Event} */ { stage }) => stage >= pull);
    const cold = coldStretches(inOrder(events));
    const tells = (/** @type {Reading} */ { place, at_s }) =>
      place !== "pit" ||
      (!cold.some((/** @type {[number, number]} */ [from, to]) => from - COASTING_S <= at_s && at_s < to) &&
        !left.some((/** @type {Event} */ mark) => at_s > mark.at_s));
    return readings.filter((reading) => reading.at_s <= now && tells(reading));
  }

  /** @param {any} ensemble @param {string} place @param {Float64Array} times @returns {Float64Array} */
  function courseAt(ensemble, place, times) {
    const course = ensemble.courses[place], points = ensemble.times;
    return times.map((time, member) => {
      const position = Math.min(Math.max(time / ensemble.grid_s, 0), points - 1);
      const before = Math.min(Math.floor(position), points - 2);
      const low = course[member * points + before];
      return low + (position - before) * (course[member * points + before + 1] - low);
    });
  }

  /** @param {Float64Array} row @returns {number} */
  function median(row) {
    const sorted = [...row].sort((a, b) => a - b), half = sorted.length / 2;
    return sorted.length % 2 ? sorted[Math.floor(half)] : 0.5 * (sorted[half - 1] + sorted[half]);
  }

  /** @param {Event[]} events @param {number} at @param {any} ensemble @returns {number} */
  function stageAt(events, at, ensemble) {
    const marks = marksOf(events);
    const numbers = (/** @type {Event[]} */ some) => some.map(({ stage }) => stage);
    const marked = numbers(marks.filter((/** @type {Event} */ { at_s }) => at_s <= at));
    const later = numbers(marks.filter((/** @type {Event} */ { at_s }) => at_s > at));
    if (later.length) return Math.min(...later);
    const ended = marked.length ? 0 : ensemble.ends_s.filter((/** @type {Float64Array} */ row) => median(row) <= at).length;
    return Math.min(Math.max(ended, 1 + Math.max(-1, ...marked)), ensemble.pull);
  }

  /** @param {Clock} clock @param {Reading} reading @param {Event[]} events @returns {Float64Array} */
  function predictedReading(clock, reading, events) {
    const { ensemble, spans } = clock;
    if (reading.place !== "pit") return courseAt(ensemble, reading.place, clock.memberTime(reading.at_s));
    const known = spans.find((/** @type {any} */ span) => span.start_s <= reading.at_s && reading.at_s <= span.end_s)?.pit_c ?? null;
    if (known !== null) return new Float64Array(ensemble.count).fill(known);
    return memberPit(ensemble, stageAt(events, reading.at_s, ensemble));
  }

  /** Covariance of the model's error between two readings. @param {Reading} one @param {Reading} other */
  function sharedError(one, other) {
    if (one.place === "pit" || other.place === "pit") return one.place === other.place ? PIT_PLACE_SD_K ** 2 : 0;
    const close = Math.exp(-Math.abs(one.at_s - other.at_s) / MEMORY_S);
    const shared = one.place === other.place ? 1 : SHARED_BETWEEN_PLACES;
    return shared * close * MODEL_SD_K[one.place] * MODEL_SD_K[other.place];
  }

  /** Variance of one reading alone. @param {Clock} clock @param {Reading} reading @param {Event[]} events */
  function ownError(clock, reading, events) {
    const thermometer = (reading.sd_k ?? THERMOMETER_SD_K) ** 2;
    if (reading.place !== "pit") return thermometer + (START_SD_K * Math.exp(-reading.at_s / START_MEMORY_S)) ** 2;
    const { stages } = clock.ensemble;
    const begun = inOrder(marksOf(events)).filter((/** @type {Event} */ { at_s }) => at_s <= reading.at_s);
    let unsettled = 0;
    if (begun.length) {
      const latest = begun[begun.length - 1].at_s;
      const last = begun.find((/** @type {Event} */ { at_s }) => at_s === latest);
      const step = stages[Math.min(last.stage + 1, stages.length - 1)].pit_temp_c - stages[last.stage].pit_temp_c;
      unsettled = step * Math.exp(-(reading.at_s - last.at_s) / PIT_SETTLING_S);
    }
    return thermometer + PIT_SD_K ** 2 + unsettled ** 2;
  }

  /** @param {Clock} clock @param {Reading[]} readings @param {Event[]} events @returns {Evidence} */
  function evidenceOf(clock, readings, events) {
    const { ensemble, now_s } = clock;
    const marks = marksOf(events).filter(
      (/** @type {Event} */ mark) => mark.as_asked && mark.at_s <= now_s && ensemble.stages[mark.stage].ended_by !== "time",
    );
    const predicted = [
      ...readings.map((reading) => predictedReading(clock, reading, events)),
      ...marks.map((/** @type {Event} */ mark) => {
        const ends = ensemble.ends_s[mark.stage];
        return clock.memberTime(mark.at_s).map((/** @type {number} */ time, /** @type {number} */ i) => time - ends[i]);
      }),
    ];
    const noise = predicted.map((_, i) =>
      predicted.map((_row, j) => {
        if (i >= readings.length || j >= readings.length) return i === j ? MARK_SD_S ** 2 : 0;
        return sharedError(readings[i], readings[j]) + (i === j ? ownError(clock, readings[i], events) : 0);
      }),
    );
    return { predicted, observed: [...readings.map(({ temp_c }) => temp_c), ...marks.map(() => 0)], noise };
  }

  return { THERMOMETER_SD_K, PIT_SD_K, PIT_PLACE_SD_K, MARK_SD_S, counting, courseAt, evidenceOf, sharedError, ownError };
})();
