// The page that lists the cooks on this device before a method is chosen.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitIndex = (() => {
  const page = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=pit-index]"));
  if (!page) return {};
  const { all, read, write } = Slowfolio.pitStore;
  const known = JSON.parse(page.dataset.known || "{}");
  const part = (/** @type {string} */ name) => /** @type {HTMLElement} */ (page.querySelector(`[data-part=${name}]`));
  const field = /** @type {HTMLInputElement} */ (page.querySelector("input[type=file]"));

  const show = () => Slowfolio.pitCooks.show(part("cooks"), all().filter((/** @type {any} */ { log }) => known[log.method]), "at-the-pit/");
  const say = (/** @type {string} */ words) => {
    part("wrong").hidden = words === "";
    part("wrong").textContent = words;
  };

  Slowfolio.pitCooks.bringIn(field, (/** @type {any} */ cook) => {
    if (!known[cook.log.method]) return say(`This book has no method “${cook.log.method}”, so its log cannot be run here.`);
    if (read(cook.log.id)) return say("This cook is on this device already.");
    say(write(cook) ? "" : "This browser keeps nothing: the log cannot be brought in here.");
    show();
    return undefined;
  }, say);

  part("bring").hidden = false;
  show();
  addEventListener("storage", show);
  return { show };
})();
