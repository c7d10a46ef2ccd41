// The fields of the form that lays out a tasting: what is on offer for a question, and what was asked for.
// Shows nothing of a plan; `tasting-design` does. Loaded on the page of tastings.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.tastingForm = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=tasting-design]"));
  if (!form) return {};
  const { element } = Slowfolio.tastingSheets;
  const MOST_PRODUCTS = 6;
  const MOST_TASTERS = 120;

  /** @type {any} */
  let data = null;

  /** @param {string} name @returns {any} */
  const field = (name) => form.elements.namedItem(name);

  // --- the form -------------------------------------------------------------------------------------

  /** @param {string} name @param {string} label @param {HTMLElement} control @returns {HTMLElement} */
  function pick(name, label, control) {
    const caption = element("label", "", label);
    caption.setAttribute("for", `tasting-${name}`);
    control.id = `tasting-${name}`;
    control.setAttribute("name", name);
    control.setAttribute("autocomplete", "off");
    return element("div", "pick", caption, control);
  }

  /** @param {string} kind @param {Record<string, string>} attributes @returns {HTMLInputElement} */
  function input(kind, attributes = {}) {
    const made = /** @type {HTMLInputElement} */ (element("input", ""));
    made.type = kind;
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  }

  /** @param {Array<[string, string]>} options @returns {HTMLSelectElement} */
  function select(options) {
    const made = /** @type {HTMLSelectElement} */ (element("select", ""));
    made.append(...options.map(([value, text]) => new Option(text, value)));
    return made;
  }

  /** @param {string} name @param {string} value @param {string} text @param {boolean} checked */
  function tick(name, value, text, checked) {
    const box = input("checkbox", { name, value, autocomplete: "off" });
    box.checked = checked;
    return element("label", "tick", box, text);
  }

  /** @param {any} given The tables and words of the page. */
  function build(given) {
    data = given;
    const sentence = (/** @type {string} */ text) => text[0].toUpperCase() + text.slice(1);
    const questions = Object.entries(data.questions).map(([word, { text }]) => /** @type {[string, string]} */ ([word, sentence(text)]));
    const names = ["boat", "paper", "", "", "", ""];
    const products = names.map((name, i) => pick(`product-${i + 1}`, `Product ${i + 1}`, input("text", { value: name, maxlength: "40" })));
    const scored = element(
      "fieldset", "", element("legend", "", "Attributes scored"),
      ...data.attributes.map((/** @type {any} */ { name, usual }) => tick("attributes", name, name, usual)),
    );
    scored.dataset.for = "scores";
    const compared = data.attributes.filter((/** @type {any} */ { name }) => name !== "liking").map((/** @type {any} */ { name }) => [name, name]);
    form?.replaceChildren(
      element("div", "designer__row", pick("question", "Question", select(questions)), pick("count", "Products", select([2, 3, 4, 5, 6].map((n) => [String(n), String(n)])))),
      element("div", "designer__row", ...products),
      element("div", "designer__row",
        pick("test", "Test", select([])),
        pick("attribute", "More of what", select(compared)),
        pick("direction", "Said beforehand", select([["", "either may have more"]])),
        pick("difference", "Looked for", select([]))),
      scored,
      element("div", "designer__row",
        pick("power", "Found how often", select(data.powers.map((/** @type {number} */ p, /** @type {number} */ i) => [String(i), `${Math.round(100 * p)} times in 100`]))),
        pick("tasters", "Tasters", input("number", { min: "1", max: String(MOST_TASTERS), step: "1", placeholder: "as advised" })),
        pick("seed", "Seed", input("number", { min: "0", max: "9007199254740991", step: "1" }))),
      element("div", "", tick("lingers", "yes", "Smoke lingers: one piece hides the next", false)),
    );
    field("seed").value = String(crypto.getRandomValues(new Uint32Array(1))[0] % 1e9);
  }

  // --- from the form to what is wanted --------------------------------------------------------------

  /** Fill a select anew and keep its value where it is still offered. @param {string} name @param {Array<[string, string]>} options @param {string} usual */
  function offer(name, options, usual) {
    const list = /** @type {HTMLSelectElement} */ (field(name));
    const before = list.value;
    list.replaceChildren(...options.map(([value, text]) => new Option(text, value)));
    list.value = options.some(([value]) => value === before) ? before : usual;
    if (list.selectedIndex < 0) list.selectedIndex = 0;
  }

  /** @param {string} name @param {boolean} shown */
  function show(name, shown) {
    const box = field(name)?.closest(".pick");
    if (box) box.hidden = !shown;
  }

  /** The differences of a test; another test starts from its usual one. @param {string} test @param {string} question */
  function offerDifferences(test, question) {
    const differences = data.tests[test].differences[question];
    const list = field("difference");
    const measure = `${test}|${question}`;
    if (list.dataset.measure !== measure) list.replaceChildren();
    list.dataset.measure = measure;
    const options = differences.map((/** @type {any} */ { value, text }) => [String(value), text]);
    offer("difference", options, String(differences.find((/** @type {any} */ { usual }) => usual).value));
  }

  function setControls() {
    const question = field("question").value;
    const asked = data.questions[question];
    const twoOnly = asked.tests.every((/** @type {string} */ test) => data.tests[test].products[1] === 2);
    if (twoOnly) field("count").value = "2";
    show("count", !twoOnly);
    const count = Number(field("count").value);
    for (let i = 1; i <= MOST_PRODUCTS; i++) show(`product-${i}`, i <= count);
    const fitting = asked.tests.filter((/** @type {string} */ test) => data.tests[test].products[0] <= count && count <= data.tests[test].products[1]);
    offer("test", [["", "What suits best"], ...fitting.map((/** @type {string} */ test) => [test, test])], "");
    const test = testWanted(question, count).test;
    offerDifferences(test, asked.name);
    const names = products().map((name) => /** @type {[string, string]} */ ([name, `${name} has more`]));
    offer("direction", [["", "either may have more"], ...names], "");
    for (const name of ["attribute", "direction"]) show(name, question === "more");
    const scored = form?.querySelector("[data-for=scores]");
    if (scored instanceof HTMLElement) scored.hidden = test !== "scores";
    const lingers = form?.querySelector("[name=lingers]")?.closest("div");
    if (lingers) lingers.hidden = !["differ", "swap"].includes(question) || field("test").value !== "";
  }

  /** @returns {string[]} */
  const products = () =>
    Array.from({ length: Number(field("count").value) }, (_, i) => String(field(`product-${i + 1}`).value).trim());

  /** @param {string} question @param {number} count @returns {{test: string, reason: string}} */
  function testWanted(question, count) {
    const named = field("test").value;
    if (named) return { test: named, reason: "named by the cook" };
    const carried = field("lingers").checked ? "strong" : "slight";
    return data.chosen[`${question}|${carried}|${count}`];
  }

  return { build, setControls, products, testWanted, field };
})();
