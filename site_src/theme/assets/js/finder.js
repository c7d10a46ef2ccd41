// The finder: narrows the list of methods by the values that each entry carries, and shows it in the order asked for.
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
  const controls = fields.filter((field) => field.dataset.most !== undefined);

  /** @typedef {{entry: HTMLElement, title: string, figures: Record<string, any>}} Candidate */

  /** @param {HTMLElement} entry @returns {Candidate} */
  const candidate = (entry) => ({
    entry,
    title: (entry.querySelector("h2")?.textContent ?? "").trim(),
    figures: Object.fromEntries(controls.flatMap(({ name }) => {
      const text = entry.dataset[name];
      return text === undefined ? [] : [[name, Slowfolio.finderOrder.figure(text)]];
    })),
  });

  const candidates = entries.map(candidate);
  let standing = entries;

  /** @param {string} name */
  const chosen = (name) => fields.find((field) => field.name === name)?.value.trim() ?? "";

  /** @param {string} text */
  const words = (text) => text.toLocaleLowerCase().split(/\s+/).filter(Boolean);

  /** @returns {(entry: HTMLElement) => boolean} Whether an entry fits all that is chosen, read once. */
  function filter() {
    const set = facets.map((name) => [name, chosen(name)]).filter(([, value]) => value);
    const [hours, hold, height] = ["hours", "hold", "altitude"].map((name) => Number(chosen(name)));
    const sought = words(chosen("text"));
    const withdrawn = chosen("status") === "withdrawn";
    return ({ dataset }) =>
      // A withdrawn method shows only to those who ask for it.
      (withdrawn || dataset.status !== "withdrawn") &&
      set.every(([name, value]) => (dataset[name] ?? "").split(" ").includes(value)) &&
      (!hours || Number(dataset.hours ?? Infinity) <= hours) &&
      (!hold || Number(dataset.hold ?? 0) >= hold) &&
      (!height || Number(dataset.altitude ?? Infinity) >= height) &&
      sought.every((word) => (dataset.text ?? "").includes(word));
  }

  /** @returns {any[]} What matters, with its words and weight. */
  const matters = () => controls.map(({ name, value, dataset }) => (
    { key: name, name: dataset.name, most: dataset.most, lower: dataset.better === "lower", weight: Number(value) }
  ));

  /** @param {number} count @returns {string} The methods that are compared, in words. */
  function among(count) {
    const parts = fields.filter((field) => field.dataset.among && isSet(field)).map((field) => {
      if (field.value === "none") return field.dataset.none;
      const said = field instanceof HTMLSelectElement ? field.selectedOptions[0].text : `“${field.value.trim()}”`;
      return `${field.dataset.among} ${said}`;
    });
    return parts.length ? `of those ${parts.join(", ")}` : `of all ${count}`;
  }

  /** @param {HTMLElement} entry @param {string} reason */
  function explain(entry, reason) {
    let line = entry.querySelector(".entry__reason");
    if (!line && !reason) return;
    if (!line) {
      line = Object.assign(document.createElement("p"), { className: "entry__reason" });
      entry.querySelector("h2")?.after(line);
    }
    if (line.textContent !== reason) line.textContent = reason;
  }

  /** @param {HTMLElement[]} order Moves entries only where the order is another one than before. */
  function arrange(order) {
    if (order.every((entry, i) => entry === standing[i])) return;
    list?.append(...order);
    standing = order;
  }

  /** @param {HTMLInputElement | HTMLSelectElement} field @returns {boolean} */
  const isSet = (field) => field.value.trim() !== "";

  function show() {
    const fits = filter();
    const shown = candidates.filter(({ entry }) => fits(entry));
    const fitting = new Set(shown.map(({ entry }) => entry));
    for (const entry of entries) entry.hidden = !fitting.has(entry);
    /** @type {{candidate: Candidate, reason: string}[]} */
    const ranked = Slowfolio.finderOrder.rank(shown, matters(), among(shown.length));
    for (const { candidate, reason } of ranked) explain(candidate.entry, reason);
    arrange([...ranked.map(({ candidate }) => candidate.entry), ...entries.filter((entry) => !fitting.has(entry))]);
    tell(shown.length);
  }

  /** @param {number} count How many methods are shown. */
  function tell(count) {
    const set = fields.filter(isSet);
    for (const field of fields) field.parentElement?.classList.toggle("chosen", isSet(field));
    const output = form?.querySelector("output");
    const offered = entries.filter((entry) => entry.dataset.status !== "withdrawn").length;
    const all = offered === 1 ? "1 method" : `${offered} methods`;
    if (output) output.textContent = set.some((field) => !controls.includes(field)) ? `${count} of ${all}` : all;
    const weighed = controls.filter(isSet).map((field) => field.dataset.label).join(", ");
    const gist = form?.querySelector("[data-slowfolio=matters]");
    if (gist) gist.textContent = weighed || "nothing yet, so by name";
    const none = document.querySelector("#finder-none");
    if (none instanceof HTMLElement) none.hidden = count > 0;
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
