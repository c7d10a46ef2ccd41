// The Holding page: choices, the figures they ask for, the address bar, and what is shown of the advice.
// Figures come as small scripts, one for each method and holder, for a page in a folder may load nothing else.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.holding = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=holding]"));
  const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=hold-advice]"));
  if (!form || !stage) return {};
  const { advise } = Slowfolio.holdAdvice;
  const show = Slowfolio.holdShow;
  const { element, units, figure, section, temperature, percent, duration } = show;
  const words = JSON.parse(form.dataset.words || "{}");
  const source = document.querySelector("[data-slowfolio=hold-tags]");

  /** @type {Record<string, Record<string, any>>} */
  const known = { methods: {}, holders: {} };
  const field = (/** @type {string} */ name) => /** @type {any} */ (form.elements.namedItem(name));
  const wish = {
    method: "", holder: "", air: 0, hours: 0, wrap: "",
    humidity: /** @type {number | null} */ (null), spray: /** @type {{kg: number, hours: number} | null} */ (null),
    litres: /** @type {number | null} */ (null), water: /** @type {number | null} */ (null),
  };
  /** @type {any} */
  let latest = null;

  /** Called by the scripts that carry figures. @param {string} kind @param {string} name @param {any} value */
  const take = (kind, name, value) => void (known[kind][name] = value);

  /** @param {string} kind @param {string} name @returns {Promise<any>} */
  const fetched = (kind, name) =>
    new Promise((resolve, reject) => {
      if (known[kind][name]) return resolve(known[kind][name]);
      const script = document.createElement("script");
      script.src = `holding-data/${kind.slice(0, -1)}-${name}.js`;
      script.addEventListener("load", () => resolve(known[kind][name]));
      script.addEventListener("error", () => reject(new Error(script.src)));
      document.head.append(script);
    });

  // --- controls -------------------------------------------------------------------------------------

  const inUs = () => Slowfolio.chrome.units() === "us";
  const degrees = (/** @type {number} */ c) => (inUs() ? c * 1.8 + 32 : c);
  const celsius = (/** @type {number} */ degree) => (inUs() ? (degree - 32) / 1.8 : degree);

  /** @param {any} table @param {any} holder @returns {[number, number]} */
  const airRange = (table, holder) => [
    Math.max(table.airs[0] - holder.offset, holder.range[0]),
    Math.max(Math.min(table.airs[table.airs.length - 1] - holder.offset, holder.range[1]), table.airs[0] - holder.offset),
  ];

  /** The wish with the air the piece stands in, in place of the dial's. @param {any} holder */
  const inside = (holder) => ({ ...wish, air: wish.air + holder.offset });

  /** Bring the controls in line with the wish. @param {any} table @param {any} holder @param {any} advice */
  function setControls(table, holder, advice) {
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

  function remember() {
    const query = new URLSearchParams({ m: wish.method, h: wish.holder, air: wish.air.toFixed(2), for: String(wish.hours), wrap: wish.wrap });
    if (wish.humidity !== null) query.set("rh", String(Math.round(100 * wish.humidity)));
    if (wish.spray) query.set("spray", `${Math.round(1000 * wish.spray.kg)}-${Math.round(60 * wish.spray.hours)}`);
    if (wish.litres !== null) query.set("litres", String(wish.litres));
    if (wish.water !== null) query.set("water", wish.water.toFixed(2));
    history.replaceState(history.state, "", `?${query}${location.hash}`);
  }

  /** Take over a method's own hold, but for what the address asks. @param {any} table @param {URLSearchParams} asked */
  function startFrom(table, asked) {
    const number = (/** @type {string} */ name, /** @type {number} */ other, /** @type {number} */ low, /** @type {number} */ high) => {
      const value = asked.has(name) ? Number(asked.get(name)) : NaN;
      return value >= low && value <= high ? value : other;
    };
    wish.air = number("air", table.card.air, 0, 120);
    wish.hours = number("for", table.card.hours, 0.5, 16);
    wish.humidity = asked.has("rh") ? number("rh", 50, 2, 95) / 100 : null;
    const [amount, apart] = (asked.get("spray") ?? "").split("-");
    wish.spray = words.sprays[amount]?.[apart] ? { kg: Number(amount) / 1000, hours: Number(apart) / 60 } : null;
    wish.litres = asked.has("litres") ? Math.round(number("litres", 4, 0, 12)) : null;
    wish.water = asked.has("water") ? number("water", 77, 50, 95) : null;
    const wraps = table.wraps.map((/** @type {any} */ { id }) => id);
    wish.wrap = wraps.includes(asked.get("wrap")) ? asked.get("wrap") : table.card.wrap;
    const holder = asked.get("h") ?? "";
    const offered = [.../** @type {HTMLSelectElement} */ (field("holder")).options].map(({ value }) => value);
    wish.holder = offered.includes(holder) ? holder : table.card.holder;
  }

  // --- what is shown --------------------------------------------------------------------------------

  /** @param {any} table @param {any} holder @param {any} advice @returns {Node[]} */
  function said(table, holder, advice) {
    if (!advice.possible) {
      const why = advice.why === "box" ? `${words.box} ${duration(advice.box)}, not ${duration(wish.hours)}` : words.load;
      return [element("div", "notice", element("p", "", element("strong", "", "Not in this holder: "), `${why}.`))];
    }
    const set = show.settings(advice, wish.air, wish.hours, holder.offset, words);
    if (wish.spray) {
      const [us, metric] = words.sprays[Math.round(1000 * wish.spray.kg)][Math.round(60 * wish.spray.hours)];
      set.push({ us, metric });
    }
    if (advice.box !== undefined) {
      const [ready, at] = [words.bottles[advice.litres], temperature(advice.bottleTemp)];
      set.splice(0, 1, { us: ready.us.replace("{at}", at.us), metric: ready.metric.replace("{at}", at.metric) },
        show.same(`above the floor for ${duration(advice.box)}, and ${duration(advice.perLitre)} more for each litre`));
      return [section("Set it", "set-it", tags(0), element("ul", "plain dial", ...set.map((text) => element("li", "", units(text)))))];
    }
    return Slowfolio.holdSections.sections({ table, holder, wish: inside(holder), advice, set, words, tags });
  }

  /** The marks of where figures come from, as the page carries them. @param {number} which 0 the air, 1 the piece */
  const tags = (which) => [element("p", "", /** @type {Node} */ (source?.children[which].cloneNode(true)))];

  async function update() {
    const asked = { method: wish.method, holder: wish.holder };
    try {
      const [table, holder] = await Promise.all([fetched("methods", asked.method), fetched("holders", asked.holder)]);
      if (asked.method !== wish.method || asked.holder !== wish.holder) return;
      const [low, high] = airRange(table, holder);
      wish.air = Math.min(Math.max(wish.air, low), high);
      const sprayable = holder.heated && !["vapour temperature", "per cent"].includes(holder.control);
      if (!sprayable) wish.spray = null;
      latest = advise(table, holder, inside(holder));
      setControls(table, holder, latest);
      stage?.replaceChildren(...said(table, holder, latest));
      remember();
    } catch (error) {
      stage?.replaceChildren(element("div", "notice", element("p", "", `${words.missing} (${/** @type {Error} */ (error).message})`)));
    }
  }

  /** @param {URLSearchParams} asked */
  async function choose(asked) {
    wish.method = field("method").value;
    try {
      startFrom(await fetched("methods", wish.method), asked);
    } catch {
      return update();
    }
    field("holder").value = wish.holder;
    return update();
  }

  form.addEventListener("input", (event) => {
    const { name } = /** @type {HTMLInputElement} */ (event.target);
    if (name === "method") return void choose(new URLSearchParams());
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
    return void update();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  document.addEventListener("slowfolio:units", () => void update());

  const asked = new URLSearchParams(location.search);
  if ([...field("method").options].some(({ value }) => value === asked.get("m"))) field("method").value = asked.get("m");
  form.hidden = false;
  const ready = () => choose(asked);
  return { take, ready, advice: () => latest, wish };
})();
