// What to do at the pit when the forecast and the time the piece is wanted do not meet: the remedies of the plan that
// can still be begun, each with what it brings. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitRemedies = (() => {
  const { about, clock, span, temperature, kilograms, inUs, element, MINUTE } = Slowfolio.pitWords;
  const SURE = 0.8, WORTH_S = 300;

  /** @param {any} remedy @param {string} verb */
  function line({ do: what, gain_s, provenance }, verb) {
    const minutes = (/** @type {number} */ s) => span(1000 * Math.max(0, s));
    const [low, middle, high] = gain_s ?? [];
    const brings = gain_s ? ` ${verb} ${minutes(middle)} (${minutes(low)} to ${minutes(high)}), less the later it is begun.` : "";
    return element("li", "", `${what}${brings} (${provenance})`);
  }

  /** Those of one kind that can still be begun and are worth it. @param {any} data @param {number} stage @param {string} when */
  const open = (data, stage, when) => data.remedies.filter((/** @type {any} */ one) =>
    one.when === when && stage <= one.last_stage && (!one.gain_s || one.gain_s[1] >= WORTH_S));

  /** @param {any} data @param {number} stage @param {string} when @param {string} verb @param {string} last */
  function list(data, stage, when, verb, last) {
    const rows = open(data, stage, when).map((/** @type {any} */ one) => line(one, verb));
    return element("ul", "pit__remedies", ...rows, line({ do: last, gain_s: null, provenance: "practice" }, verb));
  }

  /** What is to be said of the time the piece is wanted by. @param {any} found @param {any} cook @param {any} data
   * @param {any} window of being rested, or of leaving the pit @param {boolean} rests @returns {Node[]} */
  function wantedWords(found, { log, page }, data, window, rests) {
    const start = Date.parse(log.started_at), now = start + 1000 * found.now_s, stage = found.clock.stageNow;
    if (page.by <= now) return [element("p", "pit__wrong", `${clock(page.by)} has passed. Write a new time it is wanted by.`), lateList(data, stage)];
    const chance = window.chanceBy((page.by - start) / 1000);
    const said = [element("p", "", `Chance to be ${rests ? "rested" : "off the pit"} by ${clock(page.by)}: ${Math.min(Math.max(Math.round(100 * chance), 1), 99)} %.`)];
    if (chance < SURE) said.push(element("p", "pit__label", "It runs late"), lateList(data, stage));
    const hold = data.stages.find((/** @type {any} */ { kind }) => kind === "hold");
    const early = start + 1000 * window.percentile(0.1), held = page.by - early;
    const most = hold ? 1000 * (hold.at_most_s ?? hold.time_s) : 0;
    if (held > most + 30 * MINUTE) {
      const limit = hold ? `the card allows a hold of ${span(most)}` : "the card has no hold";
      said.push(element("p", "pit__label", "It runs early"),
        element("p", "", `It may be ready at ${about(early)} and would wait ${span(held)}; ${limit}.`),
        list(data, stage, "early", "Puts it off by", "Past the longest hold: slice it into a covered pan with its juice, above the hot-hold floor, or chill it fast and reheat."));
    }
    return said;
  }

  /** @param {any} data @param {number} stage */
  const lateList = (data, stage) =>
    list(data, stage, "late", "Saves", "Later still: slice what is done first (thin end, or the smaller piece), serve it from a covered pan with its juice, and send the rest after.");

  /** Where the piece is not of the weight the figures are for. @param {any} cook @param {any} data @returns {Node[]} */
  function weightWords({ log }, { weight_kg: [low, high] }) {
    const kg = log.weight_kg;
    if (kg === null || (kg >= 0.97 * low && kg <= 1.03 * high)) return [];
    const unit = kilograms(1), shown = (/** @type {number} */ value) => `${Math.round((10 * value) / unit) / 10} ${inUs() ? "lb" : "kg"}`;
    const size = kg > high ? "heavier, so expect it later" : "lighter, so expect it sooner";
    return [element("p", "", `These figures are for a piece of ${shown(low)} to ${shown(high)}. This one, at ${shown(kg)}, is ${size} until a reading in the thick end tells.`)];
  }

  /** The reading that lies outside, and a way to strike it out. @param {any} found @param {any} log @param {string} where
   * @param {(list: string, entry: any) => void} drop @returns {Node} */
  function outsideWords(found, log, where, drop) {
    const start = Date.parse(log.started_at), worst = found.outside[found.outside.length - 1];
    const text = `${temperature(worst.temp_c)} ${where} at ${clock(start + 1000 * worst.at_s)} lies outside all ` +
      `${found.clock.ensemble.count} simulated cooks. The window is widened and may still be wrong. Check the probe and its place, then read again. If it was a slip, strike it out.`;
    const same = (/** @type {any} */ entry) => entry.place === worst.place && entry.temp_c === worst.temp_c && Math.abs(Date.parse(entry.at) - start - 1000 * worst.at_s) < 1000;
    const strike = Slowfolio.pitWords.button("Strike that reading out", () => drop("readings", log.readings.find(same)));
    return element("div", "pit__wrong", element("p", "", text), strike);
  }

  return { wantedWords, weightWords, outsideWords };
})();
