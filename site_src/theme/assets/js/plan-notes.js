// The places of a service as the cards have them, and what is worth telling of a plan besides its times: as
// forecast/planning/{lookup,remarks}.py do. Given values, gives values and sentences.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planNotes = (() => {
  const words = Slowfolio.planWords;
  const inUs = () => Slowfolio.chrome.units() === "us";

  /** Pits and holders by id, one of each, as the cards have them. @param {any[]} all */
  function placesOf(all) {
    /** @type {Record<string, any>} */
    const places = {};
    for (const { record } of all) {
      Object.assign(places, record.pits);
      if (record.hold) places[record.hold.holder] = { id: record.hold.holder, title: record.hold.title, load: record.hold.load, area: Infinity };
    }
    return places;
  }

  /** What is worth telling besides the times. @param {any} plan @param {string} momentNote @param {boolean} past */
  function notesOf(plan, momentNote, past) {
    const { dishes: all, loads, confidence, now, facts } = plan;
    const said = momentNote ? [momentNote] : [];
    if (past) said.push("the serving time has passed; planned as it would have been");
    for (const { name, record } of all) {
      if (confidence > 1 - 1 / record.members) said.push(`${name}: ${record.members} simulated cooks cannot tell ${Number((100 * confidence).toFixed(2))} % from the slowest of them`);
      said.push(...record.notes.map((/** @type {string} */ note) => `${name}: ${note}`));
      if (record.hold && record.hold.heated && record.hold.out >= facts.outWorth) {
        said.push(`${name}: its coldest point is below ${record.hold.floor} °C (${record.hold.floorF} °F) for ${words.duration(record.hold.out)} between pit and hold (median): time out of temperature under ${record.hold.floorRule}`);
      }
    }
    for (const load of past ? [] : loads) {
      const due = load.acts.filter((/** @type {any} */ act) => act.provenance === "practice" && act.hands > 0 && act.at < now);
      if (due.length) said.push(`${load.work.name}: due before now, do it at once: ${due.map((/** @type {any} */ act) => act.title.toLowerCase()).join(", ")}`);
    }
    for (const { first, second, pit, temps } of plan.fires) {
      const at = temps.map((/** @type {number} */ c) => (inUs() ? words.degrees(c).us : words.degrees(c).metric)).join(" and ");
      said.push(`${first} and ${second} lie on the ${pit.toLowerCase()} together but ask for ${at}; run it between, and expect one later and one sooner`);
    }
    return [...new Set(said)];
  }

  return { placesOf, notesOf };
})();
