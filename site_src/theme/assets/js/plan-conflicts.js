// Where loads get in each other's way, on plans as they stand: the same rules as forecast/planning/{conflicts,
// kitchen}.py. Changes nothing and touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planConflicts = (() => {
  const { allStays } = Slowfolio.planPlaces;
  const HAIR_S = 1e-3;
  /** @typedef {{who: string, from: number, to: number, amount: number}} Claim */

  /** The acts of a load that need hands; acts that run into each other are done in turn. @param {any} plan @returns {Claim[]} */
  function ownHands(plan) {
    const claims = plan.acts.filter((/** @type {any} */ act) => act.hands > 0)
      .map((/** @type {any} */ act) => ({ who: `${plan.work.name}: ${act.title.toLowerCase()}`, from: act.at, to: act.at + act.hands, amount: 1 }))
      .sort((/** @type {Claim} */ a, /** @type {Claim} */ b) => a.from - b.from || a.to - b.to);
    /** @type {Claim[]} */
    const joined = [];
    for (const claim of claims) {
      const last = joined[joined.length - 1];
      if (last && claim.from < last.to - HAIR_S) last.to = Math.max(last.to, claim.to);
      else joined.push({ ...claim });
    }
    return joined;
  }

  /** Stretches in which claims add up to more than `limit`. @param {Claim[]} claims @param {number} limit */
  function overruns(claims, limit) {
    const edges = [...new Set(claims.flatMap(({ from, to }) => [from, to]))].sort((a, b) => a - b);
    /** @type {{who: string[], from: number, to: number, need: number}[]} */
    const found = [];
    let open = false;
    for (let i = 0; i + 1 < edges.length; i += 1) {
      const [begin, end] = [edges[i], edges[i + 1]];
      const active = claims.filter(({ from, to }) => from <= begin + HAIR_S && to >= end - HAIR_S);
      const need = active.reduce((sum, { amount }) => sum + amount, 0);
      if (need <= limit * (1 + 1e-9) + 1e-9) {
        open = false;
        continue;
      }
      const who = active.map((claim) => claim.who);
      const last = found[found.length - 1];
      if (open && last) Object.assign(last, { who: [...new Set([...last.who, ...who])], to: end, need: Math.max(last.need, need) });
      else found.push({ who, from: begin, to: end, need });
      open = true;
    }
    return found;
  }

  /** Every stretch of time in which more is asked for than there is, hands first. @param {any[]} plans @param {Record<string, any>} places @param {any} asked */
  function conflictsOf(plans, places, asked) {
    const conflicts = overruns(plans.flatMap(ownHands), asked.cooks).map((one) => ({ kind: "hands", place: "", have: asked.cooks, ...one }));
    const stays = plans.flatMap((plan) => allStays(plan.option, plan.at, plan.by).map((stay) => ({ who: plan.work.name, ...stay })));
    for (const place of Object.values(places)) {
      const here = stays.filter((stay) => stay.place === place.id);
      for (const [kind, limit, amount] of [["load", place.load, "kg"], ["area", place.area, "area"]]) {
        const claims = here.map((stay) => ({ who: stay.who, from: stay.from, to: stay.to, amount: /** @type {any} */ (stay)[amount] }));
        conflicts.push(...overruns(claims, limit).map((one) => ({ kind, place: place.id, have: limit, ...one })));
      }
    }
    return conflicts;
  }

  /** Loads that ask one fire for two temperatures for an hour and more. @param {any[]} plans @param {any} facts */
  function fireNotes(plans, facts) {
    const spans = plans.flatMap((plan) => {
      const acts = plan.acts.filter((/** @type {any} */ act) => ["on", "stage", "wrap", "pull"].includes(act.kind));
      return plan.option.times.onPit.map((/** @type {any} */ stage, /** @type {number} */ i) =>
        ({ plan, pit: stage.pit, from: acts[i].at, to: acts[i + 1].at, temp: stage.pitTemp }))
        .filter((/** @type {any} */ span) => span.pit === plan.option.times.onPit[0].pit);
    });
    const notes = new Map();
    spans.forEach((one, i) => spans.slice(i + 1).forEach((other) => {
      const together = Math.min(one.to, other.to) - Math.max(one.from, other.from);
      if (one.plan === other.plan || one.pit !== other.pit || together < facts.together) return;
      if (Math.abs(one.temp - other.temp) > facts.pitsApart) {
        notes.set(`${one.plan.work.name}|${other.plan.work.name}|${one.temp}|${other.temp}`,
          { first: one.plan.work.name, second: other.plan.work.name, pit: one.plan.work.pitTitle, temps: [one.temp, other.temp] });
      }
    }));
    return [...notes.values()];
  }

  return { ownHands, conflictsOf, fireNotes };
})();
