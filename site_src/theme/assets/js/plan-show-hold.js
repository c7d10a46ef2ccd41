// What the Plan page shows of the hold, and of what helps when it runs late or early. Given values, gives elements.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planShowHold = (() => {
  const { element, section, list, mark } = Slowfolio.planParts;
  const { duration, percent } = Slowfolio.planWords;

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

  /** Under each load's name where there are several. @param {any} plan */
  function earlyAndLate(plan) {
    const about = element("p", "", "What brings time at the pit was cooked with one thing changed, at the card’s own weight.");
    const several = plan.loads.length > 1;
    return section("If it runs late or early", "remedies", [about], ...plan.loads.flatMap((/** @type {any} */ load) =>
      [...(several ? [element("h3", "remedies__load", load.work.name)] : []), ...ofLoad(load, plan)]));
  }

  /** @param {any} load @param {any} plan */
  function ofLoad(load, plan) {
    const { facts } = plan;
    const all = remediesOf(load, plan);
    const group = (/** @type {string} */ when, /** @type {string} */ title) => {
      const these = all.filter((remedy) => remedy.when === when);
      const useful = (/** @type {any} */ remedy) => !remedy.gain || remedy.gain[1] >= facts.worth;
      const ordered = [...these.filter(useful), ...these.filter((remedy) => !useful(remedy))];
      return element("div", "", element(plan.loads.length > 1 ? "h4" : "h3", "", title), list(ordered.map((remedy) => remedyLine(remedy, facts))));
    };
    return [group("late", "Late"), group("early", "Early")];
  }

  return { holdOfLoad, earlyAndLate };
})();
