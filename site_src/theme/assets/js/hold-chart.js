// Pictures of the Holding page: air temperature against humidity, as charts/humidity.py draws it, and the courses
// over the hours. From values to SVG; knows nothing of the page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdChart = (() => {
  const space = "http://www.w3.org/2000/svg";
  /** @typedef {[number, number]} Point */

  /** @param {string} name @param {Record<string, string | number>} attributes @param {...(Node | string)} content */
  function element(name, attributes, ...content) {
    const made = document.createElementNS(space, name);
    for (const [key, value] of Object.entries(attributes)) {
      made.setAttribute(key, typeof value === "number" ? String(Math.round(value * 10) / 10) : value);
    }
    made.append(...content);
    return made;
  }

  /** @param {Point[]} points */
  const written = (points) => points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
  const polyline = (/** @type {Point[]} */ points, /** @type {string} */ cls) =>
    element("polyline", { points: written(points), class: cls });
  const band = (/** @type {Point[]} */ upper, /** @type {Point[]} */ lower, /** @type {string} */ cls) =>
    element("polygon", { points: written([...upper, ...[...lower].reverse()]), class: cls });
  const line = (/** @type {Point} */ a, /** @type {Point} */ b, /** @type {string} */ cls) =>
    element("line", { x1: a[0], y1: a[1], x2: b[0], y2: b[1], class: cls });
  const label = (/** @type {number} */ x, /** @type {number} */ y, /** @type {string} */ text, cls = "chart__tick", anchor = "start") =>
    element("text", { x, y, class: cls, "text-anchor": anchor }, text);

  /** @param {string} finding @param {string} cls @param {number} width @param {number} height @param {Node[]} parts */
  const picture = (finding, cls, width, height, parts) =>
    element("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": finding, class: `chart ${cls}` }, ...parts);

  /** @param {number} low @param {number} high @param {number} start @param {number} end @returns {(value: number) => number} */
  const scale = (low, high, start, end) => (value) => start + ((value - low) / (high - low)) * (end - start);
  const kept = (/** @type {number} */ value, /** @type {number} */ low, /** @type {number} */ high) =>
    Math.min(Math.max(value, low), high);
  const units = /** @type {Array<[string, string, (degree: number) => number]>} */ ([
    ["u-si", "°C", (degree) => degree],
    ["u-us", "°F", (degree) => (degree - 32) / 1.8],
  ]);

  /** The ends of the axis, °C. @type {[number, number]} */
  const ends = [55, 85];

  /**
   * @param {{airs: number[], windows: any[], tight: boolean, reach: Array<[number, number, number]>, floor: number,
   *   edge: Point[], point: Point, floorSaid: {us: string, metric: string}, finding: string}} view
   */
  function humidity(view) {
    const [width, height, left, right, top, bottom] = [420, 366, 50, 12, 26, 48];
    const x = scale(...ends, left, width - right);
    const y = scale(0, 1, height - bottom, top);
    const base = height - bottom;
    const parts = [];
    const edge = view.edge.map(([air, h]) => /** @type {Point} */ ([x(kept(air, ...ends)), y(h)]));
    parts.push(band([[left, base], ...edge, [left, top]], [], "humidity__cold"));
    for (const run of runs(view.windows.map(({ exists }) => exists))) {
      const places = run.map((i) => ({ x: x(view.airs[i]), ...view.windows[i] }));
      const upper = places.map((p) => /** @type {Point} */ ([p.x, y(view.tight ? 1 : p.high)]));
      const lower = places.map((p) => /** @type {Point} */ ([p.x, y(view.tight ? 0 : p.low)]));
      parts.push(band(upper, lower, "humidity__window"), polyline(upper, "humidity__edge"), polyline(lower, "humidity__edge"));
    }
    for (let percent = 0; percent <= 100; percent += 20) {
      parts.push(line([left, y(percent / 100)], [width - right, y(percent / 100)], "chart__grid"));
      parts.push(label(left - 7, y(percent / 100) + 5, String(percent), "chart__tick", "end"));
    }
    parts.push(label(2, top - 10, "relative humidity, %"));
    for (const [cls, unit, toC] of units) {
      const marks = [line([left, base], [width - right, base], "chart__axis")];
      const step = cls === "u-si" ? 5 : 10;
      for (let degree = 60; toC(degree) < ends[1]; degree += step) {
        if (toC(degree) <= ends[0]) continue;
        marks.push(line([x(toC(degree)), base], [x(toC(degree)), base + 6], "chart__axis"));
        marks.push(label(x(toC(degree)), base + 22, String(degree), "chart__tick", "middle"));
      }
      marks.push(label(width - right, base + 41, `air, ${unit}`, "chart__tick", "end"));
      parts.push(element("g", { class: cls }, ...marks));
    }
    const lows = view.reach.map(([air, low]) => /** @type {Point} */ ([x(air), y(Math.min(low, 1))]));
    const highs = view.reach.map(([air, , high]) => /** @type {Point} */ ([x(air), y(Math.min(high, 1))]));
    parts.push(polyline(lows, "humidity__reach"));
    if (lows.some((low, i) => low[1] - highs[i][1] > 2)) {
      const last = lows.length - 1;
      parts.push(polyline(highs, "humidity__reach"), line(lows[0], highs[0], "humidity__reach"), line(lows[last], highs[last], "humidity__reach"));
    }
    const beside = edge[edge.length - 1][0] + 6;
    parts.push(polyline(edge, "humidity__floor"));
    parts.push(label(beside, top + 16, `floor ${view.floorSaid.us}`, "humidity__name u-us"));
    parts.push(label(beside, top + 16, `floor ${view.floorSaid.metric}`, "humidity__name u-si"));
    const [px, py] = [x(kept(view.point[0], ...ends)), y(Math.min(view.point[1], 1))];
    parts.push(element("circle", { cx: px, cy: py, r: 7, class: "humidity__point" }));
    parts.push(line([px - 11, py], [px + 11, py], "humidity__cross"), line([px, py - 11], [px, py + 11], "humidity__cross"));
    const right2 = px > width - 90;
    parts.push(label(right2 ? px - 12 : px + 12, py - 8, `${Math.round(100 * view.point[1])} %`, "humidity__said", right2 ? "end" : "start"));
    return picture(view.finding, "humidity", width, height, parts);
  }

  /** @param {boolean[]} present @returns {number[][]} */
  function runs(present) {
    /** @type {number[][]} */
    const found = [];
    present.forEach((here, i) => {
      if (!here) return;
      const last = found[found.length - 1];
      if (last && last[last.length - 1] === i - 1) last.push(i);
      else found.push([i]);
    });
    return found.filter((run) => run.length > 1);
  }

  /**
   * A course over the hours with its spread, a limit, and the hour chosen.
   * @param {{hours: number[], values: number[][], low: number, high: number, ticks: Array<[number, string, string]>,
   *   limit: number | null, now: number, finding: string}} course values by hour as P10, P50, P90
   */
  function course({ hours, values, low, high, ticks, limit, now, finding }) {
    const [width, height, left, right, top, bottom] = [320, 160, 44, 10, 10, 30];
    const x = scale(0, hours[hours.length - 1], left, width - right);
    const y = scale(low, high, height - bottom, top);
    const base = height - bottom;
    const at = (/** @type {number} */ p) =>
      hours.map((hour, i) => /** @type {Point} */ ([x(hour), y(kept(values[i][p], low, high))]));
    const parts = [];
    for (const [value, text, cls] of ticks) {
      parts.push(line([left, y(value)], [width - right, y(value)], `chart__grid ${cls}`));
      parts.push(label(left - 7, y(value) + 5, text, `chart__tick ${cls}`, "end"));
    }
    parts.push(line([left, base], [width - right, base], "chart__axis"));
    for (let hour = 0; hour <= hours[hours.length - 1]; hour += 4) {
      parts.push(label(x(hour), base + 20, hour ? `${hour} h` : "0", "chart__tick", hour < 16 ? "middle" : "end"));
    }
    if (limit !== null && limit > low && limit < high) parts.push(line([left, y(limit)], [width - right, y(limit)], "course__limit"));
    parts.push(band(at(2), at(0), "course__band"), polyline(at(1), "course__line"));
    parts.push(line([x(now), top], [x(now), base], "course__now"));
    return picture(finding, "course", width, height, parts);
  }

  return { humidity, course };
})();
