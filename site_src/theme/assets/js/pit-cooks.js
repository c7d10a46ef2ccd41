// The list of cooks on this device, and bringing in a log: on the pages of the methods and on the one before them.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitCooks = (() => {
  const { element, clock, span } = Slowfolio.pitWords;

  /** @param {any} cook @param {string} base Leads to the folder of the methods' pages. @param {string} [current] */
  function entry({ log }, base, current) {
    const link = /** @type {HTMLAnchorElement} */ (element("a", "", log.label));
    link.href = `${base}${encodeURIComponent(log.method)}.html#${log.id}`;
    if (log.id === current) link.setAttribute("aria-current", "true");
    const since = Date.parse(log.started_at);
    const words = log.finished_at ? `over since ${clock(Date.parse(log.finished_at))}` : `on for ${span(Date.now() - since)}`;
    return element("li", log.finished_at ? "pit__over" : "", link, " ", element("span", "", `${log.method_title ?? log.method}, ${words}`));
  }

  /** @param {HTMLElement} place @param {any[]} cooks @param {string} base @param {string} [current] */
  function show(place, cooks, base, current) {
    place.hidden = cooks.length === 0;
    place.replaceChildren(element("ul", "plain pit__list", ...cooks.map((cook) => entry(cook, base, current))));
  }

  /** Read the file that was chosen. @param {HTMLInputElement} field @param {(cook: any) => void} take
   * @param {(words: string) => void} refuse */
  function bringIn(field, take, refuse) {
    field.addEventListener("change", async () => {
      const file = field.files?.[0];
      if (!file) return;
      try {
        if (file.size > 5_000_000) throw new Error("This file is larger than any log of a cook.");
        take(Slowfolio.pitStore.fromJson(await file.text()));
      } catch (error) {
        refuse(/** @type {Error} */ (error).message);
      }
      field.value = "";
    });
  }

  return { show, bringIn };
})();
