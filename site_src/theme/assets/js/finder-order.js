// How the finder orders methods by what matters most, and the line that says why each stands where it does.
// Sums only, no page: finder.js reads the controls and shows the order.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.finderOrder = (() => {
  /** @typedef {{value: number, low: number, high: number, said: string}} Figure */
  /** @typedef {{title: string, figures: Record<string, Figure | undefined>}} Candidate */
  /** @typedef {{key: string, name: string, most: string, lower: boolean, weight: number}} Matter */
  /** @typedef {{matter: Matter, best: Candidate, tied: Candidate[], isTied: Set<Candidate>, worth: Map<Candidate, number>}} Field */

  /** @param {string} text "78 71 85 78" or "45000 41000 49000 12 h 30 min" @returns {Figure} */
  function figure(text) {
    const [value, low, high, ...said] = text.split(" ");
    return { value: Number(value), low: Number(low), high: Number(high), said: said.join(" ") };
  }

  /** @param {Candidate} candidate @param {Matter} matter @returns {Figure} */
  const of = (candidate, matter) => /** @type {Figure} */ (candidate.figures[matter.key]);

  /**
   * One matter over all candidates: who leads, whose range touches the leader's, and what each is worth.
   * Worth runs from 0 (the least of them) to 1 (the most). Where the candidates lie closer together than their own
   * spread is wide, worth is cut in proportion: a difference that may be none counts for little.
   * @param {Matter} matter @param {Candidate[]} candidates @returns {Field | null}
   */
  function field(matter, candidates) {
    const known = candidates.filter((candidate) => candidate.figures[matter.key]);
    if (known.length === 0) return null;
    const sign = matter.lower ? -1 : 1;
    const values = known.map((candidate) => sign * of(candidate, matter).value);
    const most = values.reduce((a, b) => Math.max(a, b));
    const least = values.reduce((a, b) => Math.min(a, b));
    const width = known.reduce((sum, one) => sum + of(one, matter).high - of(one, matter).low, 0) / known.length;
    const scale = Math.max(most - least, width) || 1;
    const best = known[values.indexOf(most)];
    const lead = of(best, matter);
    const touches = (/** @type {Figure} */ other) => (matter.lower ? other.low <= lead.high : other.high >= lead.low);
    const tied = known.filter((candidate) => candidate !== best && touches(of(candidate, matter)));
    const worth = new Map(known.map((candidate, i) => [candidate, (values[i] - least) / scale]));
    return { matter, best, tied, isTied: new Set(tied), worth };
  }

  /** @param {Field} field @param {Candidate} candidate @param {string} among @returns {string} */
  function lead({ matter, best, tied }, candidate, among) {
    return candidate === best && tied.length === 0 ? `${matter.most} ${among} (${of(best, matter).said})` : "";
  }

  /** @param {Field} field @param {Candidate} candidate @param {string} among @returns {string} */
  function tie({ matter, best, tied, isTied }, candidate, among) {
    if (isTied.has(candidate)) return `tied with “${best.title}” for ${matter.most} ${among}`;
    if (candidate !== best || tied.length === 0) return "";
    const others = tied.length === 2 ? " and 1 other" : tied.length > 2 ? ` and ${tied.length - 1} others` : "";
    return `tied with “${tied[0].title}”${others} for ${matter.most} ${among}`;
  }

  /** @param {Field} field @param {Candidate} candidate @returns {string} */
  function behind({ matter, best }, candidate) {
    const here = candidate.figures[matter.key];
    if (!here) return `${matter.name} not computed`;
    return `${matter.name} ${here.said}, behind ${of(best, matter).said} for “${best.title}”`;
  }

  /**
   * At most two things in one line: what it leads in, else what it is tied for, else how far it is behind.
   * @param {Candidate} candidate @param {Field[]} fields Heaviest first. @param {string} among
   * @returns {string}
   */
  function reason(candidate, fields, among) {
    const leads = fields.map((one) => lead(one, candidate, among)).filter(Boolean);
    const ties = fields.map((one) => tie(one, candidate, among)).filter(Boolean);
    const words = [...leads, ...ties].slice(0, 2);
    const line = words.length > 1 ? words.join("; ").replace(` ${among}`, "") : words[0] || behind(fields[0], candidate);
    return line.charAt(0).toUpperCase() + line.slice(1);
  }

  /**
   * The candidates in order, each with its reason; by name and without reasons where nothing matters.
   * @template {Candidate} T
   * @param {T[]} candidates @param {Matter[]} matters @param {string} among Such as "of those that hold 10 h".
   * @returns {{candidate: T, reason: string}[]}
   */
  function rank(candidates, matters, among) {
    const weighed = matters.filter(({ weight }) => weight > 0).sort((a, b) => b.weight - a.weight);
    const fields = /** @type {Field[]} */ (weighed.map((matter) => field(matter, candidates)).filter(Boolean));
    const sum = (/** @type {T} */ candidate) =>
      fields.reduce((total, { matter, worth }) => total + matter.weight * (worth.get(candidate) ?? -1), 0);
    const sums = new Map(candidates.map((candidate) => [candidate, sum(candidate)]));
    const byName = new Intl.Collator().compare;
    const ordered = [...candidates].sort(
      (a, b) => (sums.get(b) ?? 0) - (sums.get(a) ?? 0) || byName(a.title, b.title),
    );
    const said = fields.length > 0 && candidates.length > 1;
    return ordered.map((candidate) => ({ candidate, reason: said ? reason(candidate, fields, among) : "" }));
  }

  return { figure, rank };
})();
