// From an order to a plan: dishes weighed and counted, loads planned, purchases listed; what cannot be meant is
// refused with what to write instead: as forecast/planning/{assemble,remarks}.py do. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planOrder = (() => {
  const { atWeight, timesOf, holdOf, readyWindow, atShare, gridUp } = Slowfolio.planTimes;
  const { leadsFor, soonestOn } = Slowfolio.planActs;
  const { AskedError, servedOf, piecesFor, portionsOf, meatPrice, extras, purchaseOf } = Slowfolio.planPortions;
  const { seatOf, slicingDue } = Slowfolio.planPlaces;
  const { commandOf } = Slowfolio.planTake;
  const { placesOf, notesOf } = Slowfolio.planNotes;
  const words = Slowfolio.planWords;
  const facts = JSON.parse(document.querySelector("form[data-slowfolio=plan]")?.getAttribute("data-facts") ?? "{}");
  const inUs = () => Slowfolio.chrome.units() === "us";
  /** One dish as typed, weights in kg; "" is nothing asked.
   * @typedef {{method: string, guests: string, portion: string, pieces: string, weight: string, price: string, at: string, frozen: boolean}} Dish */
  /** Times by method and weight, so that like dishes share them. @type {Map<string, any>} */
  const cooked = new Map();

  /** @param {string} text @param {string} what @param {number} least @param {number} most */
  function whole(text, what, least, most) {
    if (text === "") return null;
    const value = Number(text);
    if (!Number.isInteger(value) || value < least || value > most) throw new AskedError(`${text} ${what}; give a whole number from ${least} to ${most}`);
    return value;
  }

  /** Seconds from the serving time of the service. @param {string} at @param {Date} origin */
  function dueOf(at, origin) {
    if (!at) return 0;
    const { when, note } = words.moment(`${words.typed(origin).slice(0, 10)}T${at}`);
    if (!when) throw new AskedError(note);
    return (when.getTime() - origin.getTime()) / 1000;
  }

  /** A dish weighed and counted. @param {Dish} dish @param {any} record @param {string} name @param {Date} origin @param {any} asked */
  function prepared(dish, record, name, origin, asked) {
    const weight = dish.weight === "" ? null : Number(dish.weight);
    const { light, heavy } = record;
    if (weight !== null && (!light || weight < light.weight - 1e-4 || weight > heavy.weight + 1e-4)) {
      const range = light ? `${range_(light.weight, heavy.weight)}` : "one weight only";
      throw new AskedError(`${name}: this page is computed for ${range} trimmed; for another weight run ${commandOf({ dishes: [dish], confidence: 100 * asked.confidence, cooks: String(asked.cooks) }, origin)}`);
    }
    const key = `${dish.method} ${weight}`;
    const at = atWeight(record, weight);
    if (!cooked.has(key)) cooked.set(key, timesOf(record, at));
    const times = cooked.get(key);
    const due = dueOf(dish.at, origin);
    const portion = dish.portion === "" ? record.portion : Number(dish.portion);
    if (!(portion >= facts.portion[1] && portion <= facts.portion[2])) throw new AskedError(`${name}: a portion of ${Math.round(portion * 1000)} g; give 20 g to 2 kg`);
    const guests = whole(dish.guests, "guests", 1, facts.mostGuests);
    const wanted = whole(dish.pieces, "pieces", 1, facts.mostPieces);
    const option = (/** @type {number} */ pieces, /** @type {any} */ leads) => ({
      record, times, hold: holdOf(record, pieces), pit: record.pit, holder: record.hold ? record.hold.holder : "",
      pieceKg: at.weight, heldKg: (record.heldKg * at.cooked * at.weight) / record.piece, pieceM2: record.pieceM2 * (at.weight / record.piece) ** (2 / 3),
      work: { name, item: name, method: record.id, pieces, serve: due, leads, words: facts.words, trim: record.trim, pitTitle: record.pits[record.pit].title },
    });
    const alone = option(wanted ?? 1, leadsFor(facts.leads, at.weight, 1, "", dish.frozen));
    const by = slicingDue(alone);
    const served = servedOf(record, at, by - seatOf(alone, by, asked).at - readyWindow(times)[1], facts);
    const pieces = wanted ?? (guests === null ? 1 : piecesFor(served, guests, portion, facts));
    const leads = leadsFor(facts.leads, at.weight / (1 - record.trimLoss), pieces, record.pits[record.pit].kind, dish.frozen);
    return { name, dish, record, price: meatPrice(dish.price.trim() || record.price, facts), portions: portionsOf(record, at, served, pieces, guests, portion), option: option(pieces, leads) };
  }

  const range_ = (/** @type {number} */ low, /** @type {number} */ high) =>
    (inUs() ? `${words.mass(low).us} to ${words.mass(high).us}` : `${words.mass(low).metric} to ${words.mass(high).metric}`);

  /** Refuse a serving time that no simulated cook meets any more. @param {any[]} all @param {any} clock @param {any} asked */
  function refuseImpossible(all, clock, asked) {
    for (const { option } of all) {
      const { start } = seatOf(option, slicingDue(option), asked);
      if (start.fit !== "late" || start.chance > 0) continue;
      const { work, times } = option;
      const quickest = start.start + Math.min(...times.ready) + work.leads.slice;
      const sure = gridUp(start.start + atShare(times.ready, asked.confidence) + work.leads.slice);
      const thawed = soonestOn(work.leads) > work.leads.light[0] ? "thawed and " : "";
      throw new AskedError(`${work.name} cannot be served at ${clock.shown(work.serve)}: ${thawed}on the pit at ${clock.shown(start.start)} at the soonest, ` +
        `the quickest of ${times.ready.length} cooks is on the board at ${clock.shown(quickest)}; serve at ${clock.shown(sure)} or later to be ${Number((100 * asked.confidence).toFixed(2))} % sure`);
    }
  }

  /** The plan of an order as it stands, seen at the moment `at` (ms). Throws AskedError for what cannot be meant.
   * @param {any} order @param {Record<string, any>} known records by method @param {number} at */
  function planOrder(order, known, at) {
    const { when, note } = words.moment(order.serve);
    if (!when) throw new AskedError(note);
    const clock = words.clockFrom(when);
    const confidence = Number(order.confidence) / 100;
    const cooks = whole(order.cooks, "cooks", 1, facts.mostCooks);
    const given = order.dishes;
    const due = given.map((/** @type {Dish} */ dish) => dueOf(dish.at, when));
    const now = (at - when.getTime()) / 1000;
    const past = Math.max(...due) <= now;
    const asked = { ...facts, confidence, cooks, notBefore: past ? -Infinity : now };
    /** @type {string[]} */
    const names = [];
    for (const { method } of given) {
      const { title } = known[method];
      const count = names.filter((other) => other === title || other.startsWith(`${title} (`)).length;
      names.push(count ? `${title} (${count + 1})` : title);
    }
    const all = given.map((/** @type {Dish} */ dish, /** @type {number} */ i) => prepared(dish, known[dish.method], names[i], when, asked));
    refuseImpossible(all, clock, asked);
    const others = extras(order.extras, facts);
    const purchase = purchaseOf(all, others);
    const places = placesOf(all);
    const { notes: fires, ...service } = Slowfolio.planService.planService(all.map(({ option }) => option), places, asked);
    const plan = { ...service, fires, clock, confidence, places, purchase, dishes: all, facts, now: past ? -Infinity : now, several: service.loads.length > 1 };
    return { ...plan, order, when, notes: notesOf(plan, note, past) };
  }

  return { facts, planOrder };
})();
