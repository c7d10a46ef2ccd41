// The sections of advice on the Holding page, and the script that starts the page once all others are there.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holdSections = (() => {
  if (!Slowfolio.holdShow) return {};
  const { same, percent, score, temperature, difference, duration, span, element, units, figure, section, windowSaid, view, courses } =
    Slowfolio.holdShow;
  const { humidity: humidityChart, course } = Slowfolio.holdChart;

  /** @typedef {{table: any, holder: any, wish: any, advice: any, set: any[], words: Record<string, any>, tags: (which: number) => Node[]}} Given */

  /** @param {Given} given */
  function setIt({ table, holder, wish, advice, set, words, tags }) {
    const list = element("ul", "plain dial", ...set.map((text) => element("li", "", units(text))));
    const notes = [];
    if (advice.swings) {
      const [low, high] = advice.swings.map(percent);
      notes.push(element("p", "", words.swings.replace("{low}", low).replace("{high}", high)));
    } else if (set.length === 1) notes.push(element("p", "", words.nothing));
    if (!advice.reached) {
      const asked = percent(advice.target);
      const bound = advice.target > advice.humidity ? words.most : words.least;
      notes.push(element("p", "hold__short", element("strong", "", `Not ${asked}: `), `${bound} ${percent(advice.humidity)}.`));
    }
    if (Slowfolio.holdAir.weak(holder, wish.air, advice.given ?? 0)) notes.push(element("p", "hold__short", words.weak));
    const reaches = span(same(percent(advice.least)), same(percent(advice.most)));
    const air = element("dl", "settings",
      figure("Relative humidity", same(percent(advice.humidity))),
      figure("Dew point", temperature(advice.dewPoint)),
      figure("It can reach", reaches));
    const windows = element("ul", "plain windows", ...advice.windows.map((/** @type {any} */ one) => element("li", "", windowSaid(one, table, words))));
    const keys = /** @type {Node} */ (document.querySelector("[data-slowfolio=hold-legend]")?.cloneNode(true));
    /** @type {HTMLElement} */ (keys).hidden = false;
    const picture = element("div", "humidity-pair", humidityChart(view(table, holder, wish, advice)), element("div", "", keys));
    const title = element("h3", "", "Humidity window");
    title.id = "humidity-window";
    return section("Set it", "set-it", tags(0), list, ...notes, air, title, windows, picture);
  }

  /** @param {Given} given */
  function whatItDoes({ table, wish, advice, tags }) {
    const whole = (/** @type {number[]} */ values, /** @type {(value: number) => any} */ say) =>
      /** @type {[any, any]} */ ([say(values[1]), span(say(values[0]), say(values[2]))]);
    const share = (/** @type {number} */ value) => same(percent(value));
    const points = (/** @type {number} */ value) => same(score(value));
    const figures = element("dl", "settings",
      figure("Weight lost", ...whole(advice.loss, share)),
      figure("Crispness of the crust", ...whole(advice.crispness, points)),
      figure("Tenderness", ...whole(advice.tenderness, points)),
      figure("Core", ...whole(advice.core_c, temperature)),
      figure("Coldest point", ...whole(advice.coldest_c, temperature)),
      ...(advice.belowAir > 0 ? [figure("Coldest point below the air", difference(advice.belowAir))] : []));
    const over = courses(table, wish, advice.humidity);
    const of = (/** @type {string} */ name) => over.map((/** @type {any} */ one) => one[name]);
    const most = Math.max(table.allowedLoss * 1.3, ...of("loss").map((/** @type {number[]} */ values) => values[2]));
    const warm = of("coldest_c").flat();
    const [cold, hot] = [Math.min(table.floor, ...warm) - 2, Math.max(...warm) + 2];
    /** @type {Array<[string, string, number, number, number | null, Array<[number, string, string]>, (value: number) => any]>} */
    const drawn = [
      ["loss", "Weight lost, %", 0, most, table.allowedLoss, shares(most), share],
      ["crispness", "Crispness of the crust", 0, 100, table.needed || null, scores(), points],
      ["coldest_c", "Coldest point", cold, hot, table.floor, degrees(cold, hot), temperature],
      ["tenderness", "Tenderness", 0, 100, null, scores(), points],
    ];
    const pictures = drawn.map(([name, title, low, high, limit, ticks, say]) => {
      const values = of(name);
      const [start, end] = [values[0][1], values[values.length - 1][1]].map((value) => say(value));
      const finding = `${title} over ${duration(table.hours[table.hours.length - 1])}: from ${start.us} to ${end.us} (${start.metric} to ${end.metric}).`;
      return element("div", "", element("p", "course__title", title),
        course({ hours: table.hours, values, low, high, ticks, limit, now: wish.hours, finding }));
    });
    const side = [...tags(1), element("p", "", "After the hours chosen. Dashed lines are limits, the upright one is the hour chosen.")];
    return section("What it does to the piece", "what-it-does", side, figures, element("div", "courses", ...pictures), courseTable(table, over));
  }

  /** @returns {Array<[number, string, string]>} */
  const scores = () => [0, 50, 100].map((value) => [value, String(value), ""]);

  /** @param {number} most @returns {Array<[number, string, string]>} */
  function shares(most) {
    const step = [0.01, 0.02, 0.05, 0.1, 0.2].find((one) => most / one <= 5) ?? 0.5;
    return Array.from({ length: Math.floor(most / step) + 1 }, (_, i) => [i * step, String(Math.round(1000 * i * step) / 10), ""]);
  }

  /** @param {number} low @param {number} high @returns {Array<[number, string, string]>} */
  function degrees(low, high) {
    /** @type {Array<[number, string, string]>} */
    const ticks = [];
    for (let c = 0; c <= high; c += 10) if (c >= low) ticks.push([c, String(c), "u-si"]);
    for (let f = 100; (f - 32) / 1.8 <= high; f += 10) if ((f - 32) / 1.8 >= low) ticks.push([(f - 32) / 1.8, String(f), "u-us"]);
    return ticks;
  }

  /** @param {any} table @param {any[]} over */
  function courseTable(table, over) {
    const heads = ["Hour", "Weight lost", "Crispness", "Core", "Coldest point", "Tenderness"];
    const cells = (/** @type {any} */ one) => [same(percent(one.loss[1])), same(score(one.crispness[1])), temperature(one.core_c[1]),
      temperature(one.coldest_c[1]), same(score(one.tenderness[1]))];
    const rows = over.map((one, i) => {
      const head = element("th", "", String(table.hours[i]));
      head.setAttribute("scope", "row");
      return element("tr", "", head, ...cells(one).map((text) => element("td", "", units(text))));
    });
    const top = heads.map((text) => {
      const head = element("th", "", text);
      head.setAttribute("scope", "col");
      return head;
    });
    const grid = element("table", "grid", element("thead", "", element("tr", "", ...top)), element("tbody", "", ...rows));
    const scroll = element("div", "table-scroll", grid);
    scroll.tabIndex = 0;
    scroll.setAttribute("role", "region");
    scroll.setAttribute("aria-label", "The hours as a table");
    return element("details", "more", element("summary", "", "The hours as a table, medians"), scroll);
  }

  /** @param {Given} given */
  function howLong({ wish, advice, words, tags }) {
    const line = element("p", "hold__longest", element("span", "settings__figure", advice.longest ? duration(advice.longest) : "Not at all"));
    const short = advice.longest < wish.hours ? `Not the ${duration(wish.hours)} chosen. ` : "";
    const why = element("p", short ? "hold__short" : "", element("strong", "", short), `${words.ends[advice.endedBy]}${advice.staysSoft ? `; ${words.ends.stays}` : ""}.`);
    return section("At most", "at-most", tags(1), line, why);
  }

  /** @param {Given} given @returns {Node[]} */
  const sections = (given) => [setIt(given), whatItDoes(given), howLong(given)];
  return { sections };
})();

Slowfolio.holding.ready?.();
