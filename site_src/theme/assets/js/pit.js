// Starts the At the pit page: which cook it shows, its ensemble, and what wakes it.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pit = (() => {
  if (!Slowfolio.pitState) return {};
  const { page, data, part, field, steps, here, keep, complain, refresh } = Slowfolio.pitState;
  const { render, tick } = Slowfolio.pitRender;
  const store = Slowfolio.pitStore, show = Slowfolio.pitShow;
  const { fieldTime } = Slowfolio.pitWords;

  /** Show the cook of the address, else the latest of this method that is under way. */
  function choose() {
    const asked = location.hash.slice(1);
    const own = store.all().filter((/** @type {any} */ { log }) => log.method === data.method);
    here.cook = own.find((/** @type {any} */ { log }) => log.id === asked)
      ?? (asked === "new" ? null : own.find((/** @type {any} */ { log }) => !log.finished_at) ?? null);
    if (here.cook && here.cook.log.stages.length !== data.stages.length) {
      complain("This cook was begun with another revision of the card: its steps differ. Its log can be saved.");
    }
    here.shown = here.cook ? Math.min(show.stageOf(here.cook.log) + 1, steps.length - 1) : 0;
    field(part("start"), "on").value = fieldTime(Date.now());
    field(part("start"), "label").value = `Piece ${own.length + 1}`;
    const planned = new Date(new URLSearchParams(location.search).get("by") ?? "").getTime();
    const by = here.cook ? here.cook.page.by : planned > Date.now() ? planned : null;
    field(part("by"), "by").value = by ? fieldTime(by) : "";
    refresh();
    render();
  }

  Slowfolio.pitCooks.bringIn(page.querySelector("input[type=file]"), (/** @type {any} */ brought) => {
    if (brought.log.method !== data.method) return complain(`This is a log of “${brought.log.method_title ?? brought.log.method}”. Bring it in on the page “All cooks”.`);
    if (store.read(brought.log.id) && !confirm("This cook is on this device already. Put the file in its place?")) return undefined;
    here.cook = brought;
    history.replaceState(null, "", `#${here.cook.log.id}`);
    keep();
    return choose();
  }, complain);

  addEventListener("hashchange", choose);
  addEventListener("storage", (event) => {
    if (event.key === null || event.key.startsWith(store.PREFIX)) choose();
  });
  document.addEventListener("slowfolio:units", () => render());
  setInterval(tick, 1000);

  page.classList.add("pit--running");
  Slowfolio.pitTools.renderDevice();
  choose();
  if (data.engine) {
    const base = new URL("../", location.href.replace(/[?#].*$/, "")).href;
    Slowfolio.carried.load(data.method, base).then(
      (/** @type {any} */ found) => {
        here.ensemble = found;
        refresh();
        render();
      },
      () => {
        here.ensemble = false;
        render();
      },
    );
  }
  return { choose, cook: () => here.cook, forecast: () => here.latest, ensemble: () => here.ensemble };
})();
