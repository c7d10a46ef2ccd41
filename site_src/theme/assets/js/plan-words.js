// How the Plan page says times, weights, shares and what is in the way: as forecast/planning/{clock,run_sheet}.py
// and units/writing.py do. Given values, gives texts. The wall clock is the reader's own.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planWords = (() => {
  /** @typedef {{us: string, metric: string}} Both */
  const DAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
  const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
  const LB_KG = 0.45359237;
  const DAY_MS = 86400000;
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");

  // --- the clock ------------------------------------------------------------------------------------

  /** Seconds from the serving time on the reader's clock. @param {Date} origin */
  function clockFrom(origin) {
    const at = (/** @type {number} */ seconds) => new Date(origin.getTime() + Math.round(seconds) * 1000);
    const hour = (/** @type {Date} */ when) => `${two(when.getHours())}:${two(when.getMinutes())}`;
    const zoneShort = (/** @type {Date} */ when) =>
      new Intl.DateTimeFormat("en-GB", { timeZoneName: "short" }).formatToParts(when).find(({ type }) => type === "timeZoneName")?.value ?? "";
    /** @param {number} seconds */
    const nearChange = (seconds) => {
      const when = at(seconds).getTime();
      return new Set([-DAY_MS, 0, DAY_MS].map((ms) => new Date(when + ms).getTimezoneOffset())).size > 1;
    };
    const day = (/** @type {number} */ seconds) => {
      const when = at(seconds);
      return `${DAYS[when.getDay()]} ${when.getDate()} ${MONTHS[when.getMonth()]}`;
    };
    /** The time of day, with the zone's name near a change of the clocks. @param {number} seconds */
    const time = (seconds) => (nearChange(seconds) ? `${hour(at(seconds))} ${zoneShort(at(seconds))}` : hour(at(seconds)));
    /** @param {number} seconds */
    const shown = (seconds) => `${day(seconds)} ${time(seconds)}`;
    /** The time of day, with its weekday where that differs from another's. @param {number} seconds @param {number} beside */
    const beside = (seconds, beside) => {
      const [when, other] = [at(seconds), at(beside)];
      return when.toDateString() === other.toDateString() ? hour(when) : `${DAYS[when.getDay()]} ${hour(when)}`;
    };
    return { at, day, time, shown, beside };
  }

  /** A local date and time as typed. A time that the clocks skip, or that comes twice, is told. @param {string} text */
  function moment(text) {
    const found = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}):(\d{2})/.exec(text);
    if (!found) return { when: null, note: "give a date and a time of day" };
    const [year, month, day, hour, minute] = found.slice(1).map(Number);
    const when = new Date(year, month - 1, day, hour, minute);
    if (when.getHours() !== hour || when.getMinutes() !== minute) {
      return { when: null, note: `${text.replace("T", " ").slice(0, 16)} is skipped when the clocks go forward; give ${two(when.getHours())}:${two(when.getMinutes())}` };
    }
    const later = new Date(when.getTime() + 3600000);
    const twice = later.getHours() === hour && later.getMinutes() === minute;
    return { when, note: twice ? `${two(hour)}:${two(minute)} comes twice, as the clocks go back; planned for the first` : "" };
  }

  /** As a date and time field holds it. @param {Date} when */
  const typed = (when) =>
    `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())}T${two(when.getHours())}:${two(when.getMinutes())}`;

  const zone = () => Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";

  /** "14:05–17:20", "by 05:30", or "" for what is done by the clock. @param {any} act @param {any} clock */
  function window_(act, clock) {
    if (act.p90 <= act.p10) return "";
    if (act.p10 === act.at) return `by ${clock.beside(act.p90, act.at)}`;
    return `${clock.beside(act.p10, act.at)}–${clock.beside(act.p90, act.at)}`;
  }

  // --- amounts --------------------------------------------------------------------------------------

  /** @param {number} seconds */
  function duration(seconds) {
    const minutes = Math.round(seconds / 60);
    const [hours, rest] = [Math.floor(minutes / 60), minutes % 60];
    return [hours ? `${hours} h` : "", rest || !hours ? `${rest} min` : ""].filter(Boolean).join(" ");
  }

  /** A share in whole per cent; 0 and 100 only where it is none or all. @param {number} share */
  function percent(share) {
    if (share > 0 && share < 0.01) return "less than 1 %";
    if (share > 0.99 && share < 1) return "more than 99 %";
    return `${Math.round(100 * share)} %`;
  }

  /** "13 lb 8 oz", "5 1/2 oz"; "6.2 kg", "170 g". @param {number} kg @returns {Both} */
  function mass(kg) {
    const ounces = (kg / LB_KG) * 16;
    const kilograms = kg < 99.95 ? String(Number(kg.toFixed(1))) : kg.toFixed(0);
    return { us: inOunces(ounces), metric: Math.round(kg * 1000) < 1000 ? `${Math.round(kg * 1000)} g` : `${kilograms} kg` };
  }

  /** @param {number} ounces */
  function inOunces(ounces) {
    if (Number(ounces.toPrecision(2)) < 1) return `${Number(ounces.toPrecision(2))} oz`;
    if (Number(ounces.toFixed(1)) < 2) return `${Number(ounces.toFixed(1))} oz`;
    for (const [part, below] of [[4, 8], [2, 16]]) {
      const parts = Math.round(ounces * part);
      if (parts / part >= below) continue;
      const [whole, rest] = [Math.floor(parts / part), ((parts % part) * 4) / part];
      return `${[whole || "", rest === 2 ? "1/2" : rest ? `${rest}/4` : ""].filter(Boolean).join(" ")} oz`;
    }
    const total = Math.round(ounces);
    if (total >= 1600) return `${Math.round(ounces / 16)} lb`;
    return `${Math.floor(total / 16)} lb${total % 16 ? ` ${total % 16} oz` : ""}`;
  }

  const degrees = (/** @type {number} */ c) => ({ us: `${(c * 1.8 + 32).toFixed(0)} °F`, metric: `${c.toFixed(0)} °C` });
  const same = (/** @type {string} */ text) => ({ us: text, metric: text });
  /** @param {(system: "us" | "metric") => string} say @returns {Both} */
  const both = (say) => ({ us: say("us"), metric: say("metric") });

  // --- what is in the way, and what is changed --------------------------------------------------------

  /** The loads of one dish taken together: "Pork, loads 1, 2 and 4: trim, rub". @param {string[]} names */
  function who(names) {
    /** @type {Map<string, {loads: string[], acts: string[]}>} */
    const said = new Map();
    for (const name of names) {
      const found = /^(.+), load (\d+) of \d+(?:: (.+))?$/.exec(name), dish = found ? found[1] : name;
      const entry = said.get(dish) ?? { loads: [], acts: [] };
      said.set(dish, entry);
      if (found && !entry.loads.includes(found[2])) entry.loads.push(found[2]);
      if (found && found[3] && !entry.acts.includes(found[3])) entry.acts.push(found[3]);
    }
    const numbers = (/** @type {string[]} */ loads) => loads.length < 2 ? loads.map((one) => `, load ${one}`).join("")
      : `, loads ${loads.slice(0, -1).join(", ")} and ${loads[loads.length - 1]}`;
    return [...said].map(([dish, { loads, acts }]) => `${dish}${numbers(loads)}${acts.length ? ": " : ""}${acts.join(", ")}`).join("; ");
  }

  /** @param {any} conflict @param {Record<string, any>} places @param {any} clock @returns {Both} */
  function conflict(conflict, places, clock) {
    const when = `${clock.shown(conflict.from)}–${clock.beside(conflict.to, conflict.from)}`;
    const whose = who(conflict.who);
    if (conflict.kind === "hands") return same(`${when}: ${conflict.need} pairs of hands wanted, ${conflict.have} there (${whose})`);
    const place = places[conflict.place].title.toLowerCase();
    const amount = (/** @type {number} */ value, /** @type {"us" | "metric"} */ system) =>
      conflict.kind === "load" ? mass(value)[system] : system === "us" ? `${(value * 10.7639).toFixed(1)} ft² of grate` : `${value.toFixed(2)} m² of grate`;
    return both((system) => `${when}: ${place} asked for ${amount(conflict.need, system)}, takes ${amount(conflict.have, system)} (${whose})`);
  }

  /** @param {any} change @param {any} clock */
  function change(change, clock) {
    if (change.kind === "split") return `${change.load}: in loads of ${change.what} pieces`;
    const word = change.moved > 0 ? "later" : "earlier";
    return `${change.load}: ${change.what.toLowerCase()} ${duration(Math.abs(change.moved))} ${word}, at ${clock.shown(change.to)}`;
  }

  return { clockFrom, moment, typed, zone, window: window_, duration, percent, mass, degrees, same, both, who, conflict, change, LB_KG };
})();
