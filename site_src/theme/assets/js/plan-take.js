// What one takes along from a plan: the calendar file, the printed sheet, and the command or service file that plans
// the same elsewhere. Given a plan and its order, gives texts and elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planTake = (() => {
  const words = Slowfolio.planWords;
  const { element } = Slowfolio.planParts;
  const quoted = (/** @type {string} */ text) => `"${text.replace(/["\\]/g, "")}"`;
  const counted = ["guests", "pieces"];
  const weighed = ["weight", "portion"];
  const own = "This page plans each method on its own pit, in its own holder and at the book’s altitude. ";

  /** The command that plans a single dish, to be run on other pits and at other heights. @param {any} order @param {Date} when */
  function commandOf({ dishes: [dish], confidence, cooks, extras = "" }, when) {
    const parts = ["slowfolio plan", dish.method, "--serve", quoted(words.typed(when).replace("T", " ")), "--timezone", quoted(words.zone())];
    for (const name of counted) if (dish[name]) parts.push(`--${name}`, dish[name]);
    for (const name of weighed) if (dish[name]) parts.push(`--${name}`, quoted(`${dish[name]} kg`));
    if (Number(confidence) !== 95) parts.push("--confidence", String(Number(Number(confidence).toFixed(2))));
    if (Number(cooks) > 1) parts.push("--cooks", cooks);
    for (const price of [dish.price, ...listed(extras)]) if (price) parts.push("--price", quoted(price));
    if (dish.frozen) parts.push("--frozen");
    return parts.join(" ");
  }

  const listed = (/** @type {string} */ text) => text.split(/[,;\n]/).map((part) => part.trim()).filter(Boolean);

  /** The service as the file that the command reads. @param {any} order @param {Date} when */
  function serviceFile({ dishes, confidence, cooks, extras }, when) {
    const lines = [`serve: ${words.typed(when).replace("T", " ")}`, `timezone: ${words.zone()}`, `confidence: ${Number(confidence)} %`, `cooks: ${cooks}`];
    const others = listed(extras);
    if (others.length) lines.push("extras:", ...others.map((other) => `  - ${quoted(other)}`));
    lines.push("items:");
    for (const dish of dishes) {
      lines.push(`  - method: ${dish.method}`);
      for (const name of counted) if (dish[name]) lines.push(`    ${name}: ${dish[name]}`);
      for (const name of weighed) if (dish[name]) lines.push(`    ${name}: ${dish[name]} kg`);
      if (dish.price) lines.push(`    price: ${quoted(dish.price)}`);
      if (dish.at) lines.push(`    serve: ${quoted(dish.at)}`);
      if (dish.frozen) lines.push("    frozen: true");
    }
    return `${lines.join("\n")}\n`;
  }

  /** A way to each dish's page at the pit, which is told by when the piece is wanted. @param {any[]} loads @param {Date} when */
  function atThePit(loads, when) {
    /** @type {Map<string, any>} */
    const first = new Map();
    for (const load of loads) if (!first.has(load.work.method)) first.set(load.work.method, load);
    return [...first].map(([method, { work, by }]) => {
      const to = /** @type {HTMLAnchorElement} */ (element("a", "take__link", `Run it at the pit: ${work.item}`));
      to.href = `at-the-pit/${method}.html?by=${words.typed(new Date(when.getTime() + 1000 * by))}`;
      return to;
    });
  }

  let calendarAddress = "";

  /** @param {any} plan @returns {Node[]} */
  function takeAlong({ loads, clock, confidence, order, when }) {
    const version = document.querySelector("meta[name=slowfolio-offline]")?.getAttribute("content") ?? "";
    const text = Slowfolio.planCalendar.calendar(loads, clock, { confidence, version, stamp: new Date() });
    if (calendarAddress) URL.revokeObjectURL(calendarAddress);
    calendarAddress = URL.createObjectURL(new Blob([text], { type: "text/calendar;charset=utf-8" }));
    const link = /** @type {HTMLAnchorElement} */ (element("a", "take__link", "Calendar file (.ics), a reminder ten minutes before each act"));
    link.href = calendarAddress;
    link.download = `cook-${words.typed(when).slice(0, 10)}.ics`;
    const print = element("button", "plain-button take__link", "Print the run sheet");
    print.setAttribute("type", "button");
    print.addEventListener("click", () => window.print());
    const code = (/** @type {string} */ said) => element("code", "", said);
    const single = order.dishes.length === 1;
    const how = single
      ? [`${own}For others, and for any weight, run this with `, code("--pit"), ", ", code("--holder"), ", ", code("--altitude"), " or ", code("--weight"), ":"]
      : [`${own}For others put this in a file, add pits, holders or altitude, and run `, code("slowfolio plan --service service.yaml"), ":"];
    const said = single ? commandOf(order, when) : serviceFile(order, when);
    return [
      element("ul", "plain take", element("li", "", link), element("li", "", print), ...atThePit(loads, when).map((to) => element("li", "", to))),
      element("div", "take__command", element("p", "", ...how), element("pre", "", code(said))),
    ];
  }

  return { commandOf, serviceFile, takeAlong };
})();
