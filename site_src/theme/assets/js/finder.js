// The finder: narrows and orders the list of methods by the values that each entry carries.
// State lives in the address bar, so a narrowed list can be kept or sent. Loaded on every page; acts on one.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.finder = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=finder]"));
  const list = document.querySelector("[data-slowfolio=entries]");
  if (!form || !list) return {};

  const entries = /** @type {HTMLElement[]} */ ([...list.children]);
  const fields = /** @type {(HTMLInputElement | HTMLSelectElement)[]} */ ([...form.elements].filter(
    (element) => element instanceof HTMLInputElement || element instanceof HTMLSelectElement,
  ));
  const facets = ["cut", "wrap", "pit", "holder", "status"];
  const least = ["hours", "spread"];

  /** @param {string} name */
  const chosen = (name) => fields.find((field) => field.name === name)?.value.trim() ?? "";

  /** @param {string} text */
  const words = (text) => text.toLocaleLowerCase().split(/\s+/).filter(Boolean);

  /** @param {HTMLElement} entry @returns {boolean} */
  function fits(entry) {
    const hours = chosen("hours");
    // A withdrawn method shows only to those who ask for it.
    if (entry.dataset.status === "withdrawn" && chosen("status") !== "withdrawn") return false;
    return (
      facets.every((name) => !chosen(name) || (entry.dataset[name] ?? "").split(" ").includes(chosen(name))) &&
      (!hours || Number(entry.dataset.hours ?? Infinity) <= Number(hours)) &&
      words(chosen("text")).every((word) => (entry.dataset.text ?? "").includes(word))
    );
  }

  /** @param {HTMLElement} a @param {HTMLElement} b @returns {number} */
  function order(a, b) {
    const key = chosen("order") || "title";
    const byTitle = (a.dataset.title ?? "").localeCompare(b.dataset.title ?? "");
    if (key === "title") return byTitle;
    const worst = least.includes(key) ? Infinity : -Infinity;
    const [first, second] = [Number(a.dataset[key] ?? worst), Number(b.dataset[key] ?? worst)];
    if (first === second) return byTitle;
    return least.includes(key) ? first - second : second - first;
  }

  /** @param {HTMLInputElement | HTMLSelectElement} field @returns {boolean} */
  const isSet = (field) => field.value.trim() !== "" && !(field.name === "order" && field.value === "title");

  function show() {
    const shown = entries.filter(fits);
    for (const entry of entries) entry.hidden = !shown.includes(entry);
    list?.append(...[...entries].sort(order));
    const set = fields.filter(isSet);
    for (const field of fields) field.parentElement?.classList.toggle("chosen", isSet(field));
    const count = form?.querySelector("output");
    const offered = entries.filter((entry) => entry.dataset.status !== "withdrawn").length;
    const all = offered === 1 ? "1 method" : `${offered} methods`;
    if (count) count.textContent = set.some(({ name }) => name !== "order") ? `${shown.length} of ${all}` : all;
    const none = document.querySelector("#finder-none");
    if (none instanceof HTMLElement) none.hidden = shown.length > 0;
    const reset = form?.querySelector("button[type=reset]");
    if (reset instanceof HTMLElement) reset.hidden = set.length === 0;
  }

  function remember() {
    const query = new URLSearchParams();
    for (const field of fields.filter(isSet)) query.set(field.name, field.value.trim());
    const text = query.toString();
    history.replaceState(history.state, "", (text ? "?" + text : location.pathname) + location.hash);
  }

  function recall() {
    const query = new URLSearchParams(location.search);
    for (const field of fields) {
      const value = query.get(field.name);
      if (value === null) continue;
      if (field instanceof HTMLSelectElement && ![...field.options].some((o) => o.value === value)) continue;
      field.value = value;
    }
  }

  function update() {
    remember();
    show();
  }

  // Ticks for the comparison are made here, since without JavaScript they would do nothing.
  const bar = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=compare-bar]"));
  const most = 4;

  /** @returns {HTMLInputElement[]} */
  const ticks = () => [...(list?.querySelectorAll("input[type=checkbox]") ?? [])].map((box) => /** @type {any} */ (box));

  function offerComparison() {
    const ticked = ticks().filter((box) => box.checked);
    for (const box of ticks()) box.disabled = !box.checked && ticked.length >= most;
    const link = bar?.querySelector("a");
    if (!bar || !link) return;
    bar.hidden = ticked.length < 2;
    link.href = "compare.html?" + new URLSearchParams(ticked.map((box) => ["m", box.value]));
    link.textContent = `Compare these ${ticked.length} methods`;
  }

  for (const entry of entries) {
    if (!bar || entry.dataset.hours === undefined) continue;
    const label = document.createElement("label");
    const box = document.createElement("input");
    box.type = "checkbox";
    box.value = entry.dataset.id ?? "";
    box.autocomplete = "off";
    box.addEventListener("change", offerComparison);
    label.className = "tick";
    label.append(box, "Compare", Object.assign(document.createElement("span"), {
      className: "visually-hidden",
      textContent: ": " + (entry.querySelector("h2")?.textContent ?? "").trim(),
    }));
    entry.querySelector(".entry__status")?.append(label);
  }

  form.hidden = false;
  form.addEventListener("input", update);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(update));
  document.querySelector("[data-slowfolio=show-all]")?.addEventListener("click", () => form.reset());
  window.addEventListener("popstate", () => {
    recall();
    show();
  });
  recall();
  show();
  return { show };
})();
