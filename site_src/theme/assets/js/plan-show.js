// What the Plan page shows of a plan: when it goes on, the run sheet, and all its parts in order. Given values,
// gives elements; all words beside the clock are those of the `plan` command.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planShow = (() => {
  const words = Slowfolio.planWords;
  const { duration, percent } = words;
  const { element, section, list } = Slowfolio.planParts;
  const { holdOfLoad, earlyAndLate } = Slowfolio.planShowHold;
  const { conflictSection, purchaseSection } = Slowfolio.planShowGoods;

  // --- when it goes on ------------------------------------------------------------------------------

  /** @param {any} load @param {any} plan */
  function startOf(load, plan) {
    const { clock, confidence, several } = plan;
    const asked = `${Number((100 * confidence).toFixed(2))} %`;
    const { start, hold } = load;
    const parts = [];
    if (several) parts.push(element("h3", "", load.work.name));
    parts.push(element("p", "plan-start__on", element("strong", "", clock.time(load.at)), ` ${clock.day(load.at)}, on the ${load.work.pitTitle.toLowerCase()}`));
    parts.push(element("p", "plan-start__chance", element("strong", "", percent(load.chance)), " of the simulated cooks are ready in time"));
    if (start.fit === "both") {
      parts.push(list([
        `Not before ${clock.shown(start.earliest)}: an early piece outlasts the longest hold, ${duration(hold.terms.longest)}.`,
        `Not after ${clock.shown(start.latest)}: it is less than ${asked} sure to be ready.`,
      ], "plain limits"));
    }
    if (start.fit === "late") parts.push(element("p", "", element("strong", "", "Too late"), ` for ${asked}: it should have gone on by ${clock.shown(start.latest)}.`));
    if (start.instead) parts.push(...tradeOf(load, plan));
    return element("div", "plan-start__load", ...parts);
  }

  /** The trade between being sure and a hold that is too long. @param {any} load @param {any} plan */
  function tradeOf({ start, hold }, { clock }) {
    const early = duration(hold.held[2]);
    const limit = hold.terms.holder
      ? `longer than the ${duration(hold.terms.longest)} ${limitWords(hold.terms)}`
      : "and the card has no hold";
    const { instead } = start;
    return [list([
      `Both limits cannot hold: an early piece then waits ${early}, ${limit}.`,
      `The trade: on at ${clock.shown(instead.start)} it waits ${duration(instead.earlyHold)}, but only ${percent(instead.chance)} of the cooks are in time.`,
    ], "plain limits")];
  }

  /** @param {any} terms */
  const limitWords = (terms) =>
    terms.rulesP10 < terms.atMost ? `until ${terms.tooCool} in one cook of ten (${terms.rule})` : "that the card allows for the bark";

  // --- the run sheet --------------------------------------------------------------------------------

  /** Every act of every load in the order of the clock. @param {any} plan */
  function rowsOf(plan) {
    const rows = plan.loads.flatMap((/** @type {any} */ load) => load.acts.map((/** @type {any} */ act) => ({ act, load })));
    return rows.map((/** @type {any} */ row, /** @type {number} */ i) => ({ ...row, i }))
      .sort((/** @type {any} */ a, /** @type {any} */ b) => a.act.at - b.act.at || a.i - b.i);
  }

  /** @param {any} plan */
  function runSheet(plan) {
    const { clock, several, now } = plan;
    const head = element("tr", "", ...["When", "What", "Eight of ten cooks", "Still sure until"].map((text) => {
      const cell = element("th", "", text);
      cell.setAttribute("scope", "col");
      return cell;
    }));
    const body = element("tbody", "");
    let day = "";
    for (const { act, load } of rowsOf(plan)) {
      if (clock.day(act.at) !== day) {
        day = clock.day(act.at);
        const cell = element("th", "", day);
        cell.setAttribute("colspan", "4");
        cell.setAttribute("scope", "rowgroup");
        body.append(element("tr", "run-sheet__day", cell));
      }
      const fixed = act.by === null || ["on", "slice", "serve"].includes(act.kind);
      const title = element("strong", "", several ? `${load.work.name}: ${act.title}` : act.title);
      const row = element("tr", now > act.at ? "run-sheet__past" : "",
        element("td", "run-sheet__at", clock.time(act.at)),
        element("td", "run-sheet__what", title, ...(act.do ? [element("span", "run-sheet__do", act.do)] : [])),
        element("td", "run-sheet__window", words.window(act, clock)),
        element("td", "run-sheet__by", fixed ? "" : clock.beside(act.by, act.at)));
      row.dataset.kind = act.kind;
      row.dataset.at = String(act.at);
      body.append(row);
    }
    const table = element("table", "grid run-sheet", element("thead", "", head), body);
    return section("Run sheet", "run-sheet", [
      element("p", "", `Planned at the middle of the simulated cooks; the window is where eight of ten fall. `, plan.tag()),
    ], table);
  }

  // --- all of it ------------------------------------------------------------------------------------

  /** @param {any} plan @returns {Node[]} */
  function sections(plan) {
    const { loads, conflicts, reason, changes, notes } = plan;
    const dishes = plan.dishes.map((/** @type {any} */ { name, portions }) => `${name} (${portions.pieces === 1 ? "1 piece" : `${portions.pieces} pieces`})`);
    const served = element("p", "", element("strong", "", `Serve ${plan.clock.shown(0)}`), ` (${words.zone()}): ${dishes.join("; ")}`);
    const start = section("Goes on", "start", [element("p", "", "Sure enough to be ready, and not so early that the hold lasts too long. ", plan.tag())],
      served, ...loads.map((/** @type {any} */ load) => startOf(load, plan)));
    const hold = section("The hold", "hold", [element("p", "", "It takes up the spread of the cook, as long as it is neither too short nor too long.")],
      ...loads.map((/** @type {any} */ load) => holdOfLoad(load, plan)));
    return [
      ...(conflicts.length || reason || changes.length ? [conflictSection(plan)] : []),
      start,
      runSheet(plan),
      hold,
      ...(loads.length ? [earlyAndLate(plan)] : []),
      purchaseSection(plan),
      ...(notes.length ? [section("Notes", "notes", [], list(notes))] : []),
      section("Take it along", "take", [], ...plan.take),
    ];
  }

  return { sections };
})();
