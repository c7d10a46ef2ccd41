// The At the pit page: the cook and the step it shows, its parts, and how a change is kept before it is shown.
// pit-render.js shows it, pit-acts.js and pit-tools.js change it, pit.js starts it.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitState = (() => {
  const page = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=pit]"));
  if (!page) return null;
  const store = Slowfolio.pitStore;
  const data = JSON.parse(page.dataset.cook || "{}");
  const part = (/** @type {string} */ name) => /** @type {any} */ (page.querySelector(`[data-part=${name}]`));
  const says = (/** @type {string} */ name) => /** @type {HTMLElement} */ (page.querySelector(`[data-says=${name}]`));
  const tool = (/** @type {string} */ name) => /** @type {HTMLButtonElement} */ (page.querySelector(`[data-act=${name}]`));
  const field = (/** @type {any} */ form, /** @type {string} */ name) => form.elements.namedItem(name);
  const steps = /** @type {HTMLElement[]} */ ([...page.querySelectorAll("[data-step]")]);

  /** `ensemble` is false where its figures could not be loaded; `latest` the forecast made last, at `forecastAt`.
   * @type {{cook: any, ensemble: any, latest: any, shown: number, forecastAt: number, rungAt: number, loud: boolean}} */
  const here = { cook: null, ensemble: null, latest: null, shown: 0, forecastAt: 0, rungAt: 0, loud: false };

  function keep() {
    const kept = store.write(here.cook);
    complain(kept ? "" : "This browser keeps nothing on this device. Save the log to a file before you leave the page.");
  }

  /** @param {string} words */
  function complain(words) {
    part("wrong").hidden = words === "";
    part("wrong").textContent = words;
  }

  /** Keep a change, forecast anew, note the forecast, show all. */
  function changed() {
    refresh();
    if (here.latest?.pull) {
      const start = Date.parse(here.cook.log.started_at);
      store.add(here.cook.log, "forecasts", Slowfolio.pitForecast.record(here.latest, start, Date.now()));
    }
    keep();
    Slowfolio.pitRender.render();
  }

  function refresh() {
    here.forecastAt = Date.now();
    here.latest = here.ensemble && here.cook ? Slowfolio.pitForecast.forecastOf(here.cook.log, here.ensemble, here.forecastAt) : null;
  }

  return { page, data, part, says, tool, field, steps, here, keep, complain, changed, refresh };
})();
