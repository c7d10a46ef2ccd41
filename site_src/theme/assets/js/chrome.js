// The masthead: unit switch, light and dark, search, menu, what stands under a word; the search dialog's name.
// Loaded at the end of every page, after the theme's bundle.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.chrome = (() => {
  const root = document.documentElement;
  const dark = matchMedia("(prefers-color-scheme: dark)");

  /** @param {string} name @returns {HTMLButtonElement | null} */
  const tool = (name) => document.querySelector(`button[data-slowfolio=${name}]`);

  /** @returns {"us" | "metric"} The system in force: the reader's choice, else the book's. */
  function units() {
    const first = document.querySelector("[data-units-first]");
    return /** @type {any} */ (root.dataset.units || first?.getAttribute("data-units-first") || "us");
  }

  function nameUnits() {
    const name = units() === "us" ? "°F: US units. Change to metric" : "°C: metric units. Change to US";
    tool("units")?.setAttribute("aria-label", name);
  }

  function switchUnits() {
    root.dataset.units = units() === "us" ? "metric" : "us";
    Slowfolio.settings.write("units", root.dataset.units);
    nameUnits();
    document.dispatchEvent(new CustomEvent("slowfolio:units", { detail: root.dataset.units }));
  }

  /** @returns {boolean} */
  const isDark = () => (root.dataset.scheme ? root.dataset.scheme === "dark" : dark.matches);

  function nameScheme() {
    tool("scheme")?.setAttribute("aria-pressed", String(isDark()));
  }

  function switchScheme() {
    root.dataset.scheme = isDark() ? "light" : "dark";
    Slowfolio.settings.write("scheme", root.dataset.scheme);
    nameScheme();
  }

  function switchMenu() {
    const button = tool("menu");
    if (!button) return;
    const open = button.getAttribute("aria-expanded") !== "true";
    button.setAttribute("aria-expanded", String(open));
    document.querySelector(".masthead")?.classList.toggle("masthead--open", open);
  }

  /**
   * A word of the masthead that shows what stands under it: closed by Escape, by a click elsewhere, and by
   * moving on.
   * @param {HTMLButtonElement} button
   */
  function disclose(button) {
    const group = button.parentElement;
    /** @param {boolean} open */
    const set = (open) => button.setAttribute("aria-expanded", String(open));
    const isOpen = () => button.getAttribute("aria-expanded") === "true";
    button.hidden = false;
    button.addEventListener("click", () => set(!isOpen()));
    document.addEventListener("click", ({ target }) => {
      if (!group?.contains(/** @type {Node} */ (target))) set(false);
    });
    group?.addEventListener("focusout", ({ relatedTarget }) => {
      if (relatedTarget && !group.contains(/** @type {Node} */ (relatedTarget))) set(false);
    });
    group?.addEventListener("keydown", (event) => {
      if (event.key !== "Escape" || !isOpen()) return;
      set(false);
      button.focus();
    });
  }

  /** @type {Array<[string, () => void]>} */
  const tools = [
    ["units", switchUnits],
    ["scheme", switchScheme],
    ["menu", switchMenu],
  ];
  for (const [name, act] of tools) {
    const button = tool(name);
    if (!button) continue;
    button.hidden = false;
    button.addEventListener("click", act);
  }
  for (const button of document.querySelectorAll("button[data-slowfolio=more]")) {
    disclose(/** @type {HTMLButtonElement} */ (button));
  }
  nameUnits();
  nameScheme();
  dark.addEventListener("change", nameScheme);
  document.addEventListener("keydown", (event) => {
    const menu = tool("menu");
    if (event.key !== "Escape" || menu?.getAttribute("aria-expanded") !== "true") return;
    switchMenu();
    menu.focus();
  });
  return { units };
})();
