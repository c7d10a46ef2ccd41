// The tools of the At the pit page: sound and screen, turning steps, saving and bringing in a log, closing a cook.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitTools = (() => {
  if (!Slowfolio.pitState) return {};
  const { page, part, says, tool, steps, here, keep, complain, refresh } = Slowfolio.pitState;
  const { render, renderStep } = Slowfolio.pitRender;
  const { happened } = Slowfolio.pitActs;
  const store = Slowfolio.pitStore, alarm = Slowfolio.pitAlarm;
  const { iso, element } = Slowfolio.pitWords;

  function renderDevice() {
    tool("sound").setAttribute("aria-pressed", String(here.loud));
    tool("awake").setAttribute("aria-pressed", String(alarm.awake()));
    tool("awake").hidden = !alarm.canStayAwake();
    const words = [here.loud ? "" : "Press Sound so that timers can be heard.", "Timers ring while this page is open.",
      alarm.canStayAwake() ? "" : "This browser does not let a page keep the screen on: set the device itself to its longest time."];
    says("device").textContent = words.filter(Boolean).join(" ");
  }

  /** @param {string} name @param {string} text @param {string} type */
  function save(name, text, type) {
    const link = /** @type {HTMLAnchorElement} */ (element("a", ""));
    link.href = URL.createObjectURL(new Blob([text], { type }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  /** @type {Record<string, () => void>} */
  const tools = {
    back: () => turn(-1),
    on: () => turn(1),
    units: () => /** @type {HTMLButtonElement} */ (document.querySelector("button[data-slowfolio=units]")).click(),
    sound: () => {
      here.loud = alarm.allowSound();
      alarm.ring();
      renderDevice();
    },
    awake: async () => {
      if (alarm.awake()) await alarm.maySleep();
      else if (!(await alarm.stayAwake())) complain("The device did not let this page keep the screen on. Set its own time to the longest.");
      renderDevice();
    },
    lost: () => happened("heat lost"),
    returned: () => happened("heat back"),
    json: () => save(`${here.cook.log.method}-${here.cook.log.id}.json`, store.toJson(here.cook), "application/json"),
    csv: () => save(`${here.cook.log.method}-${here.cook.log.id}.csv`, store.toCsv(here.cook), "text/csv"),
    close: () => {
      here.cook.log.finished_at = iso(Date.now());
      keep();
      refresh();
      render();
    },
    forget: () => {
      if (!confirm(`Delete “${here.cook.log.label}” and its log from this device?`)) return;
      store.remove(here.cook.log.id);
      history.replaceState(null, "", location.pathname);
      Slowfolio.pit.choose();
    },
  };
  for (const [name, run] of Object.entries(tools)) tool(name).addEventListener("click", run);
  for (const jump of /** @type {NodeListOf<HTMLElement>} */ (page.querySelectorAll("[data-go]"))) {
    jump.addEventListener("click", () => document.getElementById(jump.dataset.go ?? "")?.scrollIntoView());
  }

  /** @param {number} by */
  function turn(by) {
    here.shown = Math.min(Math.max(here.shown + by, 0), steps.length - 1);
    renderStep();
    if (part("turn").getBoundingClientRect().top < 0) part("turn").scrollIntoView();
  }

  return { renderDevice };
})();
