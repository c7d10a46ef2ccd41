// The Holding page's controls: what they offer, what is read from them, and the choice as the address bar keeps it.
// Works nothing out; `holding` asks for the advice.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

/** @param {HTMLFormElement} form */
Slowfolio.holdControls = (form) => {
  /** @typedef {{method: string, holder: string, air: number, hours: number, wrap: string, humidity: number | null,
   *   spray: {kg: number, hours: number} | null, litres: number | null, water: number | null}} Wish */

  const show = Slowfolio.holdShow;
  const { units, temperature, duration } = show;
  const field = (/** @type {string} */ name) => /** @type {any} */ (form.elements.namedItem(name));

  const inUs = () => Slowfolio.chrome.units() === "us";
  const degrees = (/** @type {number} */ c) => (inUs() ? c * 1.8 + 32 : c);
  const celsius = (/** @type {number} */ degree) => (inUs() ? (degree - 32) / 1.8 : degree);

  /** @param {any} table @param {any} holder @returns {[number, number]} */
  const airRange = (table, holder) => [
    Math.max(table.airs[0] - holder.offset, holder.range[0]),
    Math.max(Math.min(table.airs[table.airs.length - 1] - holder.offset, holder.range[1]), table.airs[0] - holder.offset),
  ];

  /** Bring the controls in line with the wish. @param {Wish} wish @param {any} table @param {any} holder @param {any} advice */
  function set(wish, table, holder, advice) {
    const [low, high] = airRange(table, holder);
    Object.assign(field("air"), { min: Math.ceil(degrees(low) - 0.05), max: Math.floor(degrees(high) + 0.05), disabled: !holder.heated });
    field("air").value = String(Math.round(degrees(wish.air)));
    field("hours").value = String(wish.hours);
    const wraps = table.wraps.map((/** @type {any} */ { id, title }) => new Option(title, id, false, id === wish.wrap));
    field("wrap").replaceChildren(...wraps);
    field("wrap").disabled = !holder.heated;
    const dialled = ["vapour temperature", "per cent"].includes(holder.control);
    const free = wish.spray !== null || !(dialled || holder.control === "pan");
    for (const [kind, fits] of [["spray", holder.heated && !dialled], ["bottles", !holder.heated], ["heat", holder.heated]]) {
      for (const part of form.querySelectorAll(`[data-for=${kind}]`)) /** @type {HTMLElement} */ (part).hidden = !fits;
    }
    field("spray").value = wish.spray ? String(Math.round(1000 * wish.spray.kg)) : "";
    field("every").disabled = !wish.spray;
    field("auto").checked = wish.humidity === null;
    field("auto").disabled = free;
    field("humidity").disabled = free || wish.humidity === null;
    if (advice.target !== undefined) field("humidity").value = String(Math.round(100 * advice.target));
    if (!holder.heated) setBottles(advice);
    const aim = free ? "nothing to set" : `${field("humidity").value} %`;
    for (const [name, text] of [["air", temperature(wish.air)], ["hours", show.same(duration(wish.hours))], ["humidity", show.same(aim)]]) {
      form.querySelector(`[data-says=${name}]`)?.replaceChildren(units(text));
    }
    field("air").setAttribute("aria-valuetext", inUs() ? temperature(wish.air).us : temperature(wish.air).metric);
    field("hours").setAttribute("aria-valuetext", duration(wish.hours));
    field("humidity").setAttribute("aria-valuetext", aim);
  }

  /** @param {any} advice of a box without heat */
  function setBottles({ litres, bottleTemp }) {
    const [low, high] = [50, 95].map(degrees);
    Object.assign(field("water"), { min: Math.ceil(low), max: Math.floor(high) });
    field("water").value = String(Math.round(degrees(bottleTemp)));
    field("litres").value = String(litres);
    for (const [name, text] of [["litres", show.same(`${litres} L`)], ["water", temperature(bottleTemp)]]) {
      form.querySelector(`[data-says=${name}]`)?.replaceChildren(units(text));
      field(name).setAttribute("aria-valuetext", inUs() ? text.us : text.metric);
    }
  }

  /** The wish as the address bar keeps it. @param {Wish} wish */
  function query(wish) {
    const kept = new URLSearchParams({ m: wish.method, h: wish.holder, air: wish.air.toFixed(2), for: String(wish.hours), wrap: wish.wrap });
    if (wish.humidity !== null) kept.set("rh", String(Math.round(100 * wish.humidity)));
    if (wish.spray) kept.set("spray", `${Math.round(1000 * wish.spray.kg)}-${Math.round(60 * wish.spray.hours)}`);
    if (wish.litres !== null) kept.set("litres", String(wish.litres));
    if (wish.water !== null) kept.set("water", wish.water.toFixed(2));
    return kept;
  }

  /** Take over a method's own hold, but for what the address asks. @param {Wish} wish @param {any} table
   * @param {URLSearchParams} asked @param {Record<string, any>} sprays those on offer */
  function startFrom(wish, table, asked, sprays) {
    const number = (/** @type {string} */ name, /** @type {number} */ other, /** @type {number} */ low, /** @type {number} */ high) => {
      const value = asked.has(name) ? Number(asked.get(name)) : NaN;
      return value >= low && value <= high ? value : other;
    };
    wish.air = number("air", table.card.air, 0, 120);
    wish.hours = number("for", table.card.hours, 0.5, 16);
    wish.humidity = asked.has("rh") ? number("rh", 50, 2, 95) / 100 : null;
    const [amount, apart] = (asked.get("spray") ?? "").split("-");
    wish.spray = sprays[amount]?.[apart] ? { kg: Number(amount) / 1000, hours: Number(apart) / 60 } : null;
    wish.litres = asked.has("litres") ? Math.round(number("litres", 4, 0, 12)) : null;
    wish.water = asked.has("water") ? number("water", 77, 50, 95) : null;
    const wraps = table.wraps.map((/** @type {any} */ { id }) => id);
    wish.wrap = wraps.includes(asked.get("wrap")) ? asked.get("wrap") : table.card.wrap;
    const holder = asked.get("h") ?? "";
    const offered = [.../** @type {HTMLSelectElement} */ (field("holder")).options].map(({ value }) => value);
    wish.holder = offered.includes(holder) ? holder : table.card.holder;
  }

  /** Take over what a control now says. @param {Wish} wish @param {string} name */
  function read(wish, name) {
    if (name === "holder") wish.holder = field("holder").value;
    if (name === "wrap") wish.wrap = field("wrap").value;
    if (name === "air") wish.air = celsius(Number(field("air").value));
    if (name === "hours") wish.hours = Number(field("hours").value);
    if (name === "humidity" || name === "auto") wish.humidity = field("auto").checked ? null : Number(field("humidity").value) / 100;
    if (name === "spray" || name === "every") {
      const amount = Number(field("spray").value);
      wish.spray = amount ? { kg: amount / 1000, hours: Number(field("every").value) / 60 } : null;
    }
    if (name === "litres") wish.litres = Number(field("litres").value);
    if (name === "water") wish.water = celsius(Number(field("water").value));
  }

  return { field, airRange, set, query, startFrom, read };
};
