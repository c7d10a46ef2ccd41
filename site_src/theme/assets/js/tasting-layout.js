// Who gets what in which order under which code: the layout of a tasting, as `slowfolio tasting design` makes it.
// Serving designs come with the page's data; here they are dealt out by lot. Loaded on the page of tastings.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.tastingLayout = (() => {
  /** @typedef {number[]} Order */
  /** @typedef {{below: (count: number) => number, shuffled: <T>(items: T[]) => T[]}} Lots */
  /** @typedef {{taster: number, place: number, product: string, code: string}} Serving */

  /** @param {number[]} counts @returns {number} */
  const spread = (counts) => Math.max(...counts) - Math.min(...counts);

  /** How uneven orders are: meetings, places, followings. @param {Order[]} orders @param {number} products */
  function unevenness(orders, products) {
    const length = Math.max(...orders.map((order) => order.length));
    const places = new Array(length * products).fill(0);
    const follows = new Array(products * products).fill(0);
    const meetings = new Array(products * products).fill(0);
    for (const order of orders) {
      order.forEach((item, place) => {
        places[place * products + item] += 1;
        if (place > 0) follows[order[place - 1] * products + item] += 1;
      });
      const present = [...new Set(order)].sort((a, b) => a - b);
      present.forEach((a, i) => present.slice(i + 1).forEach((b) => (meetings[a * products + b] += 1)));
    }
    /** @type {number[]} */
    const pairs = [];
    /** @type {number[]} */
    const together = [];
    for (let a = 0; a < products; a++) {
      for (let b = 0; b < products; b++) {
        if (a !== b) pairs.push(follows[a * products + b]);
        if (a < b) together.push(meetings[a * products + b]);
      }
    }
    return [spread(together), spread(places), spread(pairs)];
  }

  /** @param {number[]} a @param {number[]} b @returns {boolean} Whether a comes before b, item by item. */
  function before(a, b) {
    const place = a.findIndex((value, i) => value !== b[i]);
    return place >= 0 && a[place] < b[place];
  }

  /** @param {Order[]} design @param {number} products @param {Lots} lots @returns {Order[]} */
  function renamed(design, products, lots) {
    const names = lots.shuffled([...Array(products).keys()]);
    return lots.shuffled(design.map((order) => order.map((item) => names[item])));
  }

  /** @param {Order[]} design @param {number} tasters @param {number} products @param {Lots} lots @returns {Order[]} */
  function dealt(design, tasters, products, lots) {
    /** @type {Order[]} */
    const orders = [];
    while (tasters - orders.length >= design.length) orders.push(...renamed(design, products, lots));
    const left = renamed(design, products, lots);
    while (orders.length < tasters) {
      const costs = left.map((order) => unevenness([...orders, order], products));
      const best = costs.reduce((found, cost, i) => (before(cost, costs[found]) ? i : found), 0);
      orders.push(...left.splice(best, 1));
    }
    return lots.shuffled(orders);
  }

  /** Every pattern equally often. @param {Order[]} patterns @param {number} tasters @param {Lots} lots @returns {Order[]} */
  function fromPatterns(patterns, tasters, lots) {
    /** @type {Order[]} */
    const orders = [];
    while (orders.length < tasters) orders.push(...lots.shuffled(patterns));
    return lots.shuffled(orders.slice(0, tasters));
  }

  /** @param {number} products @param {number} tasters @param {Lots} lots @returns {Order[]} */
  function inPairs(products, tasters, lots) {
    /** @type {Order[]} */
    const pairs = [];
    for (let a = 0; a < products; a++) for (let b = a + 1; b < products; b++) pairs.push([a, b]);
    const both = [...pairs, ...pairs.map(([a, b]) => [b, a])];
    /** @type {Order[]} */
    const orders = [];
    while (orders.length < tasters) orders.push(...lots.shuffled(both));
    return orders.slice(0, tasters);
  }

  /** @param {any} data @param {string} test @param {number} products @param {number} tasters @param {Lots} lots */
  function ordersOf(data, test, products, tasters, lots) {
    const { patterns } = data.tests[test];
    if (patterns) return fromPatterns(patterns, tasters, lots);
    if (test === "preferences in pairs") return inPairs(products, tasters, lots);
    // A preference of two is served from the square of two, like every test in which all is tasted.
    return dealt(data.williams[products], tasters, products, lots);
  }

  /**
   * Every piece on every plate.
   * @param {any} data @param {{test: string, products: string[], tasters: number, seed: number}} wanted
   * @returns {Serving[]}
   */
  function servings(data, { test, products, tasters, seed }) {
    const lots = Slowfolio.tastingLots.lots(seed);
    const orders = ordersOf(data, test, products.length, tasters, lots);
    const codes = lots.shuffled(data.codes).map(String);
    let next = 0;
    return orders.flatMap((order, i) =>
      order.map((item, place) => ({ taster: i + 1, place: place + 1, product: products[item], code: codes[next++] })),
    );
  }

  /** Pieces on one plate. @param {any} data @param {{test: string, products: string[]}} wanted @returns {number} */
  function pieces(data, { test, products }) {
    const { patterns } = data.tests[test];
    if (patterns) return patterns[0].length;
    return test === "ranking" || test === "scores" ? products.length : 2;
  }

  /** The same tasting on the command line. @param {any} wanted */
  function commandLine(wanted) {
    const quoted = (/** @type {string} */ text) => (/^[\w-]+$/.test(text) ? text : `'${text.replace(/'/g, "'\\''")}'`);
    const parts = ["slowfolio tasting design", "--question", wanted.question.replace(" ", "-"), ...wanted.products.flatMap((/** @type {string} */ name) => ["--product", quoted(name)])];
    parts.push("--test", quoted(wanted.test.replace(/ /g, "-")));
    if (wanted.attribute) parts.push("--attribute", quoted(wanted.attribute.replace(/ /g, "-")));
    if (wanted.direction) parts.push("--expected-more", quoted(wanted.direction));
    if (wanted.test === "scores") parts.push(...wanted.attributes.flatMap((/** @type {string} */ name) => ["--attribute", name.replace(/ /g, "-")]));
    const option = { ranking: "--d-prime", scores: "--points", "paired preference": "--preferring", "preferences in pairs": "--preferring" }[/** @type {string} */ (wanted.test)] ?? "--telling";
    const percent = ["--telling", "--preferring"].includes(option);
    parts.push(option, percent ? `'${Math.round(100 * Number(wanted.difference))} %'` : wanted.difference);
    parts.push("--tasters", String(wanted.tasters), "--seed", String(wanted.seed));
    return parts.join(" ");
  }

  return { servings, pieces, commandLine };
})();
