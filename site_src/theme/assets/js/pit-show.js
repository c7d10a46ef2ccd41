// What the At the pit page makes anew as a cook goes on: the act that comes next, the timers, the log.
// Given values and what to do, gives elements; keeps no state.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitShow = (() => {
  const { element, button, clock, span, temperature, number, celsius, MINUTE } = Slowfolio.pitWords;
  const ON_TIME = 10 * MINUTE, OVERDUE_RINGS = 15 * MINUTE;

  // --- stages -----------------------------------------------------------------------------------------

  /** The stage a cook is in: the first that has not ended. @param {any} log @returns {number} */
  const stageOf = (log) => {
    const at = log.stages.findIndex((/** @type {any} */ { ended_at }) => ended_at === null);
    return at < 0 ? log.stages.length : at;
  };

  /** What ends a stage, in words. @param {any} stage of the page's data */
  function endWords({ kind, time_s, core_c, tender_from_c }) {
    if (kind === "vent" && core_c !== null) return `when the thick end has fallen to ${temperature(core_c)}`;
    if (core_c !== null) return `when the thick end reads ${temperature(core_c)}`;
    if (time_s !== null) return `after ${span(1000 * time_s)}`;
    return tender_from_c === null ? "when a probe slides in" : `when a probe slides in, tried from ${temperature(tender_from_c)} on`;
  }

  /** When a stage by the clock is due. @param {any} stage @param {any} kept the log's own @returns {number | null} */
  const dueOf = (stage, kept) => (stage.time_s !== null && kept.started_at ? Date.parse(kept.started_at) + 1000 * stage.time_s : null);

  /** The act that ends the stage under way. @param {any} data @param {any} cook
   * @param {{end: (how: string) => void, leaveOut: () => void, takeBack: () => void}} acts @returns {Node[]} */
  function act(data, { log }, acts) {
    const index = stageOf(log), stage = data.stages[index], next = data.stages[index + 1];
    /** @type {HTMLElement[]} */
    const buttons = [];
    if (stage && !log.finished_at) {
      const then = next ? (next.kind === "cook" ? `on to ${next.name}` : next.kind === "vent" ? "off the pit, vent and rest" : "into the hold") : "serve";
      const due = dueOf(stage, log.stages[index]);
      if (due !== null) {
        buttons.push(button(`${stage.name} is over: ${then}`, () => {
          const off = Date.now() - due;
          acts.end(Math.abs(off) <= ON_TIME ? "as asked" : off < 0 ? "early" : "late");
        }, "pit-button pit-button--main"));
      } else {
        const met = stage.core_c === null ? "Probe tender" : `It reads ${temperature(stage.core_c)}`;
        buttons.push(
          button(`${met}: ${then}`, () => acts.end("as asked"), "pit-button pit-button--main"),
          button(`Before that: ${then}`, () => acts.end("early")),
          button(`Well past that: ${then}`, () => acts.end("late")),
        );
      }
      if (next) buttons.push(button(`Go on, and leave ${next.name} out`, acts.leaveOut));
    }
    if (index > 0 && !log.finished_at) buttons.push(button(`Back to ${data.stages[index - 1].name}`, acts.takeBack));
    const head = stage ? `${stage.name} ends ${endWords(stage)}` : "All steps are done";
    const title = element("h2", "", head);
    title.id = "pit-act";
    return [title, element("p", "pit__buttons", ...buttons)];
  }

  // --- timers -----------------------------------------------------------------------------------------

  /** @typedef {{key: string, text: string, due: number, own: boolean}} Timer */

  /** The timers of the stage under way and the cook's own. @param {any} data @param {any} cook @param {number} now
   * @returns {Timer[]} */
  function timers(data, { log, page }, now) {
    if (log.finished_at) return [];
    const index = stageOf(log), stage = data.stages[index], kept = log.stages[index];
    /** @type {Timer[]} */
    const found = page.timers.map((/** @type {any} */ { id, text, due }) => ({ key: id, text, due, own: true }));
    if (stage && kept?.started_at) {
      const start = Date.parse(kept.started_at);
      for (const { name, first_s, every_s } of stage.tasks) {
        const key = `${index}:${name}`;
        found.push({ key, text: name, due: nextTask(start, first_s, every_s, page.acks[key] ?? 0, now), own: false });
      }
      for (const [name, seconds] of [[`${stage.name} is over`, stage.time_s], [`${stage.name} has lasted the most it may`, stage.at_most_s]]) {
        const key = `${index}:${name}`;
        if (seconds !== null && !page.acks[key]) found.push({ key, text: String(name), due: start + 1000 * Number(seconds), own: false });
      }
    }
    return found.sort((a, b) => a.due - b.due);
  }

  /** The task that is due, the latest missed one before the next to come. @param {number} start @param {number} first
   * @param {number} every @param {number} done ms of the last one done @param {number} now */
  function nextTask(start, first, every, done, now) {
    const at = (/** @type {number} */ count) => start + 1000 * (first + count * every);
    const passed = Math.floor(((now - start) / 1000 - first) / every);
    if (passed >= 0 && at(passed) > done) return at(passed);
    return at(Math.max(0, passed + 1));
  }

  /** @param {Timer} timer @param {number} now */
  const dueWords = ({ due }, now) => (due > now ? `in ${span(due - now)}, at ${clock(due)}` : `due since ${clock(due)}`);

  /** @param {Timer[]} list @param {number} now @param {(timer: Timer) => void} done @returns {HTMLElement[]} */
  function timerRows(list, now, done) {
    return list.map((timer) => {
      const when = element("span", "pit__due", dueWords(timer, now));
      when.dataset.due = String(timer.due);
      const row = element("li", timer.due <= now ? "pit__ringing" : "", element("strong", "", timer.text), " ", when);
      row.dataset.key = timer.key;
      if (timer.due <= now || timer.own) row.append(button(timer.due <= now ? "Done" : "Drop it", () => done(timer)));
      return row;
    });
  }

  /** Whether a timer rings now. @param {Timer} timer @param {number} now */
  const rings = ({ due }, now) => due <= now && now - due < OVERDUE_RINGS;

  // --- log --------------------------------------------------------------------------------------------

  const PLACES = /** @type {Record<string, string>} */ ({ thick: "Thick end", thin: "Thin end", pit: "Pit air", holder: "Holder air" });

  /** @param {any} cook @param {(list: string, entry: any) => void} drop @returns {HTMLElement[]} Latest first. */
  function logRows({ log }, drop) {
    const rows = [
      ...log.readings.map((/** @type {any} */ entry) => ["readings", entry, `${PLACES[entry.place]} ${temperature(entry.temp_c)}`]),
      ...log.events.map((/** @type {any} */ entry) => ["events", entry, entry.kind === "pit elsewhere" ? `The pit runs at ${temperature(entry.temp_c)}` : entry.kind === "heat lost" ? "Heat lost" : "Heat is back"]),
      ...log.notes.map((/** @type {any} */ entry) => ["notes", entry, entry.text]),
      ...log.stages.filter((/** @type {any} */ { ended_at }) => ended_at).map((/** @type {any} */ entry) => ["", { at: entry.ended_at }, `${entry.name} ended, ${entry.ended}`]),
    ];
    return rows
      .sort((a, b) => Date.parse(b[1].at) - Date.parse(a[1].at))
      .map(([list, entry, text]) => {
        const row = element("li", "", element("span", "pit__at", clock(Date.parse(entry.at))), " ", text);
        if (list) {
          const strike = button("Strike out", () => drop(list, entry), "plain-button");
          strike.setAttribute("aria-label", `Strike out: ${text}`);
          row.append(" ", strike);
        }
        return row;
      });
  }

  // --- what is typed in -------------------------------------------------------------------------------

  /** A temperature in °C, or the words that refuse it. @param {string} text @param {string} place @returns {number | string} */
  function typedTemperature(text, place) {
    const typed = number(text);
    if (Number.isNaN(typed)) return "Write the reading as a number, such as 165 or 73.5.";
    const value = celsius(typed), meat = place === "thick" || place === "thin";
    const [low, high] = meat ? [-5, 115] : [-30, 350];
    if (value < low || value > high) {
      const inUs = Slowfolio.pitWords.inUs(), other = inUs ? "°C" : "°F";
      const meant = inUs ? typed : (typed - 32) / 1.8;
      const advice = meant >= (meat ? 0 : 40) && meant <= high
        ? `Is the reading in ${other}? Then press “Use ${other}” first.`
        : "Look at the figure and at where the probe is, and type it again.";
      return `${meat ? "Meat" : "Air"} at ${temperature(value)} is hardly possible. ${advice}`;
    }
    return value;
  }

  return { stageOf, endWords, dueOf, act, timers, dueWords, timerRows, rings, logRows, typedTemperature };
})();
