// The Plan page: what is chosen, the figures it asks for, and what is shown of the plan. Figures come as small
// scripts, one for each method, for a page in a folder may load nothing else.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.plan = (() => {
  const { form, boxes, method, addDish, number, order, query, remember, restore, hints, takeWeight, inOtherUnits } = Slowfolio.planForm;
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=plan-sheet]"));
  if (!form || !sheet) return {};
  const { AskedError } = Slowfolio.planPortions;
  const { facts, planOrder } = Slowfolio.planOrder;
  const { element } = Slowfolio.planParts;
  const { sections } = Slowfolio.planShow;
  const { takeAlong } = Slowfolio.planTake;
  const words = Slowfolio.planWords;
  const says = document.querySelector("[data-slowfolio=plan-says]");
  const tags = document.querySelector("[data-slowfolio=plan-tags]");

  /** @type {Record<string, any>} */
  const known = {};
  /** @type {any} */
  let latest = null;
  let turn = 0;

  /** Called by the scripts that carry figures. @param {string} name @param {any} value */
  const take = (name, value) => void (known[name] = value);

  /** @param {string} name @returns {Promise<any>} */
  const fetched = (name) =>
    new Promise((resolve, reject) => {
      if (known[name]) return resolve(known[name]);
      const script = document.createElement("script");
      script.src = `plan-data/${name}.js`;
      script.addEventListener("load", () => resolve(known[name]));
      script.addEventListener("error", () => reject(new AskedError("the figures of this method could not be loaded; keep the site’s folder whole")));
      document.head.append(script);
    });

  const tag = () => /** @type {Node} */ (tags?.firstElementChild?.cloneNode(true) ?? "");

  /** @param {unknown} error */
  function refused(error) {
    latest = null;
    if (!(error instanceof AskedError)) throw error;
    const said = `${error.message.slice(0, 1).toUpperCase()}${error.message.slice(1)}.`;
    sheet?.replaceChildren(element("div", "notice", element("p", "", element("strong", "", "Not planned. "), said)));
    if (says) says.textContent = "";
  }

  async function update() {
    const mine = (turn += 1);
    try {
      await Promise.all(boxes().map((/** @type {HTMLElement} */ box) => fetched(method(box))));
      if (mine !== turn) return;
      remember();
      for (const box of boxes()) hints(box, known[method(box)]);
      const plan = { ...planOrder(order(), known, Date.now()), facts, tag };
      sheet?.replaceChildren(...sections({ ...plan, take: takeAlong(plan) }));
      latest = plan;
      const [first] = plan.loads;
      if (says) says.textContent = plan.several ? `${plan.loads.length} loads planned.` : `On at ${plan.clock.shown(first.at)}; ready in time in ${words.percent(first.chance)} of the cooks.`;
    } catch (error) {
      refused(error);
    }
  }

  form.addEventListener("input", (/** @type {Event} */ event) => {
    takeWeight(/** @type {HTMLInputElement} */ (event.target));
    void update();
  });
  form.addEventListener("submit", (/** @type {Event} */ event) => event.preventDefault());
  form.addEventListener("click", (/** @type {Event} */ event) => {
    const button = /** @type {Element} */ (event.target).closest("button");
    if (button?.matches("[data-slowfolio=plan-add]")) addDish({}).querySelector("select")?.focus();
    else if (button?.matches(".dish__remove")) button.closest(".dish")?.remove();
    else return;
    number();
    void update();
  });
  document.addEventListener("slowfolio:units", () => {
    inOtherUnits();
    void update();
  });

  const asked = new URLSearchParams(location.search);
  const kept = new URLSearchParams(Slowfolio.settings.read("plan") ?? "");
  // A link to one method begins a plan of its own; without any, the last one is taken up where its day is not past.
  const old = words.moment(kept.get("serve") ?? "").when;
  restore(asked.has("m") || !old || old.getTime() < Date.now() ? asked : kept);
  form.hidden = false;
  const ready = update();
  return { take, ready, current: () => latest, query };
})();
