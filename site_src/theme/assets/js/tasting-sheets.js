// The sheets of a tasting as they are printed: one for each taster, and the key for the person who carves.
// Makes elements only; what stands on them comes from the layout. Loaded on the page of tastings.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.tastingSheets = (() => {
  const { element } = Slowfolio.parts;
  /** @typedef {{taster: number, place: number, product: string, code: string}} Serving */

  /** The answers a taster may give. @param {string} test @param {string[]} codes @returns {string[]} */
  function choices(test, codes) {
    if (test === "duo-trio") return codes.slice(1);
    if (test === "tetrad") return codes.slice(1).map((code) => `${codes[0]} with ${code}`);
    if (test === "paired preference" || test === "preferences in pairs") return [...codes, "no preference"];
    return codes;
  }

  /** @param {string[]} codes @param {Array<{name: string, low: string, high: string}>} attributes @param {number} points */
  function scoreTable(codes, attributes, points) {
    const head = element("tr", "", element("th", "", "In this order"), ...codes.map((code) => element("th", "slip__code", code)));
    const rows = attributes.map(({ name, low, high }) => {
      const ends = element("span", "soft", ` 1 ${low}, ${points} ${high}`);
      const cells = codes.map(() => element("td", "", element("span", "slip__write", "\u00a0")));
      return element("tr", "", element("th", "", name, element("br", ""), ends), ...cells);
    });
    for (const cell of head.children) cell.setAttribute("scope", "col");
    for (const row of rows) row.firstElementChild?.setAttribute("scope", "row");
    return element("table", "grid", element("thead", "", head), element("tbody", "", ...rows));
  }

  /** @param {any} data @param {any} wanted @param {Serving[]} own @returns {HTMLElement} */
  function slip(data, wanted, own) {
    const codes = own.map(({ code }) => code);
    const task = data.tests[wanted.test].task.replace("{first}", codes[0]).replace("{named}", wanted.attribute);
    const parts = [element("h4", "", `Taster ${own[0].taster}`), element("p", "", task)];
    if (wanted.test === "scores") {
      const asked = data.attributes.filter((/** @type {any} */ { name }) => wanted.attributes.includes(name));
      parts.push(scoreTable(codes, asked, data.points));
    } else {
      parts.push(element("p", "", "Taste in this order: ", element("span", "slip__code", codes.join(", "))));
      const boxes = choices(wanted.test, codes).map((choice) => element("li", "", element("span", "slip__box"), choice));
      parts.push(element("ul", "slip__choices", ...boxes));
      if (wanted.test === "ranking") parts.push(element("p", "soft", "Write 1 for the best, then 2, and so on."));
    }
    return element("section", "slip", ...parts, element("p", "soft", data.reminders.join(" ")));
  }

  /** @param {Serving[]} servings @returns {Serving[][]} The servings of each taster. */
  function plates(servings) {
    /** @type {Serving[][]} */
    const found = [];
    for (const serving of servings) (found[serving.taster - 1] ??= []).push(serving);
    return found;
  }

  /** @param {any} data @param {any} wanted @param {Serving[]} servings */
  const tasters = (data, wanted, servings) => element("div", "slips", ...plates(servings).map((own) => slip(data, wanted, own)));

  /** @param {Serving[]} servings @param {string} warning */
  function carver(servings, warning) {
    const lines = plates(servings).map((own) =>
      element("li", "", element("strong", "", `Plate ${own[0].taster}: `), own.map(({ code, product }) => `${code} ${product}`).join(", ")),
    );
    return element("section", "slip", element("h4", "", "For the person who carves"), element("p", "", warning), element("ul", "plain", ...lines));
  }

  return { element, choices, plates, tasters, carver };
})();
