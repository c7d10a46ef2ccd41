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
  const { element, units, section, temperature, duration } = show;
  const words = JSON.parse(form.dataset.words || "{}");
  const source = document.querySelector("[data-slowfolio=hold-tags]");

  /** @type {Record<string, Record<string, any>>} */
  const known = { methods: {}, holders: {} };
  const controls = Slowfolio.holdControls(form);
  const { field } = controls;
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

  /** The wish with the air the piece stands in, in place of the dial's. @param {any} holder */
  const inside = (holder) => ({ ...wish, air: wish.air + holder.offset });

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
      const [low, high] = controls.airRange(table, holder);
      wish.air = Math.min(Math.max(wish.air, low), high);
      const sprayable = holder.heated && !["vapour temperature", "per cent"].includes(holder.control);
      if (!sprayable) wish.spray = null;
      latest = advise(table, holder, inside(holder));
      controls.set(wish, table, holder, latest);
      stage?.replaceChildren(...said(table, holder, latest));
      history.replaceState(history.state, "", `?${controls.query(wish)}${location.hash}`);
    } catch (error) {
      stage?.replaceChildren(element("div", "notice", element("p", "", `${words.missing} (${/** @type {Error} */ (error).message})`)));
    }
  }

  /** @param {URLSearchParams} asked */
  async function choose(asked) {
    wish.method = field("method").value;
    try {
      controls.startFrom(wish, await fetched("methods", wish.method), asked, words.sprays);
    } catch {
      return update();
    }
    field("holder").value = wish.holder;
    return update();
  }

  form.addEventListener("input", (event) => {
    const { name } = /** @type {HTMLInputElement} */ (event.target);
    if (name === "method") return void choose(new URLSearchParams());
    controls.read(wish, name);
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
