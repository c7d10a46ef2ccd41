// What the reader chose, applied before the first paint: unit system and light or dark page.
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
  root.classList.remove("no-js");
  root.classList.add("js");
  return { read, write };
})();
