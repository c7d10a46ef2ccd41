// The elements that every part of a shown plan is made of. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planParts = (() => {
  const { element, units } = Slowfolio.parts;

  /** @param {string} title @param {string} id @param {Node[]} side @param {...Node} body */
  function section(title, id, side, ...body) {
    const head = element("h2", "", title);
    head.id = id;
    const made = element("section", `section plan-${id}`, head, element("div", "section__side", ...side), element("div", "section__body", ...body));
    return made;
  }

  const list = (/** @type {(Node | string)[]} */ items, cls = "") => element("ul", cls, ...items.map((item) => element("li", "", item)));
  const mark = (/** @type {string} */ provenance) => element("span", "origin", provenance);

  return { element, units, section, list, mark };
})();
