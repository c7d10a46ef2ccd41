// The least change of starts that lets loads share hands, pits and holders: the same search as forecast/planning/
// {arrange,search}.py with every load on its own pit. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planSearch = (() => {
  const { GRID_S, gridUp, readyWindow } = Slowfolio.planTimes;
  const { cookActs, soonestOn } = Slowfolio.planActs;
  const { maskOf, taken, Hands, allStays, slicingDue, seatOf, slicesApart } = Slowfolio.planPlaces;
  const TRIES = 8000;
  const HAIR = 1e-3;
  const NEVER_S = 1e9;
  const SLACK_S = 3600;

  /** The first and last start that may be taken. @param {any} start @param {number} notBefore */
  function windowOf(start, notBefore) {
    let [first, last] = [start.earliest, start.latest];
    if (start.fit === "trade") [first, last] = [start.start - SLACK_S, start.start];
    if (start.fit === "late") [first, last] = [start.start, start.start + SLACK_S];
    if (Number.isFinite(notBefore)) first = Math.max(first, gridUp(notBefore));
    return [Math.min(first, start.start), Math.max(last, start.start)];
  }

  /** Every start of a load, the least change first. @param {any} option @param {number} by @param {any} asked */
  function waysOf(option, by, asked) {
    const { start } = seatOf(option, by, asked);
    const alone = Math.round(seatOf(option, slicingDue(option), asked).at / GRID_S);
    const [first, last] = windowOf(start, asked.notBefore + soonestOn(option.work.leads));
    const slots = [];
    for (let slot = Math.round(first / GRID_S); slot <= Math.round(last / GRID_S); slot += 1) {
      slots.push({ slot, cost: Math.abs(slot - alone) });
    }
    slots.sort((a, b) => a.cost - b.cost || a.slot - b.slot);
    const hands = cookActs(option, 0, NEVER_S, 0.5).filter((/** @type {any} */ act) => act.hands > 0)
      .reduce((/** @type {bigint} */ mask, /** @type {any} */ act) => mask | maskOf(act.at, act.at + act.hands), 0n);
    const made = new Map();
    /** @param {number} n */
    const candidate = (n) => {
      if (n >= slots.length) return null;
      if (!made.has(n)) made.set(n, { ...slots[n], ...claims(option, hands, slots[n].slot, by) });
      return made.get(n);
    };
    return { candidate, start, by };
  }

  /** What a start takes of hands and places. @param {any} option @param {bigint} shape @param {number} slot @param {number} by */
  function claims(option, shape, slot, by) {
    let hands = slot <= 0 ? shape >> BigInt(-slot) : shape << BigInt(slot);
    const start = slot * GRID_S;
    const late = gridUp(start + readyWindow(option.times)[1]);
    if (late > by) hands |= maskOf(late, late + option.work.leads.slice);
    const stays = allStays(option, start, by).map(({ place, from, to, kg, area }) => ({
      place,
      first: Math.floor(from / GRID_S + 1e-6),
      past: Math.ceil(to / GRID_S - 1e-6),
      mg: Math.ceil(kg * 1e6 - HAIR),
      mm2: Math.ceil(area * 1e6 - HAIR),
    }));
    return { hands, stays };
  }

  // --- the search -----------------------------------------------------------------------------------

  /** The choice of starts that moves least; always the same answer. Ends after so many looks.
   * @param {any[]} ways @param {Record<string, any>} places @param {bigint[]} busy @param {(number | null)[]} twins */
  function leastChange(ways, places, busy, twins) {
    let tries = 0;
    /** @type {any[] | null} */
    let best = null;
    let bestCost = Infinity;
    /** @type {Map<number, any>} */
    const assigned = new Map();
    const limit = (/** @type {number} */ amount) => (Number.isFinite(amount) ? Math.floor(amount * 1e6 + HAIR) : Infinity);

    /** @param {any} use */
    function hasRoom(use) {
      const others = [...assigned.values()].flatMap(({ stays }) => stays)
        .filter((other) => other.place === use.place && other.first < use.past && other.past > use.first);
      const [mg, mm2] = [limit(places[use.place].load), limit(places[use.place].area)];
      return [use.first, ...others.map(({ first }) => Math.max(first, use.first))].every((slot) => {
        const here = others.filter(({ first, past }) => first <= slot && slot < past);
        return here.reduce((sum, other) => sum + other.mg, use.mg) <= mg && here.reduce((sum, other) => sum + other.mm2, use.mm2) <= mm2;
      });
    }

    /** Loads exactly alike go on in their order. @param {number} load @param {any} candidate */
    const inOrder = (load, candidate) => twins.every((twin, other) => {
      if (twin === null || (load !== other && load !== twin)) return true;
      const peer = assigned.get(load === other ? twin : other);
      if (!peer) return true;
      return load === other ? peer.slot <= candidate.slot : candidate.slot <= peer.slot;
    });

    /** @param {number} load @param {any} candidate @param {bigint[]} hands */
    function fits(load, candidate, hands) {
      if (tries >= TRIES) return false;
      tries += 1;
      return !(hands[hands.length - 1] & candidate.hands) && inOrder(load, candidate) &&
        candidate.stays.every((/** @type {any} */ use) => use.first >= use.past || hasRoom(use));
    }

    /** @param {number} cost @param {bigint[]} hands */
    function descend(cost, hands) {
      if (assigned.size === ways.length) {
        best = ways.map((_, load) => assigned.get(load));
        bestCost = cost;
        return;
      }
      const firsts = new Map();
      for (let load = 0; load < ways.length; load += 1) {
        if (assigned.has(load)) continue;
        let n = 0;
        let found = ways[load].candidate(n);
        while (found && !fits(load, found, hands)) found = ways[load].candidate((n += 1));
        if (!found) return;
        firsts.set(load, found);
      }
      const least = [...firsts.values()].reduce((sum, { cost: one }) => sum + one, 0);
      if (cost + least >= bestCost) return;
      const load = [...firsts.keys()].reduce((a, b) => (firsts.get(b).cost > firsts.get(a).cost ? b : a));
      const others = least - firsts.get(load).cost;
      for (let n = 0, one = ways[load].candidate(0); one; one = ways[load].candidate((n += 1))) {
        if (tries >= TRIES || cost + others + one.cost >= bestCost) return;
        if (!fits(load, one, hands)) continue;
        assigned.set(load, one);
        descend(cost + one.cost, taken(hands, one.hands));
        assigned.delete(load);
      }
    }

    descend(0, busy);
    return { chosen: best, complete: tries < TRIES };
  }

  /** For each load the last one before it that is exactly alike. @param {any[]} options @param {number[]} sliced */
  const twinsOf = (options, sliced) => options.map((one, i) => {
    for (let other = i - 1; other >= 0; other -= 1) {
      const two = options[other];
      if (two.times === one.times && two.work.pieces === one.work.pieces && sliced[other] === sliced[i]) return other;
    }
    return null;
  });

  /** A seat for each load under which hands and room do for all, or null.
   * @param {any[]} options @param {Record<string, any>} places @param {any} asked {confidence, notBefore, cooks, sliceEarly} */
  function arrange(options, places, asked) {
    const hands = new Hands(asked.cooks);
    const sliced = slicesApart(options, hands, asked.sliceEarly);
    if (!sliced) return { seats: null, complete: true };
    const ways = options.map((option, i) => waysOf(option, sliced[i], asked));
    const found = leastChange(ways, places, hands.busy, twinsOf(options, sliced));
    if (!found.chosen) return { seats: null, complete: found.complete };
    const seats = found.chosen.map((/** @type {any} */ one, /** @type {number} */ i) =>
      ({ start: ways[i].start, at: one.slot * GRID_S, by: ways[i].by }));
    return { seats, complete: found.complete };
  }

  return { arrange };
})();
