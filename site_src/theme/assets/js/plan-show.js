// What the Plan page shows of a plan: start and chance, run sheet, hold, remedies, what is in the way, purchases.
// Given values, gives elements; all words beside the clock are those of the `plan` command.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planShow = (() => {
  const words = Slowfolio.planWords;
  const { duration, percent, mass, same, both } = words;
  /** @typedef {{us: string, metric: string}} Both */

  /** @param {string} name @param {string} cls @param {...(Node | string)} content */
  function element(name, cls, ...content) {
    const made = document.createElement(name);
    if (cls) made.className = cls;
    made.append(...content);
    return made;
  }

  /** @param {Both} text @returns {DocumentFragment} */
  function units({ us, metric }) {
    const made = document.createDocumentFragment();
    if (us === metric) made.append(us);
    else made.append(element("span", "u-us", us), element("span", "u-si", metric));
    return made;
  }

  /** @param {string} title @param {string} id @param {Node[]} side @param {...Node} body */
  function section(title, id, side, ...body) {
    const head = element("h2", "", title);
    head.id = id;
    const made = element("section", `section plan-${id}`, head, element("div", "section__side", ...side), element("div", "section__body", ...body));
    return made;
  }

  const list = (/** @type {(Node | string)[]} */ items, cls = "") => element("ul", cls, ...items.map((item) => element("li", "", item)));
  const mark = (/** @type {string} */ provenance) => element("span", "origin", provenance);

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

  // --- the hold -------------------------------------------------------------------------------------

  /** @param {string} name @param {string} value @param {string} note */
  const measure = (name, value, note) =>
    element("div", "", element("dt", "", name), element("dd", "", element("strong", "", value), note ? element("span", "soft", ` ${note}`) : ""));

  /** @param {any} load @param {any} plan */
  function holdOfLoad(load, plan) {
    const { hold } = load;
    const { terms } = hold;
    const title = plan.several ? [element("h3", "", load.work.name)] : [];
    if (!terms.holder) return element("div", "", ...title, element("p", "", "No hold: nothing is left for a late piece but to serve late."));
    const [low, middle, high] = hold.held.map(duration);
    const measures = element("dl", "measures",
      measure(`In the ${terms.title.toLowerCase()}`, middle, `from ${low} to ${high}; the card wants ${duration(terms.wanted)}`),
      measure("Too short", percent(hold.late), "of the cooks come after slicing is due"),
      measure("Too long for the bark", percent(hold.pastCard), `of the cooks; the card allows ${duration(terms.atMost)}`),
      ...(terms.rules ? [measure("Too cool", percent(hold.pastRule), `of the cooks; ${terms.tooCool} (${terms.rule})`)] : []));
    return element("div", "", ...title, ruler(load), measures);
  }

  /** The hold as a line: when pieces go in, when they are sliced, and how long it may last. @param {any} load */
  function ruler(load) {
    const { terms, held } = load.hold;
    const space = "http://www.w3.org/2000/svg";
    const most = Math.max(terms.longest, held[2], 1) * 1.04;
    const x = (/** @type {number} */ seconds) => (600 - (600 * seconds) / most).toFixed(1);
    const svg = document.createElementNS(space, "svg");
    svg.setAttribute("viewBox", "0 0 600 54");
    svg.setAttribute("class", "hold-ruler");
    svg.setAttribute("aria-hidden", "true");
    /** @param {string} name @param {Record<string, string>} at */
    const shape = (name, at) => {
      const made = document.createElementNS(space, name);
      for (const [key, value] of Object.entries(at)) made.setAttribute(key, value);
      svg.append(made);
    };
    shape("rect", { x: x(terms.longest), y: "20", width: String(600 - Number(x(terms.longest))), height: "14", class: "hold-ruler__room" });
    shape("rect", { x: x(held[1]), y: "20", width: String(600 - Number(x(held[1]))), height: "14", class: "hold-ruler__held" });
    shape("line", { x1: x(held[2]), x2: x(held[0]), y1: "14", y2: "14", class: "hold-ruler__window" });
    shape("line", { x1: x(terms.longest), x2: x(terms.longest), y1: "8", y2: "42", class: "hold-ruler__limit" });
    shape("line", { x1: "598.5", x2: "598.5", y1: "8", y2: "42", class: "hold-ruler__limit" });
    return svg;
  }

  // --- early and late -------------------------------------------------------------------------------

  /** What the hold gives besides what was cooked for the pit. @param {any} load @param {any} plan */
  function remediesOf(load, { facts }) {
    const { hold } = load;
    const { terms } = hold;
    const left = Math.max(0, terms.longest - hold.held[2]);
    const byCard = terms.atMost <= terms.rulesP10;
    const given = [];
    if (terms.holder && hold.spare >= facts.worth) {
      given.push({ when: "late", do: "Let the hold be shorter; pull when it is done, not before.", gain: hold.held, provenance: "computed" });
    }
    if (terms.holder && left >= facts.worth) {
      const whose = byCard ? "by the card" : `until ${terms.tooCool}`;
      given.push({ when: "early", do: `Hold it longer: it may be held ${duration(terms.longest)}, ${whose}.`, gain: [left, left, left], provenance: byCard ? "claimed" : "computed" });
    }
    const atPit = [...load.option.record.remedies].sort((a, b) => b.gain[1] - a.gain[1]);
    return [...given, ...atPit,
      { when: "late", do: "Later still: slice what is done first (thin end, or the smaller piece), serve it from a covered pan with its juice, and send the rest after.", gain: null, provenance: "practice" },
      { when: "early", do: "Past the longest hold: slice it into a covered pan with its juice, above the hot-hold floor, or chill it fast and reheat.", gain: null, provenance: "practice" }];
  }

  const minutes = (/** @type {number} */ seconds) => {
    const whole = Math.max(0, Math.round(seconds / 60));
    return whole >= 10 ? duration(whole * 60) : `${whole} min`;
  };

  /** @param {any} remedy @param {any} facts */
  function remedyLine(remedy, facts) {
    const { gain } = remedy;
    const verb = remedy.when === "late" ? "Saves" : "Puts it off by";
    const brings = !gain ? "" : gain[0] === gain[2] ? ` ${verb} up to ${minutes(gain[1])}.` : ` ${verb} ${minutes(gain[1])} (${minutes(gain[0])} to ${minutes(gain[2])}).`;
    const helps = !gain || gain[1] >= facts.worth;
    return element("span", helps ? "" : "soft", ...(helps ? [] : ["No help: "]), remedy.do, element("strong", "", brings), " ", mark(remedy.provenance));
  }

  /** @param {any} load @param {any} plan */
  function earlyAndLate(load, plan) {
    const { facts } = plan;
    const all = remediesOf(load, plan);
    const group = (/** @type {string} */ when, /** @type {string} */ title) => {
      const these = all.filter((remedy) => remedy.when === when);
      const useful = (/** @type {any} */ remedy) => !remedy.gain || remedy.gain[1] >= facts.worth;
      const ordered = [...these.filter(useful), ...these.filter((remedy) => !useful(remedy))];
      return element("div", "", element("h3", "", title), list(ordered.map((remedy) => remedyLine(remedy, facts))));
    };
    return section("If it runs late or early", "remedies", [element("p", "", "What brings time at the pit was cooked with one thing changed, at the card’s own weight.")],
      group("late", "Late"), group("early", "Early"));
  }

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

  // --- all of it ------------------------------------------------------------------------------------

  /** @param {any} plan @returns {Node[]} */
  function sections(plan) {
    const { loads, conflicts, reason, changes, notes } = plan;
    const start = section("Goes on", "start", [element("p", "", "Sure enough to be ready, and not so early that the hold lasts too long. ", plan.tag())],
      ...loads.map((/** @type {any} */ load) => startOf(load, plan)));
    const hold = section("The hold", "hold", [element("p", "", "It takes up the spread of the cook, as long as it is neither too short nor too long.")],
      ...loads.map((/** @type {any} */ load) => holdOfLoad(load, plan)));
    return [
      ...(conflicts.length || reason || changes.length ? [conflictSection(plan)] : []),
      start,
      runSheet(plan),
      hold,
      ...(loads.length === 1 ? [earlyAndLate(loads[0], plan)] : []),
      purchaseSection(plan),
      ...(notes.length ? [section("Notes", "notes", [], list(notes))] : []),
      section("Take it along", "take", [], ...plan.take),
    ];
  }

  return { element, sections };
})();
