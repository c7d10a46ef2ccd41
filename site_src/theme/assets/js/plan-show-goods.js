// What the Plan page shows of dishes in each other's way, of portions and of what to buy. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planShowGoods = (() => {
  const words = Slowfolio.planWords;
  const { element, units, section, list } = Slowfolio.planParts;
  const { percent, mass, same, both } = words;

  // --- in each other's way --------------------------------------------------------------------------

  /** @param {any} plan */
  function conflictSection(plan) {
    const { conflicts, changes, reason, least, clock, places } = plan;
    const body = [];
    if (conflicts.length) {
      body.push(element("p", "", "Each planned as if alone:"), list(conflicts.map((/** @type {any} */ one) => units(words.conflict(one, places, clock)))));
    }
    if (reason) {
      body.push(element("div", "notice", element("p", "", element("strong", "", "Not resolved: "), `${reason}. The times below are those of each dish alone.`),
        element("p", "", "The command can look further, on other pits too: ", element("code", "", "slowfolio plan --service service.yaml"), " with the file below.")));
    } else if (changes.length) {
      body.push(element("p", "", element("strong", "", least ? "Least change that resolves it" : "A change that resolves it; a smaller one may exist")),
        list(changes.map((/** @type {any} */ one) => words.change(one, clock))));
    }
    return section("In each other’s way", "conflicts", [], ...body);
  }

  // --- portions and purchase ------------------------------------------------------------------------

  /** @param {any} dish @param {any} plan */
  function portionLines(dish, plan) {
    const { portions: p } = dish;
    const pieces = p.pieces === 1 ? "1 piece" : `${p.pieces} pieces`;
    const say = (/** @type {(kg: (value: number) => string) => string} */ line) => units(both((system) => line((value) => mass(value)[system])));
    const lines = [
      say((kg) => `${pieces} of ${kg(p.piece)} trimmed, ${kg(p.boughtPiece)} as bought`),
      say((kg) => `Off the board ${kg(p.served[1])}, from ${kg(p.served[0])} to ${kg(p.served[2])}`),
      say((kg) => `${p.feeds} portions of ${kg(p.portion)} in nine cooks of ten`),
    ];
    if (p.guests !== null) lines.push(units(same(`Enough for ${p.guests} guests in ${percent(p.chance)} of the cooks`)));
    const title = plan.dishes.length > 1 ? [element("h3", "", dish.name)] : [];
    return element("div", "portions", ...title, list(lines, "plain"));
  }

  /** @param {any} plan */
  function purchaseSection(plan) {
    const { purchase, dishes } = plan;
    const rows = purchase.lines.map((/** @type {any} */ line) => {
      const amount = line.each !== null
        ? units(both((system) => (line.pieces === 1 ? mass(line.total)[system] : `${line.pieces} of ${mass(line.each)[system]}, ${mass(line.total)[system]} in all`)))
        : line.amount ? (line.pieces === 1 ? line.amount : `${line.amount} a piece, ${line.pieces} pieces`) : line.item ? `for ${line.pieces}` : "";
      const name = element("th", "", line.what);
      name.setAttribute("scope", "row");
      const of = dishes.length > 1 && line.item ? [element("span", "soft", ` (${line.item})`)] : [];
      return element("tr", "", name, element("td", "", amount, ...of), element("td", "num", line.cost === null ? "" : `${line.cost.toFixed(2)} ${purchase.currency}`));
    });
    const body = [...dishes.map((/** @type {any} */ dish) => portionLines(dish, plan)), element("h3", "", "To buy"), element("table", "grid purchase", element("tbody", "", ...rows))];
    if (purchase.total !== null) {
      const each = purchase.perPortion === null ? "" : `, ${purchase.perPortion.toFixed(2)} ${purchase.currency} for each of ${purchase.portions} portions`;
      body.push(element("p", "", element("strong", "", `Total ${purchase.total.toFixed(2)} ${purchase.currency}`), each));
      if (purchase.unpriced.length) body.push(element("p", "soft", `Without a price: ${purchase.unpriced.join(", ")}`));
    }
    return section("Portions and purchase", "purchase", [], ...body);
  }

  return { conflictSection, purchaseSection };
})();
