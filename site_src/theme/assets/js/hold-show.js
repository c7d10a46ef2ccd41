// What the Holding page says of a piece of advice: settings, air, what it does to the piece, how long.
// Texts in both unit systems, as site/shown.py writes them. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdShow = (() => {
  /** @typedef {{us: string, metric: string}} Both */
  const { element, units } = Slowfolio.parts;
  const { pieceAt } = Slowfolio.holdAdvice;
  const { windowOf, meatLoad, interp, readTable } = Slowfolio.holdTable;
  const { reach } = Slowfolio.holdAir;

  // --- texts ----------------------------------------------------------------------------------------

  const same = (/** @type {string} */ text) => ({ us: text, metric: text });
  /** Halves go to the even number, as they do where the other pages are written. @param {number} value @param {number} step */
  const rounded = (value, step) => {
    const whole = Math.floor(value / step + 1e-9);
    const rest = value / step - whole;
    return Math.abs(rest - 0.5) < 1e-9 ? step * (whole + (whole % 2)) : step * Math.round(value / step);
  };
  const tidy = (/** @type {number} */ value) =>
    Math.abs(value) < 1 && value !== 0 ? String(Number(value.toPrecision(2))) : Math.abs(value) < 9.95 ? String(Number(value.toFixed(1))) : rounded(value, 1).toFixed(0);
  const percent = (/** @type {number} */ fraction) => `${tidy(100 * fraction)} %`;
  const score = (/** @type {number} */ value) => rounded(value, 1).toFixed(0);
  const degreesF = (/** @type {number} */ c) => c * 1.8 + 32;
  const temperature = (/** @type {number} */ c) => ({ us: `${degreesF(c).toFixed(0)} °F`, metric: `${c.toFixed(0)} °C` });
  const difference = (/** @type {number} */ k) => ({ us: `${tidy(k * 1.8)} °F`, metric: `${tidy(k)} °C` });

  /** @param {number} hours */
  function duration(hours) {
    const minutes = Math.round(hours * 60);
    const [whole, rest] = [Math.floor(minutes / 60), minutes % 60];
    return [whole ? `${whole} h` : "", rest || !whole ? `${rest} min` : ""].filter(Boolean).join(" ");
  }

  /** @param {number} m2 */
  function area(m2) {
    const [cm2, in2] = [m2 * 1e4, m2 / 0.00064516];
    const small = (/** @type {number} */ value) => (value < 10 ? String(Number(value.toPrecision(2))) : value.toFixed(0));
    return { us: `${small(in2)} in²`, metric: cm2 < 999.5 ? `${small(cm2)} cm²` : `${Number(m2.toFixed(2))} m²` };
  }

  /** @param {(text: string) => string} say @param {Both} said @returns {Both} */
  const bothOf = (say, { us, metric }) => ({ us: say(us), metric: say(metric) });

  /** A range without saying its unit twice. @param {Both} low @param {Both} high @returns {Both} */
  function span(low, high) {
    const join = (/** @type {string} */ a, /** @type {string} */ b) => (a === b ? a : `${a.replace(/ \S+$/, "")}–${b}`);
    return { us: join(low.us, high.us), metric: join(low.metric, high.metric) };
  }

  // --- elements -------------------------------------------------------------------------------------

  /** @param {string} name @param {Both} value @param {Both} [spread] */
  const figure = (name, value, spread) =>
    element("div", "", element("dt", "", name), element("dd", "",
      element("span", "settings__figure", units(value)), ...(spread ? [" ", element("span", "spread", "(", units(spread), ")")] : [])));

  /** @param {string} title @param {string} id @param {Node[]} side @param {...Node} body */
  function section(title, id, side, ...body) {
    const head = element("h2", "", title);
    head.id = id;
    return element("section", "section", head, element("div", "section__side", ...side), element("div", "section__body", ...body));
  }

  // --- what is said ---------------------------------------------------------------------------------

  /** When to top the water up, to the quarter hour before it is needed. @param {number} refill @param {number} hours */
  const refilled = (refill, hours) =>
    refill >= hours ? "one filling outlasts the hold" : `refill about every ${duration(Math.max(Math.floor(4 * refill), 1) / 4)}`;

  /** What to dial in or put in, in the words of enrich/hold_words.py. @param {any} advice @param {number} air
   * @param {number} hours @param {number} offset of the air inside, against the dial @param {Record<string, any>} words
   * @returns {Both[]} */
  function settings(advice, air, hours, offset, words) {
    const said = [bothOf((t) => `air ${t}`, temperature(air))];
    if (Math.abs(offset) > 0.05) said.push(bothOf((t) => `${words.inside} ${t}`, temperature(air + offset)));
    if (advice.vapourTemp >= 0) said.push(bothOf((t) => `water-vapour temperature ${t}`, temperature(advice.vapourTemp)));
    if (advice.setHumidity >= 0) said.push(same(`humidity ${percent(advice.setHumidity)}`));
    if (advice.pan > 0) {
      const pans = advice.pans === 1 ? "one pan" : `${advice.pans} pans`;
      said.push(bothOf((t) => `${pans}, ${t} of open water in all`, area(advice.pan)));
      said.push(bothOf((t) => `the water settles at ${t}`, temperature(advice.water)));
      said.push(same(refilled(advice.refill, hours)));
    }
    return said;
  }

  /** @param {any} window @param {any} table @param {Record<string, string>} words */
  function windowSaid(window, table, words) {
    const wrap = table.wraps.find((/** @type {any} */ { id }) => id === window.wrap).title;
    if (!window.exists) return `${wrap}: none; ${words[window.shut]}`;
    return `${wrap}: ${percent(window.low)} to ${percent(window.high)}, aim at ${percent(window.target)}`;
  }

  /** The pieces of the picture of air against humidity. @param {any} table @param {any} holder @param {any} wish @param {any} advice */
  function view(table, holder, wish, advice) {
    const steps = (/** @type {number} */ low, /** @type {number} */ high, /** @type {number} */ count) =>
      Array.from({ length: count }, (_, i) => low + ((high - low) * i) / (count - 1));
    const airs = steps(table.airs[0], table.airs[table.airs.length - 1], 9);
    const given = meatLoad(table, wish.wrap, wish.air, advice.humidity, wish.hours);
    const edge = table.humidities.map((/** @type {number} */ humidity) => {
      const coldest = table.airs.map((/** @type {number} */ air) => readTable(table, "coldest_c", wish.wrap, air, humidity, wish.hours)[0]);
      const crossed = coldest[0] < table.floor && coldest.every((c, i) => !i || c > coldest[i - 1]);
      return [Math.max(crossed ? interp(table.floor, coldest, table.airs) : table.floor, table.floor), humidity];
    });
    const point = `${temperature(wish.air).us} (${temperature(wish.air).metric}) at ${percent(advice.humidity)}`;
    const there = advice.windows.find((/** @type {any} */ window) => window.wrap === wish.wrap);
    const span = there.exists ? `window ${percent(there.low)} to ${percent(there.high)}` : "no window";
    return {
      airs,
      windows: airs.map((air) => windowOf(table, wish.wrap, air, wish.hours)),
      tight: table.wraps.find((/** @type {any} */ { id }) => id === wish.wrap).tight,
      reach: holder.airs.map((/** @type {number} */ air) => [air, ...reach(holder, air, given)]),
      floor: table.floor,
      floorSaid: temperature(table.floor),
      edge: [[edge[0][0], 0], ...edge, [edge[edge.length - 1][0], 1]],
      point: [wish.air, advice.humidity],
      finding: `Air temperature against humidity: ${point}; ${span}; the holder reaches ${percent(advice.least)} to ${percent(advice.most)}.`,
    };
  }

  /** @param {any} table @param {any} wish @param {number} humidity */
  const courses = (table, wish, humidity) =>
    table.hours.map((/** @type {number} */ hour) => pieceAt(table, wish.wrap, wish.air, humidity, hour));

  return { same, percent, score, temperature, difference, duration, span, element, units, figure, section, settings,
    windowSaid, view, courses };
})();
