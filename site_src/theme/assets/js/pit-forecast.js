// From the log of a cook to its forecast, and the forecast in the cook's words. Knows no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitForecast = (() => {
  const { forecast } = Slowfolio.update;
  const { iso, about, clock, span, temperature, element, MINUTE } = Slowfolio.pitWords;
  const { wantedWords, weightWords, outsideWords } = Slowfolio.pitRemedies;
  const PLACE_WORDS = /** @type {Record<string, string>} */ ({ thick: "in the thick end", thin: "in the thin end", pit: "of the pit air" });
  const WORTH = 0.08, EARLIER = 0.04;

  /** What the log says, in seconds from the start, in the terms of update.js. @param {any} log @param {any} ensemble */
  function known(log, ensemble) {
    const start = Date.parse(log.started_at);
    const since = (/** @type {string} */ at) => Math.max(0, (Date.parse(at) - start) / 1000);
    const readings = log.readings
      .filter((/** @type {any} */ { place }) => place in PLACE_WORDS)
      .map((/** @type {any} */ { at, place, temp_c, thermometer_sd_k }) => ({ at_s: since(at), place, temp_c, sd_k: thermometer_sd_k ?? null }));
    const marks = log.stages
      .slice(0, ensemble.stages.length)
      .map((/** @type {any} */ { ended_at, ended }, /** @type {number} */ stage) =>
        ({ at_s: ended_at ? since(ended_at) : NaN, kind: "stage ended", stage, as_asked: ended === "as asked" }))
      .filter((/** @type {any} */ { at_s }) => !Number.isNaN(at_s));
    const events = log.events.map((/** @type {any} */ { at, kind, temp_c }) => ({ at_s: since(at), kind, temp_c: temp_c ?? 0 }));
    return { readings, events: [...marks, ...events] };
  }

  /** @param {any} log @param {any} ensemble @param {number} now ms */
  function forecastOf(log, ensemble, now) {
    const { readings, events } = known(log, ensemble);
    const until = log.finished_at ? Math.min(now, Date.parse(log.finished_at)) : now;
    const now_s = Math.max(0, (until - Date.parse(log.started_at)) / 1000);
    return { ...forecast(ensemble, readings, events, now_s), events };
  }

  /** The window as the log keeps it. @param {any} found @param {number} start ms @param {number} now ms */
  function record(found, start, now) {
    const at = (/** @type {number} */ share) => iso(start + 1000 * found.pull.percentile(share));
    return {
      at: iso(now), readings: found.readings,
      off_pit_at_p10: at(0.1), off_pit_at_p50: at(0.5), off_pit_at_p90: at(0.9),
      outside: found.outside.length > 0,
    };
  }

  /** The reading to take next: the best, or one that is nearly as good and sooner. @param {any[]} helps */
  function nextReading(helps) {
    const best = helps[0];
    if (!best || best.narrower < WORTH) return null;
    const near = helps.filter(({ narrower }) => narrower > best.narrower - EARLIER);
    return near.sort((a, b) => a.in_s - b.in_s || b.narrower - a.narrower)[0];
  }

  /** @param {any} found @returns {string} */
  function helpWords(found) {
    const help = nextReading(found.helps);
    if (!help) return "No single reading would narrow this much now.";
    const when = help.in_s ? `in ${span(help.in_s * 1000)}` : "now";
    return `What would help most: a reading ${PLACE_WORDS[help.place]} ${when}. It would narrow the window by about ${Math.round(help.narrower * 20) * 5} %.`;
  }

  /** When a share of the cooks like this one end a stage, ms. A stage under way lasts no longer than its card allows.
   * @param {any} window @param {number} share @param {any} log @param {any} data @returns {number} */
  function endOf(window, share, log, data) {
    const kept = log.stages[window.stage], most = data.stages[window.stage].at_most_s;
    const at = Date.parse(log.started_at) + 1000 * window.percentile(share);
    if (!kept.started_at || kept.ended_at || most === null) return at;
    return Math.min(at, Math.max(Date.parse(kept.started_at) + 1000 * most, Date.now()));
  }

  /** The finish in one line. @param {any} found @param {any} cook @param {any} data @returns {string} */
  function shortWords(found, { log }, data) {
    const off = log.stages[data.pull]?.ended_at;
    if (off) return `Off the pit since ${clock(Date.parse(off))}.`;
    if (!found?.pull || log.finished_at) return "";
    return `Off the pit ${about(endOf(found.pull, 0.1, log, data))} to ${about(endOf(found.pull, 0.9, log, data))}.`;
  }

  /** The words of the finish. @param {any} found @param {any} cook @param {any} data
   * @param {(list: string, entry: any) => void} drop @returns {Node[]} */
  function finishWords(found, cook, data, drop) {
    const { log, page } = cook;
    const start = Date.parse(log.started_at), at = (/** @type {any} */ window, /** @type {number} */ share) => endOf(window, share, log, data);
    const rested = found.windows.find((/** @type {any} */ { stage }) => stage > data.pull && data.stages[stage]?.kind === "vent");
    /** @type {Node[]} */
    const said = [];
    if (found.pull) {
      said.push(
        element("p", "pit__window", `${about(at(found.pull, 0.1))} to ${about(at(found.pull, 0.9))}`),
        element("p", "", `Most likely about ${about(at(found.pull, 0.5))}, in ${span(at(found.pull, 0.5) - start - 1000 * found.now_s)}.`),
      );
    } else {
      const off = log.stages[data.pull]?.ended_at;
      said.push(element("p", "pit__window", off ? `Off at ${clock(Date.parse(off))}` : "Off the pit"));
    }
    if (rested) said.push(element("p", "", `Rested about ${about(at(rested, 0.1))} to ${about(at(rested, 0.9))}.`));
    if (found.pull) said.push(...weightWords(cook, data));
    if (page.by && (rested || found.pull)) said.push(...wantedWords(found, cook, data, rested ?? found.pull, Boolean(rested)));
    if (found.pull && heatIsOut(log)) said.push(element("p", "pit__wrong", "The heat is out: these times hold if it comes back now."));
    if (found.outside.length) said.push(outsideWords(found, log, PLACE_WORDS[found.outside.at(-1).place], drop));
    if (found.pull) said.push(element("p", "", sureWords(found, at)), element("p", "", helpWords(found)));
    return said;
  }

  /** Whether the heat was reported lost and not yet back. @param {any} log @returns {boolean} */
  const heatIsOut = (log) => log.events.filter((/** @type {any} */ { kind }) => kind !== "pit elsewhere").at(-1)?.kind === "heat lost";

  /** @param {any} found @param {(window: any, share: number) => number} at @returns {string} */
  function sureWords(found, at) {
    const width = span(Math.max(at(found.pull, 0.9) - at(found.pull, 0.1), MINUTE));
    const basis = found.readings
      ? `From ${found.readings} ${found.readings === 1 ? "reading" : "readings"}; of ${found.clock.ensemble.count} simulated cooks ${Math.max(1, Math.round(found.effective))} are like this one.`
      : "No reading yet: this is the forecast of the card.";
    return `How sure: 8 cooks in 10 like this end within this window of ${width}. ${basis}`;
  }

  /** The come-up rule on this cook. @param {any} found @param {any} data @returns {Node[]} */
  function ruleWords(found, data) {
    const checks = Slowfolio.recheck.comeUpChecks(found.clock, found.events, found.weight, data.come_up);
    return checks.map((/** @type {any} */ { place, p50_s, p90_s, limit_s, shareMet }) => {
      const range = `${temperature(data.come_up.low_c)} to ${temperature(data.come_up.high_c)}`;
      const met = shareMet >= 0.9 ? "met" : "not met";
      const read = place === "surface" ? `${met}: ` : `${met} at the core, which does not decide where the piece is whole: `;
      return element("p", shareMet >= 0.9 ? "" : "pit__wrong",
        `Come-up of the ${place}, ${range} within ${span(limit_s * 1000)}: ${read}` +
        `${span(p50_s * 1000)}, 1 cook in 10 over ${span(p90_s * 1000)} (${data.come_up[place]}).`);
    });
  }

  return { forecastOf, record, endOf, heatIsOut, shortWords, finishWords, ruleWords, known, nextReading };
})();
