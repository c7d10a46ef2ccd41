// A real cook's clock against that of each carried member, as in forecast/retiming.py; its constants and reasons
// are there. Times in seconds from the moment the piece went on. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.retiming = (() => {
  const COASTING_S = 1200, LOST_GROUND = 0.15, SLOWEST = 0.2, FASTEST = 4;

  /** @typedef {any} Ensemble as in carried.js */
  /** @typedef {{at_s: number, kind: string, stage?: number, as_asked?: boolean, temp_c?: number}} Event
   *  Kinds are those of the cook's log: "stage ended", "pit elsewhere", "heat lost", "heat back". */
  /** @typedef {{start_s: number, end_s: number, stage: number, held: number | null, pit_c: number | null,
   *   heated: boolean}} Span */

  /** @param {Event[]} events @returns {Event[]} */
  const inOrder = (events) => [...events].sort((a, b) => a.at_s - b.at_s);

  /** @param {Event[]} events @returns {Event[]} */
  const marksOf = (events) => events.filter(({ kind }) => kind === "stage ended");

  /** From when the core stands still until what was lost is made up. @param {Event[]} events in order
   * @returns {[number, number][]} */
  function coldStretches(events) {
    /** @type {[number, number][]} */
    const found = [];
    let lost = NaN;
    for (const { at_s, kind } of events) {
      if (kind === "heat lost" && Number.isNaN(lost)) lost = at_s;
      if (kind === "heat back" && !Number.isNaN(lost)) {
        const stands = lost + COASTING_S;
        found.push([stands, Math.max(stands, at_s + LOST_GROUND * (at_s - lost))]);
        lost = NaN;
      }
    }
    if (!Number.isNaN(lost)) found.push([lost + COASTING_S, Infinity]);
    return found;
  }

  /** @param {Event[]} events in order @param {number} at @returns {number | null} */
  function pitAt(events, at) {
    let pit = null;
    for (const event of events) {
      if (event.at_s > at) break;
      if (event.kind === "pit elsewhere") pit = event.temp_c ?? null;
      if (event.kind === "stage ended") pit = null;
    }
    return pit;
  }

  /** @param {Event[]} events @param {number} now @returns {Span[]} */
  function spansOf(events, now) {
    const known = inOrder(events).filter(({ at_s }) => at_s <= now);
    const marks = marksOf(known);
    const cold = coldStretches(known);
    const edges = cold.flat().filter((moment) => moment < now);
    const cuts = [...new Set([0, now, ...known.map(({ at_s }) => at_s), ...edges])].sort((a, b) => a - b);
    return cuts.slice(1).map((end_s, index) => {
      const start_s = cuts[index];
      const done = marks.filter(({ at_s }) => at_s <= start_s).map(({ stage }) => stage ?? 0);
      const coming = marks.filter(({ at_s }) => at_s > start_s).map(({ stage }) => stage ?? 0);
      return {
        start_s, end_s,
        stage: 1 + Math.max(-1, ...done),
        held: coming.length ? Math.min(...coming) : null,
        pit_c: pitAt(known, start_s),
        heated: !cold.some(([from, to]) => from <= start_s && start_s < to),
      };
    });
  }

  /** The pit's mean temperature in a stage, by member. @param {Ensemble} ensemble @param {number} stage */
  function memberPit(ensemble, stage) {
    const { pit_temp_c, pit_drift_k } = ensemble.stages[stage];
    return ensemble.drawn.pit_drift.map((/** @type {number} */ z) => pit_temp_c + pit_drift_k * z);
  }

  /** By how much a kelvin at the pit speeds a cook. @param {Ensemble} ensemble @returns {number} */
  function pitGain(ensemble) {
    const { weight, pull } = ensemble;
    const pit = memberPit(ensemble, pull);
    const pace = ensemble.ends_s[pull].map((/** @type {number} */ end) => -Math.log(end));
    const mean = (/** @type {Float64Array} */ row) => row.reduce((sum, value, i) => sum + weight[i] * value, 0);
    const pitMean = mean(pit), paceMean = mean(pace);
    let spread = 0, common = 0;
    for (let i = 0; i < pit.length; i += 1) {
      spread += weight[i] * (pit[i] - pitMean) ** 2;
      common += weight[i] * (pit[i] - pitMean) * (pace[i] - paceMean);
    }
    return spread > 0 ? common / spread : 0;
  }

  /** @param {Ensemble} ensemble @param {Event[]} events @param {number} now_s */
  function clockOf(ensemble, events, now_s) {
    const { count, stages, ends_s } = ensemble;
    const gain = pitGain(ensemble);
    const pits = stages.map((/** @type {any} */ _, /** @type {number} */ stage) => memberPit(ensemble, stage));
    const spans = spansOf(events, now_s);
    const stageNow = 1 + Math.max(-1, ...marksOf(events).map(({ stage }) => stage ?? 0));
    const pitNow = spans.length ? spans[spans.length - 1].pit_c : null;

    /** @param {number} stage @param {number} real @param {number | null} pit_c @param {number} member */
    function rate(stage, real, pit_c, member) {
      let ratio = stages[real].rate / stages[stage].rate;
      if (pit_c !== null) ratio *= Math.exp(gain * (pit_c - pits[real][member]));
      return Math.min(Math.max(ratio, SLOWEST), FASTEST);
    }

    /** @param {Float64Array} from @param {Span} span @param {number} lasting @returns {Float64Array} */
    function advanced(from, span, lasting) {
      if (!span.heated) return from;
      const to = new Float64Array(count);
      for (let member = 0; member < count; member += 1) {
        let time = from[member], left = lasting;
        for (let stage = 0; stage < stages.length && left > 0; stage += 1) {
          const end = ends_s[stage][member];
          if (time >= end) continue;
          const real = span.held ?? Math.max(stage, span.stage);
          const speed = rate(stage, real, span.pit_c, member);
          const step = Math.min(left, (end - time) / speed);
          time += step * speed;
          left -= step;
        }
        to[member] = time + left;
      }
      return to;
    }

    const walked = [new Float64Array(count)];
    for (const span of spans) walked.push(advanced(walked[walked.length - 1], span, span.end_s - span.start_s));
    const last = walked[walked.length - 1];

    /** @param {number} at @returns {Float64Array} Each member's time when the real clock shows `at`. */
    function memberTime(at) {
      const index = spans.filter(({ end_s }) => end_s < at).length;
      if (index === spans.length) return last.map((value) => value + Math.max(0, at - now_s));
      return advanced(walked[index], spans[index], Math.max(0, at - spans[index].start_s));
    }

    /** When each member's stage ends on the real clock, if all goes on as the card says. @param {number} stage */
    function realTime(stage) {
      const real = new Float64Array(count);
      for (let member = 0; member < count; member += 1) {
        const goal = ends_s[stage][member];
        let time = last[member], at = now_s;
        for (let index = 0; index <= stage; index += 1) {
          const step = Math.max(Math.min(ends_s[index][member], goal) - time, 0);
          const pit = index <= stageNow ? pitNow : null;
          at += step / rate(index, Math.max(index, stageNow), pit, member);
          time += step;
        }
        real[member] = at - Math.max(last[member] - goal, 0);
      }
      return real;
    }

    return { ensemble, now_s, spans, stageNow, last, memberTime, realTime };
  }

  return { COASTING_S, clockOf, coldStretches, inOrder, marksOf, memberPit };
})();
