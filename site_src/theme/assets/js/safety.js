// The safety page: shows the limits of one authority at a time. Without this script all of them stand one below
// the other, the book's own first. The choice stands in the address bar.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.safety = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=authority]"));
  const choice = form?.querySelector("select");
  if (!form || !choice) return {};
  const sections = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("[data-authority]")]);

  function show() {
    for (const section of sections) section.hidden = section.dataset.authority !== choice?.value;
    choice?.parentElement?.classList.toggle("chosen", choice.selectedIndex > 0);
  }

  function update() {
    const query = choice && choice.selectedIndex > 0 ? `?a=${encodeURIComponent(choice.value)}` : location.pathname;
    history.replaceState(history.state, "", query + location.hash);
    show();
  }

  const asked = new URLSearchParams(location.search).get("a");
  choice.value = [...choice.options].some(({ value }) => value === asked) ? String(asked) : choice.options[0].value;
  form.hidden = false;
  form.addEventListener("input", update);
  form.addEventListener("submit", (event) => event.preventDefault());
  show();
  return { show };
})();
