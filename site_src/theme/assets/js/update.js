// Moving a carried ensemble by what a cook reads and reports, as in forecast/update.py, with the same names; its
// constants and reasons are there. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.update = (() => {
  const { clockOf } = Slowfolio.retiming;
  const { MARK_SD_S, counting, evidenceOf } = Slowfolio.evidence;
  const { dot, normalised, interp, cholesky, forward, solve, erfc } = Slowfolio.algebra;
  const { helpsOf } = Slowfolio.helps;
  const HOUR_S = 3600;
  const WIDE_SHARE = 0.15, TAIL = 6, FEWEST_EFFECTIVE = 48, SHIFT_LEFT = 0.999;
  const SETTLED_SD_S = 300, PER_HOUR_LEFT_SD_S = 50, RETIMED_SHARE = 0.35, LEAST_LEFT_S = 300, LEAST_VARIANCE = 1e-8;
  const OUTSIDE_SD = 3, WIDER = 1.5;

  /** @typedef {any} Ensemble as in carried.js */
  /** @typedef {any} Clock as in retiming.js */
  /** @typedef {any} Reading as in evidence.js */
  /** @typedef {any} Evidence as in evidence.js */
  /** @typedef {{stage: number, times_s: Float64Array, weight: Float64Array, percentile: (share: number) => number,
   *   chanceBy: (at: number) => number}} Window */

  /** @param {ArrayLike<number>} weight @returns {number} */
  const effectiveCount = (weight) => 1 / dot(weight, weight);

  /** How believable a member is that should have left the pit. @param {Clock} clock @returns {Float64Array} */
  function stillOn(clock) {
    const { ensemble } = clock;
    if (clock.stageNow > ensemble.pull) return new Float64Array(ensemble.count).fill(1);
    return clock.realTime(ensemble.pull).map(
      (/** @type {number} */ end) => 0.5 * erfc(-(end - clock.now_s) / MARK_SD_S / Math.SQRT2) + 1e-9,
    );
  }

  /** @param {Evidence} evidence @param {number} count @returns {Float64Array} */
  function logLikelihood(evidence, count) {
    const lower = cholesky(evidence.noise), size = evidence.observed.length;
    const logs = new Float64Array(count), residual = new Float64Array(size);
    for (let member = 0; member < count; member += 1) {
      for (let i = 0; i < size; i += 1) residual[i] = evidence.observed[i] - evidence.predicted[i][member];
      const white = forward(lower, residual);
      logs[member] = -0.5 * (TAIL + size) * Math.log1p(dot(white, white) / TAIL);
    }
    return logs;
  }

  /** @param {Evidence} evidence @param {Float64Array} prior @returns {[Float64Array, number]} */
  function temperedWeights(evidence, prior) {
    if (!evidence.observed.length) return [prior, 1];
    const logs = logLikelihood(evidence, prior.length);
    const weighted = (/** @type {number} */ power) => {
      const values = prior.map((value, i) => Math.log(value) + power * logs[i]);
      const most = values.reduce((a, b) => Math.max(a, b), -Infinity);
      return normalised(values.map((value) => Math.exp(value - most)));
    };
    const fewest = Math.min(FEWEST_EFFECTIVE, 0.5 * effectiveCount(prior));
    const whole = weighted(1);
    if (effectiveCount(whole) >= fewest) return [whole, 1];
    let low = 0, high = 1;
    for (let turn = 0; turn < 30; turn += 1) {
      const middle = 0.5 * (low + high);
      if (effectiveCount(weighted(middle)) >= fewest) low = middle;
      else high = middle;
    }
    return [weighted(low), low];
  }

  /** @param {Evidence} evidence @param {Reading[]} seen @returns {Reading[]} Those beyond the last member. */
  function outsideOf(evidence, seen) {
    return seen.filter((_, index) => {
      const slack = OUTSIDE_SD * Math.sqrt(evidence.noise[index][index]);
      const row = evidence.predicted[index], value = evidence.observed[index];
      return value < row.reduce((a, b) => Math.min(a, b)) - slack || value > row.reduce((a, b) => Math.max(a, b)) + slack;
    });
  }

  /** @param {Evidence} evidence @param {Float64Array} weight @param {Float64Array} left @param {number} share
   * @returns {[number[], number[], number[]]} Gain, covariance with the time left, and what the members say. */
  function kalman(evidence, weight, left, share) {
    const means = evidence.predicted.map((row) => dot(weight, row)), middle = dot(weight, left);
    const away = evidence.predicted.map((row, i) => row.map((value) => value - means[i]));
    const along = away.map((row) => row.reduce((sum, value, m) => sum + weight[m] * value * (left[m] - middle), 0));
    const scaled = away.map((row) => row.map((value, m) => value * weight[m]));
    const common = away.map((row, i) => scaled.map((other, j) => dot(row, other) + evidence.noise[i][j] / (1 - share)));
    return [solve(common, along), along, means];
  }

  /** @param {Clock} clock @param {number} stage @returns {boolean} */
  const timedEnd = (clock, stage) => stage === clock.stageNow && clock.ensemble.stages[stage].ended_by === "time";

  /** @param {number} stage @param {Float64Array} times @param {Float64Array} weight @returns {Window} */
  function windowFrom(stage, times, weight) {
    const order = Array.from(times.keys()).sort((a, b) => times[a] - times[b] || a - b);
    const sorted = Float64Array.from(order, (i) => times[i]), share = Float64Array.from(order, (i) => weight[i]);
    let sum = 0;
    const middles = share.map((value) => (sum += value) - 0.5 * value);
    return {
      stage, times_s: sorted, weight: share,
      percentile: (wanted) => interp(wanted, middles, sorted),
      chanceBy: (at) => (at < sorted[0] ? 0 : at > sorted[sorted.length - 1] ? 1 : interp(at, sorted, middles)),
    };
  }

  /** @param {Clock} clock @param {number} stage @param {Evidence} evidence
   * @param {{prior: Float64Array, weight: Float64Array, share: number, outside: boolean}} known @returns {Window} */
  function windowOf(clock, stage, evidence, { prior, weight, share, outside }) {
    const ends = clock.realTime(stage);
    const left = ends.map((/** @type {number} */ end) => Math.log(Math.max(end - clock.now_s, LEAST_LEFT_S)));
    const variance = (/** @type {Float64Array} */ of, /** @type {Float64Array} */ row, /** @type {number} */ mean) =>
      row.reduce((sum, value, i) => sum + of[i] * (value - mean) ** 2, 0);
    const middle = dot(weight, left), spreadLeft = variance(weight, left, middle);
    const uncertain = spreadLeft > LEAST_VARIANCE && !timedEnd(clock, stage);
    let moved = middle, kept = spreadLeft;
    if (share < SHIFT_LEFT && uncertain) {
      const [gain, along, means] = kalman(evidence, weight, left, share);
      moved = middle + gain.reduce((sum, value, i) => sum + value * (evidence.observed[i] - means[i]), 0);
      kept = Math.max(spreadLeft - dot(gain, along), 0.02 * spreadLeft);
    }
    const scale = uncertain ? Math.sqrt(kept / spreadLeft) : 1;
    let times = left.map((/** @type {number} */ value) => clock.now_s + Math.exp(moved + scale * (value - middle)));
    const centre = dot(weight, times), spread = variance(weight, times, centre);
    const hoursLeft = Math.max(0, centre - clock.now_s) / HOUR_S;
    const shifted = dot(weight, ends) - dot(weight, clock.ensemble.ends_s[stage]);
    const own = SETTLED_SD_S ** 2 + (PER_HOUR_LEFT_SD_S * hoursLeft) ** 2 + (RETIMED_SHARE * shifted) ** 2;
    let wider = uncertain ? Math.sqrt((spread + own) / spread) : 1;
    if (outside && uncertain) {
      const before = variance(prior, ends, dot(prior, ends));
      wider = Math.max(wider, WIDER * Math.sqrt(Math.max(before, spread) / spread));
    }
    times = times.map((/** @type {number} */ value) => Math.max(centre + wider * (value - centre), clock.now_s));
    return windowFrom(stage, times, weight);
  }

  /** When what is left of a cook will be over, from all that was read and reported up to now.
   * @param {Ensemble} ensemble @param {Reading[]} readings @param {any[]} events @param {number} now_s */
  function forecast(ensemble, readings, events, now_s) {
    const clock = clockOf(ensemble, events, now_s);
    const seen = counting(readings, events, now_s, ensemble.pull);
    const evidence = evidenceOf(clock, seen, events);
    const still = stillOn(clock);
    const base = evidence.observed.length
      ? ensemble.weight.map((/** @type {number} */ value) => WIDE_SHARE / ensemble.count + (1 - WIDE_SHARE) * value)
      : ensemble.weight;
    const prior = normalised(base.map((/** @type {number} */ value, /** @type {number} */ i) => value * still[i]));
    const [weight, share] = temperedWeights(evidence, prior);
    const outside = outsideOf(evidence, seen);
    const windows = [];
    for (let stage = clock.stageNow; stage < ensemble.stages.length; stage += 1) {
      windows.push(windowOf(clock, stage, evidence, { prior, weight, share, outside: outside.length > 0 }));
    }
    const pull = windows.find(({ stage }) => stage === ensemble.pull) ?? null;
    return {
      now_s, clock, weight, windows, pull, outside,
      readings: seen.length,
      effective: effectiveCount(weight),
      carriedByWeight: share,
      helps: pull ? helpsOf(clock, weight) : [],
    };
  }

  return { forecast };
})();
