// The Plan page: choices, the figures they ask for, the address bar, and what is shown of the plan. Figures come
// as small scripts, one for each method, for a page in a folder may load nothing else.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.plan = (() => {
  const form = /** @type {HTMLFormElement | null} */ (document.querySelector("form[data-slowfolio=plan]"));
  const sheet = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=plan-sheet]"));
  const dishes = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=plan-dishes]"));
  const mould = /** @type {HTMLTemplateElement | null} */ (document.querySelector("template[data-slowfolio=plan-dish]"));
  if (!form || !sheet || !dishes || !mould) return {};
  const { atWeight, timesOf, holdOf, readyWindow, atShare } = Slowfolio.planTimes;
  const { leadsFor, soonestOn } = Slowfolio.planActs;
  const { AskedError, servedOf, piecesFor, portionsOf, meatPrice, extras, purchaseOf } = Slowfolio.planPortions;
  const { seatOf, slicingDue } = Slowfolio.planSearch;
  const { element, sections } = Slowfolio.planShow;
  const words = Slowfolio.planWords;
  const facts = JSON.parse(form.dataset.facts || "{}");
  const says = document.querySelector("[data-slowfolio=plan-says]");
  const FIELDS = ["method", "guests", "portion", "pieces", "weight", "price", "at"];
  const OUNCE_KG = words.LB_KG / 16;
  const DAY_MS = 86400000;

  /** @type {Record<string, any>} */
  const known = {};
  /** @type {Map<string, any>} */
  const cooked = new Map();
  /** @type {any} */
  let latest = null;

  /** Called by the scripts that carry figures. @param {string} name @param {any} value */
  const take = (name, value) => void (known[name] = value);

  /** @param {string} name @returns {Promise<any>} */
  const fetched = (name) =>
    new Promise((resolve, reject) => {
      if (known[name]) return resolve(known[name]);
      const script = document.createElement("script");
      script.src = `plan-data/${name}.js`;
      script.addEventListener("load", () => resolve(known[name]));
      script.addEventListener("error", () => reject(new AskedError("The figures of this method could not be loaded. Keep the site’s folder whole.")));
      document.head.append(script);
    });

  // --- the order as state ---------------------------------------------------------------------------

  /** One dish in SI, texts for what is typed as text; "" is nothing asked.
   * @typedef {{method: string, guests: string, portion: string, pieces: string, weight: string, price: string, at: string, frozen: boolean}} Dish */
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

  // --- the plan -------------------------------------------------------------------------------------

  /** @param {string} text @param {string} what @param {number} least @param {number} most */
  function whole(text, what, least, most) {
    if (text === "") return null;
    const value = Number(text);
    if (!Number.isInteger(value) || value < least || value > most) throw new AskedError(`${text} ${what}; give a whole number from ${least} to ${most}`);
    return value;
  }

  /** Seconds from the serving time of the service. @param {string} at @param {Date} origin */
  function dueOf(at, origin) {
    if (!at) return 0;
    const { when, note } = words.moment(`${words.typed(origin).slice(0, 10)}T${at}`);
    if (!when) throw new AskedError(note);
    return (when.getTime() - origin.getTime()) / 1000;
  }

  /** A dish looked up, weighed, counted. @param {Dish} dish @param {string} name @param {Date} origin @param {any} asked */
  function prepared(dish, name, origin, asked) {
    const record = known[dish.method];
    const weight = dish.weight === "" ? null : Number(dish.weight);
    const { light, heavy } = record;
    if (weight !== null && (!light || weight < light.weight - 1e-4 || weight > heavy.weight + 1e-4)) {
      const range = light ? `${range_(light.weight, heavy.weight)}` : "one weight only";
      throw new AskedError(`${name}: this page is computed for ${range} trimmed; for another weight run ${commandOf(dish, origin, asked)}`);
    }
    const key = `${dish.method} ${weight}`;
    const at = atWeight(record, weight);
    if (!cooked.has(key)) cooked.set(key, timesOf(record, at));
    const times = cooked.get(key);
    const due = dueOf(dish.at, origin);
    const portion = dish.portion === "" ? facts.portion[0] : Number(dish.portion);
    if (!(portion >= facts.portion[1] && portion <= facts.portion[2])) throw new AskedError(`${name}: a portion of ${Math.round(portion * 1000)} g; give 20 g to 2 kg`);
    const guests = whole(dish.guests, "guests", 1, facts.mostGuests);
    const wanted = whole(dish.pieces, "pieces", 1, facts.mostPieces);
    const option = (/** @type {number} */ pieces, /** @type {any} */ leads) => ({
      record, times, hold: holdOf(record, pieces), pit: record.pit, holder: record.hold ? record.hold.holder : "",
      pieceKg: at.weight, heldKg: (record.heldKg * at.cooked * at.weight) / record.piece, pieceM2: record.pieceM2 * (at.weight / record.piece) ** (2 / 3),
      work: { name, item: name, method: record.id, pieces, serve: due, leads, words: facts.words, trim: record.trim, pitTitle: record.pits[record.pit].title },
    });
    const alone = option(wanted ?? 1, leadsFor(facts.leads, at.weight, 1, "", dish.frozen));
    const by = slicingDue(alone);
    const served = servedOf(record, at, by - seatOf(alone, by, asked).at - readyWindow(times)[1], facts);
    const pieces = wanted ?? (guests === null ? 1 : piecesFor(served, guests, portion, facts));
    const leads = leadsFor(facts.leads, at.weight / (1 - record.trimLoss), pieces, record.pits[record.pit].kind, dish.frozen);
    return { name, dish, record, price: meatPrice(dish.price, facts), portions: portionsOf(record, at, served, pieces, guests, portion), option: option(pieces, leads) };
  }

  const range_ = (/** @type {number} */ low, /** @type {number} */ high) =>
    (inUs() ? `${words.mass(low).us} to ${words.mass(high).us}` : `${words.mass(low).metric} to ${words.mass(high).metric}`);

  /** Refuse a serving time that no simulated cook meets any more. @param {any[]} all @param {any} clock @param {any} asked */
  function refuseImpossible(all, clock, asked) {
    for (const { option } of all) {
      const { start } = seatOf(option, slicingDue(option), asked);
      if (start.fit !== "late" || start.chance > 0) continue;
      const { work, times } = option;
      const quickest = start.start + Math.min(...times.ready) + work.leads.slice;
      const sure = start.start + atShare(times.ready, asked.confidence) + work.leads.slice;
      const thawed = soonestOn(work.leads) > work.leads.light[0] ? "thawed and " : "";
      throw new AskedError(`${work.name} cannot be served at ${clock.shown(work.serve)}: ${thawed}on the pit at ${clock.shown(start.start)} at the soonest, ` +
        `the quickest of ${times.ready.length} cooks is on the board at ${clock.shown(quickest)}; serve at ${clock.shown(sure)} or later to be ${Number((100 * asked.confidence).toFixed(2))} % sure`);
    }
  }

  /** Pits and holders by id, one of each, as the cards have them. @param {any[]} all */
  function placesOf(all) {
    /** @type {Record<string, any>} */
    const places = {};
    for (const { record } of all) {
      Object.assign(places, record.pits);
      if (record.hold) places[record.hold.holder] = { id: record.hold.holder, title: record.hold.title, load: record.hold.load, area: Infinity };
    }
    return places;
  }

  /** What is worth telling besides the times. @param {any} plan @param {string} momentNote @param {boolean} past */
  function notesOf(plan, momentNote, past) {
    const { dishes: all, loads, confidence, now } = plan;
    const said = momentNote ? [momentNote] : [];
    if (past) said.push("the serving time has passed; planned as it would have been");
    for (const { name, record } of all) {
      if (confidence > 1 - 1 / record.members) said.push(`${name}: ${record.members} simulated cooks cannot tell ${Number((100 * confidence).toFixed(2))} % from the slowest of them`);
      said.push(...record.notes.map((/** @type {string} */ note) => `${name}: ${note}`));
      if (record.hold && record.hold.heated && record.hold.out >= facts.outWorth) {
        said.push(`${name}: its coldest point is below ${record.hold.floor} °C for ${words.duration(record.hold.out)} between pit and hold (median): time out of temperature under ${record.hold.floorRule}`);
      }
    }
    for (const load of past ? [] : loads) {
      const due = load.acts.filter((/** @type {any} */ act) => act.provenance === "practice" && act.hands > 0 && act.at < now);
      if (due.length) said.push(`${load.work.name}: due before now, do it at once: ${due.map((/** @type {any} */ act) => act.title.toLowerCase()).join(", ")}`);
    }
    for (const { first, second, pit, temps } of plan.fires) {
      const at = temps.map((/** @type {number} */ c) => (inUs() ? words.degrees(c).us : words.degrees(c).metric)).join(" and ");
      said.push(`${first} and ${second} lie on the ${pit.toLowerCase()} together but ask for ${at}; run it between, and expect one later and one sooner`);
    }
    return [...new Set(said)];
  }

  function compute() {
    const { when, note } = words.moment(top("serve").value);
    if (!when) throw new AskedError(note);
    const clock = words.clockFrom(when);
    const confidence = Number(top("confidence").value) / 100;
    const cooks = whole(top("cooks").value || "1", "cooks", 1, facts.mostCooks);
    const given = boxes().map(dishOf);
    const due = given.map(({ at }) => dueOf(at, when));
    const now = (Date.now() - when.getTime()) / 1000;
    const past = Math.max(...due) <= now;
    const asked = { ...facts, confidence, cooks, notBefore: past ? -Infinity : now };
    /** @type {string[]} */
    const names = [];
    for (const { method } of given) {
      const { title } = known[method];
      const count = names.filter((other) => other === title || other.startsWith(`${title} (`)).length;
      names.push(count ? `${title} (${count + 1})` : title);
    }
    const all = given.map((dish, i) => prepared(dish, names[i], when, asked));
    refuseImpossible(all, clock, asked);
    const others = extras(top("extras").value, facts);
    const purchase = purchaseOf(all, others);
    const places = placesOf(all);
    const { notes: fires, ...service } = Slowfolio.planService.planService(all.map(({ option }) => option), places, asked);
    const plan = { ...service, fires, clock, confidence, places, purchase, dishes: all, facts, now: past ? -Infinity : now, several: service.loads.length > 1, tag };
    return { ...plan, notes: notesOf(plan, note, past), take: takeAlong(plan, given, when) };
  }

  // --- what to take along ---------------------------------------------------------------------------

  const tag = () => /** @type {Node} */ (document.querySelector("[data-slowfolio=plan-tags]")?.firstElementChild?.cloneNode(true) ?? "");
  const quoted = (/** @type {string} */ text) => `"${text.replace(/["\\]/g, "")}"`;
  const served = (/** @type {Date} */ when) => quoted(words.typed(when).replace("T", " "));

  /** The command that plans a dish, to be run on other pits and at other heights. @param {Dish} dish @param {Date} when @param {any} asked */
  function commandOf(dish, when, asked) {
    const parts = ["slowfolio plan", dish.method, "--serve", served(when), "--timezone", quoted(words.zone())];
    for (const name of ["guests", "pieces"]) if (/** @type {any} */ (dish)[name]) parts.push(`--${name}`, /** @type {any} */ (dish)[name]);
    for (const name of ["weight", "portion"]) if (/** @type {any} */ (dish)[name]) parts.push(`--${name}`, quoted(`${/** @type {any} */ (dish)[name]} kg`));
    if (asked.confidence !== facts.confidence[0]) parts.push("--confidence", String(Number((100 * asked.confidence).toFixed(2))));
    if (asked.cooks > 1) parts.push("--cooks", String(asked.cooks));
    if (dish.price) parts.push("--price", quoted(dish.price));
    if (dish.frozen) parts.push("--frozen");
    return parts.join(" ");
  }

  /** The service as the file that the command reads. @param {any} plan @param {Dish[]} given @param {Date} when */
  function serviceFile(plan, given, when) {
    const lines = [`serve: ${words.typed(when).replace("T", " ")}`, `timezone: ${words.zone()}`, `confidence: ${Number((100 * plan.confidence).toFixed(2))} %`, `cooks: ${top("cooks").value || 1}`];
    const others = top("extras").value.split(/[,;\n]/).map((part) => part.trim()).filter(Boolean);
    if (others.length) lines.push("extras:", ...others.map((other) => `  - ${quoted(other)}`));
    lines.push("items:");
    for (const dish of given) {
      lines.push(`  - method: ${dish.method}`);
      for (const name of ["guests", "pieces"]) if (/** @type {any} */ (dish)[name]) lines.push(`    ${name}: ${/** @type {any} */ (dish)[name]}`);
      for (const name of ["weight", "portion"]) if (/** @type {any} */ (dish)[name]) lines.push(`    ${name}: ${/** @type {any} */ (dish)[name]} kg`);
      if (dish.price) lines.push(`    price: ${quoted(dish.price)}`);
      if (dish.at) lines.push(`    serve: ${quoted(dish.at)}`);
      if (dish.frozen) lines.push("    frozen: true");
    }
    return `${lines.join("\n")}\n`;
  }

  let calendarAddress = "";

  /** @param {any} plan @param {Dish[]} given @param {Date} when @returns {Node[]} */
  function takeAlong(plan, given, when) {
    const version = document.querySelector("meta[name=slowfolio-offline]")?.getAttribute("content") ?? "";
    const text = Slowfolio.planCalendar.calendar(plan.loads, plan.clock, { confidence: plan.confidence, version, stamp: new Date() });
    if (calendarAddress) URL.revokeObjectURL(calendarAddress);
    calendarAddress = URL.createObjectURL(new Blob([text], { type: "text/calendar;charset=utf-8" }));
    const link = /** @type {HTMLAnchorElement} */ (element("a", "take__link", "Calendar file (.ics), a reminder ten minutes before each act"));
    link.href = calendarAddress;
    link.download = `cook-${words.typed(when).slice(0, 10)}.ics`;
    const print = element("button", "plain-button take__link", "Print the run sheet");
    print.setAttribute("type", "button");
    print.addEventListener("click", () => window.print());
    const single = given.length === 1;
    const command = element("pre", "", element("code", "", single ? commandOf(given[0], when, { confidence: plan.confidence, cooks: Number(top("cooks").value) || 1 }) : serviceFile(plan, given, when)));
    const how = single
      ? ["This page plans each method on its own pit, in its own holder and at the book’s altitude. For others, and for any weight, run this with ",
        element("code", "", "--pit"), ", ", element("code", "", "--holder"), ", ", element("code", "", "--altitude"), " or ", element("code", "", "--weight"), ":"]
      : ["This page plans each method on its own pit, in its own holder and at the book’s altitude. For others put this in a file, add pits, holders or altitude, and run ",
        element("code", "", "slowfolio plan --service service.yaml"), ":"];
    return [element("ul", "plain take", element("li", "", link), element("li", "", print)), element("div", "take__command", element("p", "", ...how), command)];
  }

  // --- showing --------------------------------------------------------------------------------------

  /** @param {unknown} error */
  function refused(error) {
    latest = null;
    if (!(error instanceof AskedError)) throw error;
    const said = `${error.message.slice(0, 1).toUpperCase()}${error.message.slice(1)}.`;
    sheet?.replaceChildren(element("div", "notice", element("p", "", element("strong", "", "Not planned. "), said)));
    if (says) says.textContent = "";
  }

  let turn = 0;

  async function update() {
    const mine = (turn += 1);
    try {
      await Promise.all(boxes().map((box) => fetched(field(box, "method").value)));
      if (mine !== turn) return;
      remember();
      for (const box of boxes()) hints(box);
      latest = compute();
      sheet?.replaceChildren(...sections(latest));
      const [first] = latest.loads;
      if (says) says.textContent = latest.several ? `${latest.loads.length} loads planned.` : `On at ${latest.clock.shown(first.at)}; ready in time in ${words.percent(first.chance)} of the cooks.`;
    } catch (error) {
      refused(error);
    }
  }

  /** What an empty field stands for. @param {HTMLElement} box */
  function hints(box) {
    const record = known[field(box, "method").value];
    const shown = (/** @type {number} */ kg, /** @type {string} */ name) => String(Number((kg / unitKg(name)).toFixed(name === "portion" ? 0 : 1)));
    field(box, "weight").placeholder = record.light ? `${shown(record.light.weight, "weight")} to ${shown(record.heavy.weight, "weight")}` : shown(record.piece, "weight");
    field(box, "portion").placeholder = shown(facts.portion[0], "portion");
    field(box, "guests").placeholder = "any";
  }

  form.addEventListener("input", (event) => {
    const input = /** @type {HTMLInputElement} */ (event.target);
    if (input.name === "weight" || input.name === "portion") {
      const kg = Number(input.value) * unitKg(input.name);
      if (input.value.trim() && kg > 0) kilograms.set(input, kg);
      else kilograms.delete(input);
    }
    void update();
  });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("click", (event) => {
    const button = /** @type {Element} */ (event.target).closest("button");
    if (button?.matches("[data-slowfolio=plan-add]")) field(addDish({}), "method").focus();
    else if (button?.matches(".dish__remove")) button.closest(".dish")?.remove();
    else return;
    number();
    void update();
  });
  document.addEventListener("slowfolio:units", () => {
    for (const box of boxes()) for (const name of ["weight", "portion"]) showKg(field(box, name), name);
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
