// Lays out the tasting that the form asks for: test, power, orders, codes, sheets and the key.
// Works without a network; the powers were worked out beforehand. Loaded on the page of tastings.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.tastingDesign = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=tasting-design]"));
  const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=tasting-plan]"));
  if (!form || !stage) return {};
  const { element, tasters, carver } = Slowfolio.tastingSheets;
  const { field, products, testWanted, setControls, build } = Slowfolio.tastingForm;
  const words = JSON.parse(form.dataset.words || "{}");

  /** @type {any} */
  let data = null;
  /** @type {any} */
  let latest = null;

  // --- what is asked ---------------------------------------------------------------------------------

  /** The row of the tables for what is asked. @param {any} wanted */
  function row(wanted) {
    const question = wanted.test === "ranking" ? "order" : data.questions[wanted.question].name;
    const oneSided = ["triangle", "duo-trio", "tetrad"].includes(wanted.test) || wanted.direction !== "";
    const key = [wanted.test, question, wanted.products.length, oneSided ? "one-sided" : "two-sided", wanted.difference].join("|");
    return data.rows[key];
  }

  /** @returns {any} What the form asks for, with `fault` in words where it cannot be laid out. */
  function read() {
    const question = field("question").value;
    const direction = question === "more" ? field("direction").value : "";
    let named = products();
    if (direction) named = [...named.filter((name) => name !== direction), direction];
    const { test, reason } = testWanted(question, named.length);
    const ticked = /** @type {HTMLInputElement[]} */ ([...(form?.querySelectorAll("[name=attributes]:checked") ?? [])]);
    const wanted = {
      question, test, reason, direction,
      products: named,
      attribute: question === "more" ? field("attribute").value : "",
      attributes: ticked.map(({ value }) => value),
      difference: field("difference").value,
      powerIndex: Number(field("power").value),
      seed: Number(field("seed").value),
      tasters: 0,
    };
    const table = row(wanted);
    wanted.tasters = field("tasters").value === "" ? table.advised[wanted.powerIndex] : Number(field("tasters").value);
    return { ...wanted, table, fault: fault(wanted) };
  }

  /** @param {any} wanted @returns {string} */
  function fault(wanted) {
    if (wanted.products.some((/** @type {string} */ name) => name === "")) return "Give every product a name.";
    if (new Set(wanted.products).size < wanted.products.length) return "Name each product once.";
    if (wanted.test === "scores" && wanted.attributes.length === 0) return "Tick at least one attribute.";
    if (!Number.isInteger(wanted.tasters) || wanted.tasters < 1 || wanted.tasters > 500) return "Give a whole number of tasters, from 1 to 500.";
    if (!Number.isSafeInteger(wanted.seed) || wanted.seed < 0 || field("seed").value === "") return "Give a whole number as seed, 0 or more.";
    const pieces = Slowfolio.tastingLayout.pieces(data, wanted);
    if (pieces * wanted.tasters > data.codes.length) return `There are ${data.codes.length} codes that tell nothing, and ${pieces * wanted.tasters} pieces: split the tasting in two, with a seed each.`;
    return "";
  }

  // --- what is shown --------------------------------------------------------------------------------

  /** @param {any} wanted @returns {number | null} Power as a share, null beyond the tables. */
  const power = (wanted) => {
    const kept = wanted.table.power[wanted.tasters - 1];
    return kept === undefined ? null : kept / data.scale;
  };

  /** @param {any} wanted @returns {string[]} */
  function notes(wanted) {
    const found = power(wanted);
    const { advised, round_of: round } = wanted.table;
    const said = [];
    if (found !== null && found < data.powers[0]) {
      said.push(`${wanted.tasters} tasters would find a difference of the size named only ${Math.round(100 * found)} times in 100; ${advised[0]} would find it at least ${Math.round(100 * data.powers[0])} times in 100.`);
    }
    if (wanted.tasters % round) {
      said.push(`${wanted.tasters} tasters do not use every serving order equally often: ${Math.ceil(wanted.tasters / round) * round} would, being a multiple of ${round}.`);
    }
    return said;
  }

  /** @param {Array<[string, string]>} rows */
  function pairs(rows) {
    const list = element("dl", "pairs");
    for (const [label, text] of rows) list.append(element("dt", "", label), element("dd", "", text));
    return list;
  }

  /** @param {string} label @param {"tasters" | "carver"} which */
  function printer(label, which) {
    const button = element("button", "", label);
    button.setAttribute("type", "button");
    button.addEventListener("click", () => {
      document.documentElement.dataset.printing = which;
      stage?.querySelectorAll("details").forEach((details) => (details.open = true));
      window.print();
      delete document.documentElement.dataset.printing;
    });
    return button;
  }

  /** @param {any} wanted */
  function planned(wanted) {
    const found = power(wanted);
    const chance = found === null ? words.beyond : `${Math.round(100 * found)} times in 100 it is found that ${field("difference").selectedOptions[0].text}`;
    const pieces = Slowfolio.tastingLayout.pieces(data, wanted);
    const rows = /** @type {Array<[string, string]>} */ ([
      ["Test", `${wanted.test[0].toUpperCase()}${wanted.test.slice(1)}: ${wanted.reason}.`],
      ["Tasters", `${wanted.tasters}; advised ${wanted.table.advised[wanted.powerIndex]}, needed ${wanted.table.needed[wanted.powerIndex]}, in rounds of ${wanted.table.round_of}`],
      ["Power", `${chance} (false alarm ${Math.round(100 * data.alpha)} in 100)`],
      ["Each taster", data.sittings[pieces]],
      ["Seed", `${wanted.seed}: draws the same orders and codes again`],
    ]);
    const servings = Slowfolio.tastingLayout.servings(data, wanted);
    const key = element("details", "more more--print planned__carver planned__print", element("summary", "", "The key, for the person who carves"), carver(servings, words.key));
    const slips = element("details", "more more--print planned__tasters planned__print", element("summary", "", `${wanted.tasters} sheets for tasters`), tasters(data, wanted, servings));
    const command = element("p", "planned__command", "On the command line: ", element("code", "", Slowfolio.tastingLayout.commandLine(wanted)));
    const warnings = notes(wanted).map((text) => element("p", "", element("strong", "", "Note: "), text));
    const tools = element("div", "planned__tools", printer("Print the tasters’ sheets", "tasters"), printer("Print the carver’s key", "carver"));
    latest = { ...wanted, power: found, servings, notes: notes(wanted) };
    return element("div", "planned", pairs(rows), ...warnings, command, tools, slips, key);
  }

  function update() {
    setControls();
    const wanted = read();
    latest = null;
    stage?.replaceChildren(wanted.fault ? element("div", "notice", element("p", "", wanted.fault)) : planned(wanted));
  }

  /** Called by the data script. @param {any} given */
  function take(given) {
    data = given;
    build(given);
    form.hidden = false;
    form.addEventListener("input", update);
    form.addEventListener("submit", (event) => event.preventDefault());
    update();
  }

  addEventListener("load", () => {
    if (data === null) stage.replaceChildren(element("div", "notice", element("p", "", words.missing)));
  });
  return { take, latest: () => latest };
})();
