// Hands on the five-minute grid, room in pits and holders, and where and when a load would be alone: the same
// rules as forecast/planning/{hands,places,arrange}.py, under the same names. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planPlaces = (() => {
  const { GRID_S, gridDown, gridUp, chooseStart, readyWindow } = Slowfolio.planTimes;
  const { soonestOn } = Slowfolio.planActs;
  const EPOCH = 1 << 13;

  // --- hands ----------------------------------------------------------------------------------------

  /** The slots that a stretch of time touches, as bits. @param {number} from @param {number} to */
  function maskOf(from, to) {
    const first = EPOCH + Math.floor(from / GRID_S + 1e-6);
    const past = EPOCH + Math.ceil(to / GRID_S - 1e-6);
    return ((1n << BigInt(Math.max(0, past - first))) - 1n) << BigInt(Math.max(0, first));
  }

  /** The masks with one more pair of hands taken: bit s of mask k tells that more than k are. @param {bigint[]} busy @param {bigint} hands */
  const taken = (busy, hands) =>
    busy.map((mask) => {
      const after = mask | hands;
      hands &= mask;
      return after;
    });

  class Hands {
    /** @param {number} cooks */
    constructor(cooks) {
      this.busy = Array(cooks).fill(0n);
    }

    /** @param {number} from @param {number} to */
    take(from, to) {
      this.busy = taken(this.busy, maskOf(from, to));
    }

    /** The latest begin of a free stretch that ends at or before `end`. @param {number} end @param {number} length */
    latestFree(end, length) {
      let at = end - length;
      while (this.busy[this.busy.length - 1] & maskOf(at, at + length)) at -= GRID_S;
      return at;
    }
  }

  // --- places ---------------------------------------------------------------------------------------

  /** Where a load lies while it cooks, seconds from on: from an early cook's arrival to a late one's end. @param {any} option */
  function pitStays(option) {
    const [kg, area] = [option.pieceKg * option.work.pieces, option.pieceM2 * option.work.pieces];
    /** @type {{place: string, from: number, to: number, kg: number, area: number}[]} */
    const stays = [];
    let begins = 0;
    option.times.onPit.forEach((/** @type {any} */ stage, /** @type {number} */ i) => {
      const [early, , late] = option.times.windows[i + 1];
      const ends = gridUp(late);
      const last = stays[stays.length - 1];
      if (last && last.place === stage.pit) last.to = ends;
      else stays.push({ place: stage.pit, from: begins, to: ends, kg, area });
      begins = gridDown(early);
    });
    return stays;
  }

  /** Pit and holder of one load, seconds from the serving time. @param {any} option @param {number} start @param {number} by */
  function allStays(option, start, by) {
    const stays = pitStays(option).map((stay) => ({ ...stay, from: start + stay.from, to: start + stay.to }));
    const from = start + gridDown(readyWindow(option.times)[0]);
    if (option.holder && from < by) stays.push({ place: option.holder, from, to: by, kg: option.heldKg * option.work.pieces, area: 0 });
    return stays;
  }

  /** How many pieces pit and holder take at a time. @param {any} option @param {Record<string, any>} places */
  function mostPieces(option, places) {
    const pit = places[option.pit];
    const room = [pit.load / option.pieceKg, pit.area / option.pieceM2];
    if (option.holder) room.push(places[option.holder].load / option.heldKg);
    return Math.floor(Math.min(...room) + 1e-9);
  }

  // --- seats ----------------------------------------------------------------------------------------

  const slicingDue = (/** @type {any} */ option) => option.work.serve - option.work.leads.slice;

  /** The seat a load would have alone. @param {any} option @param {number} by @param {any} asked */
  function seatOf(option, by, asked) {
    const start = chooseStart(option.times, option.hold, by, asked.confidence, asked.notBefore + soonestOn(option.work.leads));
    return { start, at: start.start, by };
  }

  /** When each load is sliced so that hands do for all, or null. @param {any[]} options @param {Hands} hands @param {number} earlyAtMost */
  function slicesApart(options, hands, earlyAtMost) {
    const order = options.map((_, i) => i).sort((a, b) =>
      options[b].work.serve - options[a].work.serve || options[a].work.leads.slice - options[b].work.leads.slice || a - b);
    const times = options.map(() => 0);
    for (const i of order) {
      const length = options[i].work.leads.slice;
      const due = slicingDue(options[i]);
      const at = hands.latestFree(due + length, length);
      if (due - at > earlyAtMost) return null;
      hands.take(at, at + length);
      times[i] = at;
    }
    return times;
  }

  return { maskOf, taken, Hands, pitStays, allStays, mostPieces, slicingDue, seatOf, slicesApart };
})();
