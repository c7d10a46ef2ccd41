// The acts of one load with their windows, and what its hold gives: the same rules as forecast/planning/{leads,
// acts,item}.py, under the same names. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planActs = (() => {
  const { HAIR_S, gridDown, gridUp, onGrid, atShare, shareOf, readyWindow, readyChance, percentile } = Slowfolio.planTimes;
  /** @typedef {{kind: string, title: string, do: string, at: number, p10: number, p90: number, hands: number,
   *   provenance: string, by: number | null}} Act */

  const PREP = ["thaw", "trim", "rub", "light"];

  /** Lead times of a load; ranges run from a quick hand to a slow one.
   * @param {any} leads the constants @param {number} boughtKg @param {number} pieces @param {string} pitKind @param {boolean} frozen */
  function leadsFor(leads, boughtKg, pieces, pitKind, frozen) {
    const large = boughtKg >= leads.largeKg;
    const scaled = (/** @type {number[]} */ span, /** @type {number} */ by) => span.map((s) => s * by);
    return {
      frozen,
      thaw: scaled(leads.thawPerKg, boughtKg),
      trim: scaled(large ? leads.trimLarge : leads.trimSmall, pieces),
      rub: scaled(leads.rub, pieces),
      rubRests: leads.rubRests,
      light: leads.light[pitKind] ?? leads.lightOther,
      lightHands: leads.lightHands,
      stageHands: leads.stageHands,
      slice: (large ? leads.sliceLarge : leads.sliceSmall)[1],
      on: leads.moveHands * pieces,
      wrap: leads.wrapHands * pieces,
      move: leads.moveHands * pieces,
    };
  }

  /** How soon a piece can go on. @param {any} leads */
  const soonestOn = (leads) =>
    leads.frozen ? Math.max(leads.light[0], leads.thaw[0] + leads.trim[0] + leads.rub[0] + leads.rubRests[0]) : leads.light[0];

  const justInTime = (/** @type {number} */ end, /** @type {number} */ hands) => end - hands;
  const lower = (/** @type {string} */ text) => text.slice(0, 1).toLowerCase() + text.slice(1);

  /** @param {any} work @param {number} on @param {boolean} lights @param {(end: number, hands: number) => number} begin @returns {Act[]} */
  function prepActs(work, on, lights, begin) {
    const { leads } = work;
    const lightAt = lights ? begin(on - leads.light[1] + leads.lightHands, leads.lightHands) : on;
    const lightBy = lights ? on - leads.light[0] : on;
    const rubAt = begin(Math.min(lightAt, on - leads.rubRests[1]), leads.rub[1]);
    const rubBy = Math.min(lightBy, on - leads.rubRests[0]) - leads.rub[0];
    const trimAt = begin(rubAt, leads.trim[1]);
    const trimBy = rubBy - leads.trim[0];
    const prep = (/** @type {string} */ kind, /** @type {string} */ title, /** @type {number} */ at, /** @type {number} */ by,
      /** @type {number} */ hands, /** @type {string} */ text) =>
      ({ kind, title, do: text, at, p10: at, p90: Math.max(at, by), hands, provenance: "practice", by: null });
    const { words } = work;
    const acts = [
      prep("thaw", words.thaw, gridDown(trimAt - leads.thaw[1]), gridDown(trimAt - leads.thaw[0]), 0, leads.frozen ? words.thawFrozen : words.thawFresh),
      prep("trim", words.trim, trimAt, trimBy, leads.trim[1], work.trim),
      prep("rub", words.rub, rubAt, rubBy, leads.rub[1], words.rubDo),
    ];
    if (lights) acts.push(prep("light", `${words.light} ${lower(work.pitTitle)}`, lightAt, lightBy, leads.lightHands, words.lightDo));
    return acts;
  }

  /** The latest time for an act that still leaves the chance asked for; late so far is slow on.
   * @param {number[]} begins @param {number[]} ready @param {number} by @param {number} confidence */
  function turnBack(begins, ready, by, confidence) {
    const middle = atShare(begins, 0.5);
    const rest = ready.map((end, m) => end - begins[m]).filter((_, m) => begins[m] >= middle);
    return gridDown(by - atShare(rest, confidence));
  }

  /** From on to into the hold, planned at the median. @param {any} option @param {number} start @param {number} by @param {number} confidence @returns {Act[]} */
  function cookActs({ times, hold, work }, start, by, confidence) {
    const { leads, words } = work;
    const begins = [times.ready.map(() => 0), ...times.stages.map((/** @type {any} */ stage) => stage.ends)];
    const act = (/** @type {string} */ kind, /** @type {string} */ title, /** @type {string} */ text, /** @type {number} */ row, /** @type {number} */ hands) => {
      const [low, middle, high] = times.windows[row];
      return { kind, title, do: text, at: start + onGrid(middle), p10: start + gridDown(low), p90: start + gridUp(high), hands,
        provenance: "computed", by: turnBack(begins[row], times.ready, by, confidence) };
    };
    /** @type {Record<string, number>} */
    const hands = { on: leads.on, stage: leads.stageHands, wrap: leads.wrap };
    const acts = times.onPit.map((/** @type {any} */ s, /** @type {number} */ row) => act(s.act, s.name, s.do, row, hands[s.act]));
    const pulled = times.onPit.length;
    const sign = times.onPit[pulled - 1].when;
    acts.push(act("pull", words.pull, sign ? `${sign}: ${words.pullSign}` : words.pullDone, pulled, leads.move));
    if (times.vent) acts.push(act("vent", times.vent.name, times.vent.do, pulled, 0));
    if (hold.holder && start + readyWindow(times)[1] < by) {
      const when = times.vent ? times.vent.when : "";
      const text = when ? `${when}. ${hold.do}`.trim() : hold.do;
      acts.push(act("hold", `${words.into} ${hold.title.toLowerCase()}`, text, times.stages.length, times.vent ? leads.move : 0));
    }
    return acts;
  }

  /** @param {any} option @param {number} start @param {number} by @returns {Act[]} */
  function serviceActs({ times, hold, work }, start, by) {
    const { leads, words } = work;
    const slicing = readyWindow(times).map((/** @type {number} */ ready) => Math.max(by, gridUp(start + ready)));
    const serving = slicing.map((/** @type {number} */ begun) => Math.max(work.serve, begun + leads.slice));
    const held = hold.holder ? `${words.outOf} ${hold.title.toLowerCase()}. ` : "";
    const act = (/** @type {string} */ kind, /** @type {string} */ title, /** @type {string} */ text, /** @type {number[]} */ window, /** @type {number} */ hands) =>
      ({ kind, title, do: text, at: window[1], p10: window[0], p90: window[2], hands, provenance: "computed", by: kind === "slice" ? by : null });
    return [
      act("slice", words.slice, `${held}${leads.slice ? words.sliceFirst : words.sliceOrder}`, slicing, leads.slice),
      act("serve", words.serve, "", serving, 0),
    ];
  }

  /** How long pieces are held with this start, against the limits of card and rule. @param {any} option @param {number} start @param {number} by */
  function holdOutlook({ times, hold }, start, by) {
    const spare = times.ready.map((/** @type {number} */ ready) => by - start - ready);
    const held = spare.map((/** @type {number} */ s) => Math.max(s, 0));
    const [high, middle, low] = readyWindow(times).map((/** @type {number} */ ready) => by - start - ready);
    const rules = hold.rules ?? held.map(() => Infinity);
    return {
      terms: hold,
      held: [low, middle, high].map((s) => Math.max(0, s)),
      spare: middle,
      late: shareOf(spare.map((/** @type {number} */ s) => s < -HAIR_S)),
      pastCard: shareOf(held.map((/** @type {number} */ s) => s > hold.atMost + HAIR_S)),
      pastRule: shareOf(held.map((/** @type {number} */ s, /** @type {number} */ m) => s > rules[m] + HAIR_S)),
    };
  }

  /** The plan of a load that goes on at its seat's start and is sliced from `by`.
   * @param {any} option @param {{start: any, at: number, by: number}} seat @param {number} confidence @param {boolean} lights
   * @param {(end: number, hands: number) => number} begin */
  function planLoad(option, seat, confidence, lights = true, begin = justInTime) {
    const { at, by } = seat;
    return {
      option,
      work: option.work,
      start: seat.start,
      at,
      by,
      chance: readyChance(option.times, at, by),
      hold: holdOutlook(option, at, by),
      acts: [...prepActs(option.work, at, lights, begin), ...cookActs(option, at, by, confidence), ...serviceActs(option, at, by)],
    };
  }

  return { PREP, leadsFor, soonestOn, cookActs, planLoad, percentile };
})();
