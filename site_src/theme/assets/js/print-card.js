// The button that prints the card of a method. Made here, since without JavaScript it would do nothing.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.printCard = (() => {
  const tools = document.querySelector("[data-slowfolio=print-card]");
  if (!tools) return {};
  const button = Object.assign(document.createElement("button"), { type: "button", textContent: "Print this card" });
  button.addEventListener("click", () => window.print());
  tools.prepend(button);
  return {};
})();
