// Guests to portions to pieces to what is bought, and what it costs: the same sums as forecast/planning/{portions,
// prices,purchase}.py, under the same names. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planPortions = (() => {
  const { percentile, shareOf } = Slowfolio.planTimes;
  /** Something asked that cannot be meant; the message says what to write. */
  class AskedError extends Error {}

  /** Cooked over trimmed weight of every simulated cook, held so long. @param {any} record @param {any} at @param {number} held @returns {number[]} */
  function cookedAfter(record, at, held) {
    const knots = record.held;
    const asked = Math.min(Math.max(0, held), knots[knots.length - 1]);
    let high = knots.findIndex((/** @type {number} */ knot) => knot >= asked);
    if (high < 1) high = Math.min(1, knots.length - 1);
    const low = Math.max(0, high - 1);
    const part = high === low ? 0 : (asked - knots[low]) / (knots[high] - knots[low]);
    return record.cooked[low].map((/** @type {number} */ value, /** @type {number} */ m) =>
      (value + (record.cooked[high][m] - value) * part) * at.cooked);
  }

  /** What comes off the board from one piece, without bone. @param {any} record @param {any} at @param {number} held @param {any} facts @returns {number[]} */
  const servedOf = (record, at, held, facts) =>
    cookedAfter(record, at, held).map((cooked) => at.weight * Math.max(cooked - record.bone, 0) * (1 - facts.boardLoss));

  /** The fewest pieces that give every guest a portion in nine cooks of ten. @param {number[]} served @param {number} guests @param {number} portion @param {any} facts */
  function piecesFor(served, guests, portion, facts) {
    const sure = percentile(served, 100 * facts.sureShare);
    if (sure <= 1e-6) throw new AskedError("this piece gives nothing to serve");
    const pieces = Math.max(1, Math.ceil((guests * portion) / sure - 1e-9));
    if (pieces > facts.mostPieces) {
      throw new AskedError(`${guests} guests take ${pieces} pieces; more than ${facts.mostPieces} are not planned at once`);
    }
    return pieces;
  }

  /** @param {any} record @param {any} at @param {number[]} each @param {number} pieces @param {number | null} guests @param {number} portion */
  function portionsOf(record, at, each, pieces, guests, portion) {
    const served = each.map((kg) => pieces * kg);
    const spread = [10, 50, 90].map((percent) => percentile(served, percent));
    const boughtPiece = at.weight / (1 - record.trimLoss);
    return {
      guests,
      portion,
      pieces,
      piece: at.weight,
      boughtPiece,
      bought: pieces * boughtPiece,
      served: spread,
      chance: guests === null ? null : shareOf(served.map((kg) => kg >= guests * portion - 1e-9)),
      feeds: Math.floor(spread[0] / portion + 1e-9),
    };
  }

  // --- prices ---------------------------------------------------------------------------------------

  const CURRENCY = "[A-Za-z]{1,4}|\\p{L}?[$£€¥₩₹]";
  const PRICE = new RegExp(`^(?<before>${CURRENCY})? *(?<number>[0-9]{1,9}(?:\\.[0-9]{1,4})?) *(?<after>${CURRENCY})?(?: *(?:/|per|a) *(?<unit>[A-Za-z]+)\\.?)?$`, "u");
  const EXAMPLE = '"6.49 USD/lb", "$6.49/lb" or "12.50 EUR/kg"';
  const cents = (/** @type {number} */ amount) => Math.round(amount * 100 + 1e-7) / 100;

  /** @param {string} text @param {any} facts */
  function price(text, facts) {
    const found = text.length <= 60 ? PRICE.exec(text.trim()) : null;
    if (!found?.groups) throw new AskedError(`“${text}” is no price; write ${EXAMPLE}`);
    const marks = [found.groups.before, found.groups.after].filter(Boolean);
    if (marks.length !== 1) throw new AskedError(`“${text}” has ${marks.length || "no"} currencies; write ${EXAMPLE}`);
    const [amount, unit] = [Number(found.groups.number), found.groups.unit];
    if (amount > facts.mostPrice) throw new AskedError(`“${text}” is more than meat costs; write ${EXAMPLE}`);
    if (unit === undefined) return { amount, currency: marks[0], perKg: null, text: text.trim() };
    const kilograms = facts.kgPer[unit.toLowerCase()];
    if (!kilograms) throw new AskedError(`“${text}” is for no unit of weight we know; write kg, g, lb or oz`);
    return { amount, currency: marks[0], perKg: amount / kilograms, text: text.trim() };
  }

  /** A price by weight, or null for an empty field. @param {string} text @param {any} facts */
  function meatPrice(text, facts) {
    if (!text.trim()) return null;
    const read = price(text, facts);
    if (read.perKg === null) throw new AskedError(`“${text}” is for no weight; write ${EXAMPLE}`);
    return read;
  }

  /** "fuel=25 USD, buns=18 USD". @param {string} text @param {any} facts */
  function extras(text, facts) {
    return text.split(/[,;\n]/).map((part) => part.trim()).filter(Boolean).map((part) => {
      const [name, ...rest] = part.split("=");
      if (!rest.length || !name.trim()) throw new AskedError(`“${part}” names nothing; write what is bought: "fuel=25 USD"`);
      const read = price(rest.join("="), facts);
      if (read.perKg !== null) throw new AskedError(`“${part}” is by weight; write what it costs in all: "fuel=25 USD"`);
      return { name: name.trim(), price: read };
    });
  }

  /** What to buy. @param {any[]} dishes {name, record, portions, price} @param {any[]} others */
  function purchaseOf(dishes, others) {
    const prices = [...dishes.map((dish) => dish.price).filter(Boolean), ...others.map((other) => other.price)];
    const currencies = [...new Set(prices.map(({ currency }) => currency))].sort();
    if (currencies.length > 1) {
      throw new AskedError(`prices in ${currencies.join(" and ")} cannot be added; give all in one currency`);
    }
    const lines = dishes.flatMap(linesOf);
    for (const { name, price: paid } of others) {
      lines.push({ item: "", what: name, pieces: 1, each: null, total: null, amount: "", price: paid.text, cost: cents(paid.amount) });
    }
    const costs = lines.map(({ cost }) => cost).filter((/** @type {any} */ cost) => cost !== null);
    const total = costs.length ? cents(costs.reduce((/** @type {number} */ a, /** @type {number} */ b) => a + b, 0)) : null;
    const portions = dishes.filter((dish) => dish.price).reduce((sum, { portions: p }) => sum + (p.guests || p.feeds), 0);
    return {
      lines,
      currency: currencies[0] ?? "",
      total,
      perPortion: total !== null && portions ? cents(total / portions) : null,
      portions,
      unpriced: costs.length ? [...new Set(lines.filter(({ cost }) => cost === null).map(({ what }) => what))] : [],
    };
  }

  /** @param {any} dish */
  function linesOf({ name, record, portions, price: paid }) {
    const plain = { item: name, pieces: portions.pieces, each: null, total: null, amount: "", price: "", cost: /** @type {number | null} */ (null) };
    return [
      { ...plain, what: record.cut, each: portions.boughtPiece, total: portions.bought, price: paid ? paid.text : "",
        cost: paid ? cents(paid.perKg * portions.bought) : null },
      ...record.seasoning.map((/** @type {string[]} */ [what, amount]) => ({ ...plain, what, amount })),
      ...record.wraps.map((/** @type {string} */ what) => ({ ...plain, what })),
    ];
  }

  return { AskedError, servedOf, piecesFor, portionsOf, meatPrice, extras, purchaseOf };
})();
