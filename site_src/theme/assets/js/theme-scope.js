// The four names that the theme's bundle expects to find, without an inline script.
// @ts-check
"use strict";

/** Address that stored values belong to: the root of this site. */
var __md_scope = new URL(
  /** @type {HTMLScriptElement} */ (document.currentScript).dataset.base || ".",
  location.href,
);

/** @param {string} text */
var __md_hash = (text) => [...text].reduce((sum, char) => ((sum << 5) - sum + char.charCodeAt(0)) | 0, 0);

/**
 * @param {string} key
 * @param {Storage} [storage]
 * @param {URL} [scope]
 */
var __md_get = (key, storage = localStorage, scope = __md_scope) => {
  try {
    return JSON.parse(storage.getItem(scope.pathname + "." + key) || "null");
  } catch {
    return null;
  }
};

/**
 * @param {string} key
 * @param {unknown} value
 * @param {Storage} [storage]
 * @param {URL} [scope]
 */
var __md_set = (key, value, storage = localStorage, scope = __md_scope) => {
  try {
    storage.setItem(scope.pathname + "." + key, JSON.stringify(value));
  } catch {
    // A full or forbidden storage must not break the page.
  }
};
