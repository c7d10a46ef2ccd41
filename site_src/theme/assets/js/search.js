// The search: its button and keys, the name of its dialog, and the theme's script that answers. That script is large
// and nothing else here needs it, so it comes in when somebody searches.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.search = (() => {
  const source = /** @type {HTMLElement | null} */ (document.querySelector("template[data-slowfolio=search-script]"));
  const button = /** @type {HTMLButtonElement | null} */ (document.querySelector("button[data-slowfolio=search]"));
  const box = /** @type {HTMLInputElement | null} */ (document.querySelector("#__search"));
  const field = /** @type {HTMLInputElement | null} */ (document.querySelector(".md-search__input"));
  const KEYS = ["f", "s", "/"];
  let asked = false;

  /** The script looks at box and field as it starts, so that they may be in use by then. */
  function load() {
    if (asked || !source) return;
    asked = true;
    const script = document.createElement("script");
    script.src = source.dataset.src || "";
    document.body.append(script);
  }

  /** The theme opens its dialog from a check box that no keyboard or screen reader finds by itself. */
  function open() {
    load();
    if (!box || !field) return;
    if (!box.checked) box.click();
    field.focus();
  }

  function name() {
    const dialog = document.querySelector(".md-search");
    dialog?.setAttribute("aria-label", "Search");
    dialog?.querySelector(".md-search__scrollwrap")?.setAttribute("aria-label", "Search results");
    dialog?.querySelector(".md-search__scrollwrap")?.setAttribute("role", "region");
  }

  if (button) {
    button.hidden = false;
    button.addEventListener("click", open);
    // A finger or pointer on its way to the button: the script is there when the dialog is.
    button.addEventListener("pointerenter", load, { once: true });
  }
  document.addEventListener("keydown", (event) => {
    const typing = /** @type {Element} */ (event.target).closest("input, select, textarea, [contenteditable]");
    if (asked || typing || event.ctrlKey || event.metaKey || event.altKey || !KEYS.includes(event.key)) return;
    event.preventDefault();
    open();
  });
  // The dialog closes by Escape before the theme's script has come, too, and the keyboard is back where it was.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !box?.checked) return;
    box.click();
    button?.focus();
  });
  // A single letter is no word to look for, and the slowest of all to answer: the theme is not told of it.
  document.addEventListener("keyup", (event) => {
    if (event.target === field && field?.value.trim().length === 1) event.stopPropagation();
  }, true);
  if (new URLSearchParams(location.search).has("q")) load();
  name();
  return { open };
})();
