// Loads in one kitchen: fires lit once, work where hands are free, and what is changed where they are in each
// other's way: the same rules as forecast/planning/{kitchen,changes,service}.py. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planService = (() => {
  const { Hands, pitStays, mostPieces, slicingDue, seatOf, slicesApart } = Slowfolio.planPlaces;
  const { arrange } = Slowfolio.planSearch;
  const { ownHands, conflictsOf, fireNotes } = Slowfolio.planConflicts;
  const { PREP, planLoad } = Slowfolio.planActs;

  /** Which loads have their pit to light. @param {any[]} options @param {number[]} starts @param {any} facts */
  function fires(options, starts, facts) {
    const lights = options.map(() => true);
    /** @type {Record<string, number>} */
    const hotUntil = {};
    const order = options.map((_, i) => i).sort((a, b) => starts[a] - starts[b] || a - b);
    for (const i of order) {
      if (starts[i] <= (hotUntil[options[i].pit] ?? -Infinity) + facts.relightAfter) lights[i] = false;
      for (const stay of pitStays(options[i])) {
        hotUntil[stay.place] = Math.max(hotUntil[stay.place] ?? -Infinity, starts[i] + stay.to);
      }
    }
    return lights;
  }

  /** Every load as if it were alone, but for a fire that burns already. @param {any[]} options @param {any} asked */
  function independent(options, asked) {
    const seats = options.map((option) => seatOf(option, slicingDue(option), asked));
    const lights = fires(options, seats.map(({ at }) => at), asked);
    return options.map((option, i) => planLoad(option, seats[i], asked.confidence, lights[i]));
  }

  /** Plans in which the work before the cook takes the latest hands that are free. @param {any[]} options @param {any[]} seats @param {any} asked */
  function withHands(options, seats, asked) {
    const lights = fires(options, seats.map(({ at }) => at), asked);
    const hands = new Hands(asked.cooks);
    const bare = options.map((option, i) => planLoad(option, seats[i], asked.confidence, lights[i]));
    for (const plan of bare) {
      const acts = plan.acts.filter((/** @type {any} */ act) => !PREP.includes(act.kind));
      for (const claim of ownHands({ ...plan, acts })) hands.take(claim.from, claim.to);
    }
    const begin = (/** @type {number} */ end, /** @type {number} */ length) => {
      const at = hands.latestFree(end, length);
      hands.take(at, at + length);
      return at;
    };
    /** @type {any[]} */
    const plans = [];
    const order = bare.map((_, i) => i).sort((a, b) => bare[a].at - bare[b].at || a - b);
    for (const i of order) plans[i] = planLoad(options[i], seats[i], asked.confidence, lights[i], begin);
    return plans;
  }

  // --- changes --------------------------------------------------------------------------------------

  /** Items that had to go in several loads. @param {any[]} items @param {any[]} plans */
  const splits = (items, plans) => items.flatMap((item) => {
    const parts = plans.filter(({ work }) => work.item === item.work.name).map(({ work }) => work.pieces);
    return parts.length > 1 ? [{ kind: "split", load: item.work.name, what: parts.join(" + "), moved: 0, to: 0 }] : [];
  });

  /** What each load does otherwise than it would alone. @param {any[]} before @param {any[]} after */
  const moves = (before, after) => after.flatMap((plan, i) => {
    const old = before[i];
    const shift = plan.at - old.at;
    const changes = shift ? [{ kind: "start", load: plan.work.name, what: "on", moved: shift, to: plan.at }] : [];
    const due = new Map(old.acts.map((/** @type {any} */ act) => [act.kind, act]));
    for (const act of plan.acts) {
      const was = due.get(act.kind);
      if (!was || act.kind === "thaw" || !(PREP.includes(act.kind) || act.kind === "slice")) continue;
      const moved = act.at - was.at - (PREP.includes(act.kind) ? shift : 0);
      if (Math.abs(moved) > 1) changes.push({ kind: "act", load: plan.work.name, what: act.title, moved, to: act.at });
    }
    return changes;
  });

  // --- loads ----------------------------------------------------------------------------------------

  /** The same for a part of the pieces. @param {any} option @param {number} pieces @param {string} name @param {boolean} toOrder */
  function part(option, pieces, name, toOrder) {
    const { leads } = option.work;
    const share = pieces / option.work.pieces;
    const fewer = { ...leads, trim: leads.trim.map((/** @type {number} */ s) => s * share), rub: leads.rub.map((/** @type {number} */ s) => s * share),
      on: leads.on * share, wrap: leads.wrap * share, move: leads.move * share, slice: toOrder ? 0 : leads.slice };
    return { ...option, work: { ...option.work, pieces, name, leads: fewer } };
  }

  /** Items in loads that pit and holder take at once, full loads first. @param {any[]} items @param {Record<string, any>} places */
  const inLoads = (items, places) => items.flatMap((item) => {
    const most = mostPieces(item, places);
    const count = Math.ceil(item.work.pieces / most);
    if (count === 1) return [item];
    return Array.from({ length: count }, (_, i) =>
      part(item, Math.min(most, item.work.pieces - i * most), `${item.work.name}, load ${i + 1} of ${count}`, i > 0));
  });

  /** Every piece a load of its own. @param {any[]} loads */
  const inSinglePieces = (loads) => loads.flatMap((load) =>
    load.work.pieces === 1 ? [load] : Array.from({ length: load.work.pieces }, (_, i) =>
      part(load, 1, `${load.work.name}, piece ${i + 1}`, i > 0 || load.work.leads.slice === 0)));

  /** A plan for all items, or the reason why there is none. @param {any[]} items @param {Record<string, any>} places @param {any} asked */
  function planService(items, places, asked) {
    const unresolved = (/** @type {any[]} */ options, /** @type {string} */ reason) => {
      const plans = independent(options, asked);
      return { loads: plans, conflicts: conflictsOf(plans, places, asked), changes: [], reason, least: false, notes: fireNotes(plans, asked) };
    };
    const tooLarge = items.find((item) => mostPieces(item, places) < 1);
    if (tooLarge) return unresolved(items, `one piece of ${tooLarge.work.name} is more than its pit or holder takes; use a larger one or cut the piece`);
    const own = inLoads(items, places);
    if (own.length > asked.mostLoads) return unresolved(items, `${own.length} loads are more than the ${asked.mostLoads} that are planned at once; cook on two days`);
    const single = inSinglePieces(own);
    let complete = true;
    for (const loads of single.length > own.length && single.length <= asked.mostSingle ? [own, single] : [own]) {
      const found = arrange(loads, places, asked);
      complete = complete && found.complete;
      if (!found.seats) continue;
      const alone = independent(loads, asked);
      const plans = withHands(loads, found.seats, asked);
      return { loads: plans, conflicts: conflictsOf(alone, places, asked), changes: [...splits(items, plans), ...moves(alone, plans)],
        reason: "", least: complete, notes: fireNotes(plans, asked) };
    }
    return unresolved(own, reasonOf(own, asked, complete));
  }

  /** @param {any[]} loads @param {any} asked @param {boolean} complete */
  function reasonOf(loads, asked, complete) {
    if (!slicesApart(loads, new Hands(asked.cooks), asked.sliceEarly)) {
      return `${asked.cooks} ${asked.cooks === 1 ? "cook" : "cooks"} cannot slice all of it just before serving; it takes more hands, or serving times further apart`;
    }
    return complete ? "no start within the windows resolves it on these pits" : "no start that resolves it was found";
  }

  return { planService };
})();
