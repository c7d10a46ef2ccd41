// The choices of the Plan page: dishes added and taken out, weights in the reader's units, and all of it kept in the
// address and on this device. Gives the order as it stands; plans nothing.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planForm = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=plan]"));
  const dishes = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=plan-dishes]"));
  const mould = /** @type {HTMLTemplateElement | null} */ (document.querySelector("template[data-slowfolio=plan-dish]"));
  if (!form || !dishes || !mould) return {};
  const { facts } = Slowfolio.planOrder;
  const words = Slowfolio.planWords;
  const FIELDS = ["method", "guests", "portion", "pieces", "weight", "price", "at"];
  const OUNCE_KG = words.LB_KG / 16;
  const DAY_MS = 86400000;
  const inUs = () => Slowfolio.chrome.units() === "us";
  const top = (/** @type {string} */ name) => /** @type {HTMLInputElement} */ (/** @type {any} */ (form).elements.namedItem(name));
  const boxes = () => /** @type {HTMLElement[]} */ ([...dishes.querySelectorAll(".dish")]);
  const field = (/** @type {HTMLElement} */ box, /** @type {string} */ name) => /** @type {HTMLInputElement} */ (box.querySelector(`[name=${name}]`));
  /** What a number field means in kg, kept apart so that a change of units rounds nothing away. @type {WeakMap<HTMLInputElement, number>} */
  const kilograms = new WeakMap();
  const unitKg = (/** @type {string} */ name) => (inUs() ? (name === "weight" ? words.LB_KG : OUNCE_KG) : name === "weight" ? 1 : 0.001);

  /** @param {HTMLInputElement} input @param {string} name */
  function showKg(input, name) {
    const kg = kilograms.get(input);
    input.value = kg === undefined ? "" : String(Number((kg / unitKg(name)).toFixed(name === "portion" && !inUs() ? 0 : 2)));
  }

  /** @param {HTMLElement} box @returns {Dish} */
  function dishOf(box) {
    const dish = /** @type {any} */ ({ frozen: field(box, "frozen").checked });
    for (const name of FIELDS) dish[name] = field(box, name).value.trim();
    for (const name of ["weight", "portion"]) {
      const kg = kilograms.get(field(box, name));
      dish[name] = kg === undefined ? "" : String(Number(kg.toFixed(5)));
    }
    return dish;
  }

  /** @param {Partial<Dish>} dish */
  function addDish(dish) {
    const box = /** @type {HTMLElement} */ (/** @type {Element} */ (mould?.content.firstElementChild).cloneNode(true));
    for (const name of FIELDS) {
      const value = /** @type {any} */ (dish)[name] ?? "";
      if (name === "weight" || name === "portion") {
        if (Number(value) > 0) kilograms.set(field(box, name), Number(value));
        showKg(field(box, name), name);
      } else if (name !== "method" || [.../** @type {any} */ (field(box, name)).options].some((/** @type {any} */ option) => option.value === value)) {
        field(box, name).value = value;
      }
    }
    field(box, "frozen").checked = Boolean(dish.frozen);
    if (dish.weight || dish.price || dish.at || dish.frozen) box.querySelector("details")?.setAttribute("open", "");
    dishes?.append(box);
    number();
    return box;
  }

  function number() {
    boxes().forEach((box, i, all) => {
      const legend = box.querySelector("legend");
      if (legend) legend.textContent = all.length > 1 ? `Dish ${i + 1}` : "Dish";
      const remove = /** @type {HTMLElement | null} */ (box.querySelector(".dish__remove"));
      if (remove) remove.hidden = all.length === 1;
    });
    /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=plan-add]"))?.toggleAttribute("hidden", boxes().length >= facts.mostItems);
  }

  /** The order as the address holds it: SI, so that it means the same to every reader. */
  function query() {
    const asked = new URLSearchParams({ serve: top("serve").value, sure: top("confidence").value });
    if (top("cooks").value !== "1") asked.set("cooks", top("cooks").value);
    if (top("extras").value.trim()) asked.set("extras", top("extras").value.trim());
    for (const box of boxes()) {
      const dish = dishOf(box);
      asked.append("m", dish.method);
      const rest = new URLSearchParams();
      for (const name of FIELDS.slice(1)) if (/** @type {any} */ (dish)[name]) rest.set(name, /** @type {any} */ (dish)[name]);
      if (dish.frozen) rest.set("frozen", "1");
      asked.append("d", rest.toString());
    }
    return asked.toString();
  }

  function remember() {
    const text = query();
    history.replaceState(history.state, "", `?${text}${location.hash}`);
    Slowfolio.settings.write("plan", text);
  }

  const order = () => ({ serve: top("serve").value, confidence: top("confidence").value, cooks: top("cooks").value || "1",
    extras: top("extras").value, dishes: boxes().map(dishOf) });

  /** @param {URLSearchParams} asked */
  function restore(asked) {
    const serve = asked.get("serve") ?? "";
    top("serve").value = words.moment(serve).when ? serve.slice(0, 16) : words.typed(nextSaturday());
    const shares = [.../** @type {any} */ (top("confidence")).options].map((/** @type {any} */ option) => option.value);
    if (shares.includes(asked.get("sure"))) top("confidence").value = /** @type {string} */ (asked.get("sure"));
    const cooks = Number(asked.get("cooks"));
    if (Number.isInteger(cooks) && cooks >= 1 && cooks <= facts.mostCooks) top("cooks").value = String(cooks);
    top("extras").value = (asked.get("extras") ?? "").slice(0, 300);
    const details = asked.getAll("d");
    asked.getAll("m").slice(0, facts.mostItems).forEach((method, i) => {
      const rest = new URLSearchParams(details[i] ?? "");
      addDish({ ...Object.fromEntries([...rest].filter(([name]) => FIELDS.includes(name))), frozen: rest.has("frozen"), method });
    });
    if (!boxes().length) addDish({});
  }

  /** The Saturday that leaves time to buy and cook, at one o'clock. */
  function nextSaturday() {
    const day = new Date(Date.now() + 2 * DAY_MS);
    while (day.getDay() !== 6) day.setDate(day.getDate() + 1);
    day.setHours(13, 0, 0, 0);
    return day;
  }

  /** What an empty field stands for. @param {HTMLElement} box @param {any} record */
  function hints(box, record) {
    const shown = (/** @type {number} */ kg, /** @type {string} */ name) => String(Number((kg / unitKg(name)).toFixed(name === "portion" ? 0 : 1)));
    field(box, "weight").placeholder = record.light ? `${shown(record.light.weight, "weight")} to ${shown(record.heavy.weight, "weight")}` : shown(record.piece, "weight");
    field(box, "portion").placeholder = shown(record.portion, "portion");
    field(box, "price").placeholder = record.price || "6.49 USD/lb";
    field(box, "guests").placeholder = "any";
  }

  /** Take over what was typed in a number field. @param {HTMLInputElement} input */
  function takeWeight(input) {
    if (input.name !== "weight" && input.name !== "portion") return;
    const kg = Number(input.value) * unitKg(input.name);
    if (input.value.trim() && kg > 0) kilograms.set(input, kg);
    else kilograms.delete(input);
  }

  function inOtherUnits() {
    for (const box of boxes()) for (const name of ["weight", "portion"]) showKg(field(box, name), name);
  }

  return { form, boxes, method: (/** @type {HTMLElement} */ box) => field(box, "method").value, addDish, number, order, query, remember, restore, hints, takeWeight, inOtherUnits };
})();
