// The elements that every part of a shown plan is made of. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planParts = (() => {
  /** @typedef {{us: string, metric: string}} Both */

  /** @param {string} name @param {string} cls @param {...(Node | string)} content */
  function element(name, cls, ...content) {
    const made = document.createElement(name);
    if (cls) made.className = cls;
    made.append(...content);
    return made;
  }

  /** @param {Both} text @returns {DocumentFragment} */
  function units({ us, metric }) {
    const made = document.createDocumentFragment();
    if (us === metric) made.append(us);
    else made.append(element("span", "u-us", us), element("span", "u-si", metric));
    return made;
  }

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
