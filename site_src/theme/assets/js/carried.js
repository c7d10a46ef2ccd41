// The ensemble a method takes to the pit: loads its script when it is asked for and opens it, as
// forecast/carried.py does. Touches no page; the At the pit and the Plan page use it.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.carried = (() => {
  const TEMP_QUANTUM_C = { thick: 0.1, thin: 0.1, coldest: 0.5 };
  const TIME_QUANTUM_S = 5, INPUT_QUANTUM = 1 / 30;

  /** @typedef {{name: string, kind: string, pit_temp_c: number, pit_drift_k: number, ended_by: string,
   *   target_c: number | null, duration_s: number | null, rate: number}} Stage */
  /** @typedef {{carried: any, count: number, times: number, grid_s: number, stages: Stage[], pull: number,
   *   ends_s: Float64Array[], courses: Record<string, Float64Array>, surface_s: Float64Array,
   *   weight: Float64Array, drawn: Record<string, Float64Array>}} Ensemble
   *  `ends_s[stage][member]`; `courses[place][member * times + time]`. */

  /** @type {Record<string, Ensemble>} */
  const opened = {};
  /** @type {Record<string, any>} */
  const known = {};

  /** Called by the scripts that carry figures. @param {string} name @param {any} record */
  const take = (name, record) => void (known[name] = record);

  /** @param {string} text @returns {Uint8Array} */
  function bytes(text) {
    const raw = atob(text);
    return Uint8Array.from({ length: raw.length }, (_, i) => raw.charCodeAt(i));
  }

  /** Little-endian on every machine. @param {string} text @param {number} quantum @returns {Float64Array} */
  function wholes(text, quantum) {
    const view = new DataView(bytes(text).buffer);
    return Float64Array.from({ length: view.byteLength / 2 }, (_, i) => view.getUint16(2 * i, true) * quantum);
  }

  /** @param {string} text @returns {Int8Array} */
  const small = (text) => new Int8Array(bytes(text).buffer);

  /** Courses from the bends they are kept as. @param {string} text @param {number} times @param {number} quantum
   * @returns {Float64Array} */
  function bentBack(text, times, quantum) {
    const bends = small(text);
    const course = new Float64Array(bends.length);
    for (let start = 0; start < bends.length; start += times) {
      let slope = 0, value = 0;
      for (let i = start; i < start + times; i += 1) {
        slope += bends[i];
        value += slope;
        course[i] = value * quantum;
      }
    }
    return course;
  }

  /** @param {any} record @returns {Ensemble} */
  function open(record) {
    const { members: count, points: times, packed, stages, inputs } = record;
    const ends = wholes(packed.ends, TIME_QUANTUM_S);
    const weight = wholes(packed.weight, 1);
    const whole = weight.reduce((sum, value) => sum + value, 0);
    const drawn = Float64Array.from(small(packed.inputs), (value) => value * INPUT_QUANTUM);
    return {
      carried: record, count, times, stages,
      grid_s: record.grid_s,
      pull: record.pull,
      ends_s: stages.map((/** @type {any} */ _, /** @type {number} */ i) => ends.subarray(i * count, (i + 1) * count)),
      courses: Object.fromEntries(
        Object.entries(TEMP_QUANTUM_C).map(([place, quantum]) => [place, bentBack(packed[place], times, quantum)]),
      ),
      surface_s: wholes(packed.surface, TIME_QUANTUM_S),
      weight: weight.map((value) => value / whole),
      drawn: Object.fromEntries(
        inputs.map((/** @type {string} */ name, /** @type {number} */ i) => [name, drawn.subarray(i * count, (i + 1) * count)]),
      ),
    };
  }

  /** The ensemble of a method; `base` leads from the page to the site's folder. Fails where there is none.
   * @param {string} name @param {string} [base] @returns {Promise<Ensemble>} */
  function load(name, base = "") {
    if (opened[name]) return Promise.resolve(opened[name]);
    const finish = () => (opened[name] ??= open(known[name]));
    if (known[name]) return Promise.resolve(finish());
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = `${base}cook-data/${encodeURIComponent(name)}.js`;
      script.addEventListener("load", () => (known[name] ? resolve(finish()) : reject(new Error(script.src))));
      script.addEventListener("error", () => reject(new Error(script.src)));
      document.head.append(script);
    });
  }

  return { take, load, open };
})();
