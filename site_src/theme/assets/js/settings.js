// What must be known before the first paint: unit system and light or dark page as the reader chose, and the faces.
// Loaded in the head of every page; the buttons themselves are in chrome.js.
// @ts-check
"use strict";

/** @typedef {"us" | "metric"} UnitSystem */
/** @typedef {"light" | "dark"} Scheme */

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.settings = (() => {
  const prefix = "slowfolio.";
  const root = document.documentElement;

  /** @param {string} name @returns {string | null} */
  function read(name) {
    try {
      return localStorage.getItem(prefix + name);
    } catch {
      return null;
    }
  }

  /** @param {string} name @param {string} value */
  function write(name, value) {
    try {
      localStorage.setItem(prefix + name, value);
    } catch {
      // Private windows may refuse storage: the choice then lasts for this page.
    }
  }

  const units = read("units");
  if (units === "us" || units === "metric") root.dataset.units = units;
  const scheme = read("scheme");
  if (scheme === "light" || scheme === "dark") root.dataset.scheme = scheme;
  // Asked for at once, the faces are there before the first line is laid out. A folder's files need no such care.
  const here = /** @type {HTMLScriptElement} */ (document.currentScript).src;
  for (const face of location.protocol === "file:" ? [] : ["besley", "atkinson-hyperlegible-next"]) {
    const link = document.createElement("link");
    const href = new URL(`../fonts/${face}-latin-wght.woff2`, here).href;
    document.head.append(Object.assign(link, { rel: "preload", as: "font", type: "font/woff2", crossOrigin: "", href }));
  }
  root.classList.remove("no-js");
  root.classList.add("js");
  return { read, write };
})();
