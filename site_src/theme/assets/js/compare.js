// The comparison: sets two to four methods of the table side by side and says which differences count.
// The choice stands in the address bar. Loaded on every page; acts on one.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.compare = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=compare]"));
  const table = /** @type {HTMLTableElement | null} */ (document.querySelector("[data-slowfolio=compare-table]"));
  const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=versus]"));
  if (!form || !table || !stage) return {};

  /** @typedef {{title: string, href: string, said: string, spread: string, value: number, low: number, high: number}} Entry */

  const picks = [...form.querySelectorAll("select")];
  const qualities = /** @type {HTMLElement[]} */ ([...table.querySelectorAll("thead th[data-key]")]);

  /** @returns {HTMLTableRowElement[]} The rows chosen, each once, in the order of choice. */
  function chosen() {
    const ids = [...new Set(picks.map((pick) => pick.value).filter(Boolean))];
    return ids.flatMap((id) => [...table.tBodies[0].rows].filter((row) => row.dataset.id === id));
  }

  /** @param {HTMLTableRowElement} row @param {number} column @returns {Entry | null} */
  function entry(row, column) {
    const cell = row.cells[column + 1];
    if (cell.dataset.value === undefined) return null;
    const link = /** @type {HTMLAnchorElement} */ (row.querySelector("a"));
    return {
      title: link.textContent || "",
      href: link.getAttribute("href") || "",
      said: cell.querySelector(".figure")?.textContent || "",
      spread: cell.querySelector(".spread")?.textContent || "",
      value: Number(cell.dataset.value),
      low: Number(cell.dataset.low),
      high: Number(cell.dataset.high),
    };
  }

  /**
   * Which entries lead, and whether they are clear of the rest: ranges that touch are a tie.
   * @param {Entry[]} entries @param {boolean} lowerIsBetter
   * @returns {{leaders: Entry[], rest: Entry[]}}
   */
  function verdict(entries, lowerIsBetter) {
    const best = entries.reduce((a, b) => ((lowerIsBetter ? b.value < a.value : b.value > a.value) ? b : a));
    const ties = (/** @type {Entry} */ other) =>
      lowerIsBetter ? other.low <= best.high : other.high >= best.low;
    return { leaders: entries.filter(ties), rest: entries.filter((other) => !ties(other)) };
  }

  /** @param {string[]} names @returns {string} */
  const listed = (names) => [names.slice(0, -1).join("; "), names[names.length - 1]].filter(Boolean).join(" and ");

  /**
   * @param {HTMLElement} quality @param {Entry[]} entries
   * @returns {{text: string, clear: boolean, leaders: Entry[]}}
   */
  function words(quality, entries) {
    const lower = quality.dataset.better === "lower";
    const { leaders, rest } = verdict(entries, lower);
    if (rest.length === 0) return { text: "A tie: the difference is within the spread.", clear: false, leaders: [] };
    const touches = (/** @type {Entry} */ one) => rest.some((other) => (lower ? other.low <= one.high : other.high >= one.low));
    const [between, ahead] = [leaders.filter(touches), leaders.filter((one) => !touches(one))];
    const [lead, behind] = [ahead, rest].map((some) => listed(some.map(({ title }) => title)));
    const middle = between.length ? `; ${listed(between.map(({ title }) => title))} between, a tie with both` : "";
    const text =
      ahead.length > 1
        ? `${lead} tie, ahead of ${behind}${middle}.`
        : `${quality.dataset.most}: ${lead}${between.length ? `, ahead of ${behind}${middle}` : ""}.`;
    return { text, clear: true, leaders: ahead };
  }

  /** @param {string} name @param {Record<string, string>} attributes @param {...(Node | string)} content */
  function element(name, attributes, ...content) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...content);
    return made;
  }

  /** @param {Entry} one @param {number} most @returns {SVGElement} */
  function bar(one, most) {
    const space = "http://www.w3.org/2000/svg";
    const svg = document.createElementNS(space, "svg");
    const shape = (/** @type {string} */ name, /** @type {Record<string, string | number>} */ attributes) => {
      const made = document.createElementNS(space, name);
      for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
      svg.append(made);
    };
    const at = (/** @type {number} */ value) => (100 * value) / most;
    svg.setAttribute("viewBox", "0 0 100 18");
    svg.setAttribute("preserveAspectRatio", "none");
    svg.setAttribute("class", "bar");
    svg.setAttribute("aria-hidden", "true");
    shape("line", { x1: 0, x2: 100, y1: 9, y2: 9, class: "bar__rule" });
    shape("rect", { x: 0, y: 5, width: Math.max(at(one.value), 0.5), height: 8, class: "bar__fill" });
    if (one.high > one.low) {
      shape("line", { x1: at(one.low), x2: at(one.high), y1: 9, y2: 9, class: "bar__spread" });
      for (const end of [one.low, one.high]) {
        shape("line", { x1: at(end), x2: at(end), y1: 5.5, y2: 12.5, class: "bar__spread" });
      }
    }
    return svg;
  }

  /** @param {HTMLElement} quality @param {number} column @param {HTMLTableRowElement[]} rows */
  function axis(quality, column, rows) {
    const entries = rows.map((row) => entry(row, column));
    const known = /** @type {Entry[]} */ (entries.filter(Boolean));
    const scored = !["time", "hold", "yield", "sure", "handling"].includes(quality.dataset.key || "");
    const most = scored ? 100 : Math.max(...known.map(({ high }) => high), 1e-9);
    const said =
      known.length > 1 ? words(quality, known) : { text: "Only one of them has this.", clear: false, leaders: [] };
    const lines = rows.map((row, i) => {
      const one = entries[i];
      const link = /** @type {HTMLAnchorElement} */ (row.querySelector("a"));
      const name = element("a", { href: link.getAttribute("href") || "", class: "versus__name" }, link.textContent || "");
      if (!one) return element("li", {}, name, element("span", { class: "soft" }, "none"));
      const figure = element("span", { class: "figure" }, one.said);
      const spread = element("span", { class: "spread" }, one.spread);
      const leads = said.clear && said.leaders.includes(one);
      return element("li", leads ? { class: "versus__lead" } : {}, name, bar(one, most), figure, spread);
    });
    const text = element("p", { class: said.clear ? "versus__clear" : "versus__tie" }, said.text);
    const side = element("h2", { id: `versus-${quality.dataset.key}` }, quality.dataset.name || "");
    const body = element("div", { class: "section__body" }, text, element("ul", { class: "plain" }, ...lines));
    const tag = quality.querySelector(".tag")?.cloneNode(true);
    return element("section", { class: "section" }, side, element("div", { class: "section__side" }, ...(tag ? [tag] : [])), body);
  }

  function show() {
    const rows = chosen();
    for (const pick of picks) pick.parentElement?.classList.toggle("chosen", pick.value !== "");
    stage.hidden = rows.length < 2;
    stage.replaceChildren(...(rows.length < 2 ? [] : qualities.map((quality, i) => axis(quality, i, rows))));
  }

  function update() {
    const query = new URLSearchParams(chosen().map((row) => ["m", row.dataset.id || ""]));
    const text = query.toString();
    history.replaceState(history.state, "", (text ? "?" + text : location.pathname) + location.hash);
    show();
  }

  const asked = new URLSearchParams(location.search).getAll("m");
  picks.forEach((pick, i) => {
    if ([...pick.options].some(({ value }) => value === asked[i])) pick.value = asked[i];
  });
  form.hidden = false;
  form.addEventListener("change", update);
  form.addEventListener("submit", (event) => event.preventDefault());
  show();
  return { verdict };
})();
