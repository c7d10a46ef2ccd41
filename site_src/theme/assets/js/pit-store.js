// The cooks kept on this device: one entry of local storage each, written whole at every change, so that a reload,
// a crash or a flat battery loses nothing. The log within is schema/output/cook-log.schema.json.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitStore = (() => {
  const PREFIX = "slowfolio.cook.";
  const FORMAT = "slowfolio cook log", VERSION = 1;
  const { iso } = Slowfolio.pitWords;
  const ISO = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})$/;
  const ID = /^[a-z0-9][a-z0-9-]{2,60}$/;
  const PLACES = ["thick", "thin", "pit", "holder"];
  const EVENTS = ["pit elsewhere", "heat lost", "heat back"];
  const ENDED = ["as asked", "early", "late", "left out", null];
  const MOST_FORECASTS = 400;

  /** @typedef {any} Log as in the schema */
  /** @typedef {{log: Log, page: {acks: Record<string, number>, timers: {id: string, text: string, due: number}[],
   *   by: number | null}}} Cook What the page keeps beside the log: timers, and by when the piece is wanted. */

  const nothingBeside = () => ({ acks: {}, timers: [], by: null });

  /** @param {string} id @returns {Cook | null} */
  function read(id) {
    try {
      const cook = JSON.parse(localStorage.getItem(PREFIX + id) ?? "null");
      return cook && problemOf(cook.log) === "" ? { log: cook.log, page: { ...nothingBeside(), ...cook.page } } : null;
    } catch {
      return null;
    }
  }

  /** @returns {Cook[]} Those under way first, the latest first. */
  function all() {
    try {
      const names = Object.keys(localStorage).filter((name) => name.startsWith(PREFIX));
      const cooks = names.map((name) => read(name.slice(PREFIX.length))).filter((cook) => cook !== null);
      const begun = (/** @type {Cook} */ { log }) => Date.parse(log.started_at ?? log.exported_at);
      const over = (/** @type {Cook} */ { log }) => (log.finished_at ? 1 : 0);
      return cooks.sort((a, b) => over(a) - over(b) || begun(b) - begun(a));
    } catch {
      return [];
    }
  }

  /** @param {Cook} cook @returns {boolean} Whether it is kept. */
  function write(cook) {
    cook.log.exported_at = iso(Date.now());
    try {
      localStorage.setItem(PREFIX + cook.log.id, JSON.stringify(cook));
      return true;
    } catch {
      return false;
    }
  }

  /** @param {string} id */
  function remove(id) {
    try {
      localStorage.removeItem(PREFIX + id);
    } catch {
      // Nothing was kept, so nothing is left.
    }
  }

  /** A cook that has just begun. @param {any} data of the page @param {{label: string, weight: number | null, at: number}} given
   * @returns {Cook} */
  function begun(data, { label, weight, at }) {
    const chance = Math.random().toString(36).slice(2, 6).padEnd(4, "0");
    const started = iso(at);
    const stages = data.stages.map((/** @type {any} */ { name, kind }, /** @type {number} */ index) => ({
      name, kind, started_at: index === 0 ? started : null, ended_at: null, ended: null,
    }));
    return {
      log: {
        format: FORMAT, version: VERSION,
        id: `${started.slice(0, 16).replace(/\D/g, "")}-${chance}`,
        provenance: "measured",
        method: data.method, method_title: data.title, method_revision: data.revision, engine_version: data.engine,
        label, pit: data.pit, weight_kg: weight,
        started_at: started, finished_at: null, exported_at: started,
        stages, readings: [], events: [], notes: [], forecasts: [],
      },
      page: nothingBeside(),
    };
  }

  /** @param {Log} log @param {string} list @param {any} entry */
  function add(log, list, entry) {
    log[list].push(entry);
    log[list].sort((/** @type {any} */ a, /** @type {any} */ b) => Date.parse(a.at) - Date.parse(b.at));
    if (list === "forecasts") log.forecasts.splice(0, Math.max(0, log.forecasts.length - MOST_FORECASTS));
  }

  // --- out and in -------------------------------------------------------------------------------------

  /** @param {Cook} cook @returns {string} */
  const toJson = ({ log }) => `${JSON.stringify({ ...log, exported_at: iso(Date.now()) }, null, 1)}\n`;

  /** A cell by RFC 4180; text that a spreadsheet would take for a formula is marked as text. @param {any} value */
  function cell(value) {
    if (value === null || value === undefined) return "";
    const text = typeof value === "string" && /^[=+\-@\t\r]/.test(value) ? `'${value}` : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  }

  /** All that happened in the order of time, one row each. @param {Cook} cook @returns {string} */
  function toCsv({ log }) {
    const rows = [
      ...log.stages.flatMap((/** @type {any} */ stage) => [
        ...(stage.started_at ? [{ at: stage.started_at, what: "stage begins", detail: stage.name }] : []),
        ...(stage.ended_at ? [{ at: stage.ended_at, what: "stage ends", detail: `${stage.name}: ${stage.ended}` }] : []),
      ]),
      ...log.readings.map((/** @type {any} */ reading) => ({ ...reading, what: "reading", detail: reading.place })),
      ...log.events.map((/** @type {any} */ event) => ({ ...event, what: event.kind, detail: "" })),
      ...log.notes.map((/** @type {any} */ note) => ({ at: note.at, what: "note", detail: note.text })),
    ];
    const start = Date.parse(log.started_at);
    const lines = rows
      .sort((a, b) => Date.parse(a.at) - Date.parse(b.at))
      .map(({ at, what, detail, temp_c }) =>
        [at, ((Date.parse(at) - start) / 1000).toFixed(0), what, detail, temp_c ?? null].map(cell).join(","));
    return `${["time,elapsed_s,what,detail,temp_c", ...lines].join("\r\n")}\r\n`;
  }

  /** @param {string} text @returns {Cook} Fails with words for the cook. */
  function fromJson(text) {
    let log;
    try {
      log = JSON.parse(text);
    } catch {
      throw new Error("This file is no log of a cook: it is not JSON. Choose a file that “Save the log” wrote.");
    }
    const problem = problemOf(log);
    if (problem) throw new Error(`This file is no log that this page can read: ${problem}.`);
    return { log, page: nothingBeside() };
  }

  /** What is wrong with a log, empty where nothing is. @param {any} log @returns {string} */
  function problemOf(log) {
    if (log === null || typeof log !== "object") return "it holds no record";
    if (log.format !== FORMAT) return `its format is ${JSON.stringify(log.format ?? null)}, not “${FORMAT}”`;
    if (log.version !== VERSION) return `its version is ${log.version}, this page reads ${VERSION}`;
    if (!ID.test(log.id ?? "")) return "its id is missing or broken";
    if (!ID.test(log.method ?? "")) return "it names no method";
    if (typeof log.label !== "string" || log.label.length > 120) return "it has no label";
    const time = (/** @type {any} */ value) => typeof value === "string" && ISO.test(value) && !Number.isNaN(Date.parse(value));
    const perhaps = (/** @type {any} */ value) => value === null || time(value);
    if (!time(log.started_at)) return "it does not say when the piece went on";
    if (!perhaps(log.finished_at) || !time(log.exported_at)) return "a time in it is broken";
    const warm = (/** @type {any} */ value) => Number.isFinite(value) && value >= -40 && value <= 600;
    const lists = /** @type {[string, (entry: any) => boolean][]} */ ([
      ["stages", (e) => typeof e.name === "string" && ["cook", "vent", "hold"].includes(e.kind) && perhaps(e.started_at) && perhaps(e.ended_at) && ENDED.includes(e.ended)],
      ["readings", (e) => time(e.at) && PLACES.includes(e.place) && warm(e.temp_c)],
      ["events", (e) => time(e.at) && EVENTS.includes(e.kind) && (e.kind !== "pit elsewhere" || warm(e.temp_c))],
      ["notes", (e) => time(e.at) && typeof e.text === "string" && e.text.length <= 2000],
      ["forecasts", (e) => [e.at, e.off_pit_at_p10, e.off_pit_at_p50, e.off_pit_at_p90].every(time)],
    ]);
    for (const [name, right] of lists) {
      if (!Array.isArray(log[name])) return `it has no list of ${name}`;
      const at = log[name].findIndex((/** @type {any} */ entry) => entry === null || typeof entry !== "object" || !right(entry));
      if (at >= 0) return `entry ${at + 1} of its ${name} is broken`;
    }
    return log.stages.length ? "" : "it has no stages";
  }

  return { PREFIX, read, all, write, remove, begun, add, toJson, toCsv, fromJson };
})();
