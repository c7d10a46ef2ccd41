// The elements that scripts build pages of. Given values, gives elements; knows no page. Loaded on every page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.parts = (() => {
  /** @param {string} name @param {string} cls @param {...(Node | string)} content @returns {HTMLElement} */
  function element(name, cls, ...content) {
    const made = document.createElement(name);
    if (cls) made.className = cls;
    made.append(...content);
    return made;
  }

  /** A text in both unit systems; styles show the one in force. @param {{us: string, metric: string}} text
   * @returns {DocumentFragment} */
  function units({ us, metric }) {
    const made = document.createDocumentFragment();
    if (us === metric) made.append(us);
    else made.append(element("span", "u-us", us), element("span", "u-si", metric));
    return made;
  }

  return { element, units };
})();
