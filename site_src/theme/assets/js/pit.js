// The At the pit page: which cook and which step are shown, what is typed in, and what follows from it.
// Every change is kept before it is shown; the forecast is made anew at each and once a minute.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pit = (() => {
  const page = /** @type {HTMLElement | null} */ (document.querySelector("[data-slowfolio=pit]"));
  if (!page) return {};
  const store = Slowfolio.pitStore, show = Slowfolio.pitShow, alarm = Slowfolio.pitAlarm;
  const { iso, fieldTime, clock, span, number, kilograms, temperature, element, MINUTE } = Slowfolio.pitWords;
  const data = JSON.parse(page.dataset.cook || "{}");
  const RING_EVERY = 20_000;

  const part = (/** @type {string} */ name) => /** @type {any} */ (page.querySelector(`[data-part=${name}]`));
  const says = (/** @type {string} */ name) => /** @type {HTMLElement} */ (page.querySelector(`[data-says=${name}]`));
  const tool = (/** @type {string} */ name) => /** @type {HTMLButtonElement} */ (page.querySelector(`[data-act=${name}]`));
  const field = (/** @type {any} */ form, /** @type {string} */ name) => form.elements.namedItem(name);
  const steps = /** @type {HTMLElement[]} */ ([...page.querySelectorAll("[data-step]")]);

  /** @type {any} */ let cook = null;
  /** @type {any} */ let ensemble = null;
  /** @type {any} */ let latest = null;
  let shown = 0, forecastAt = 0, rungAt = 0, loud = false;

  // --- keeping ----------------------------------------------------------------------------------------

  function keep() {
    const kept = store.write(cook);
    complain(kept ? "" : "This browser keeps nothing on this device. Save the log to a file before you leave the page.");
  }

  /** @param {string} words */
  function complain(words) {
    part("wrong").hidden = words === "";
    part("wrong").textContent = words;
  }

  /** Keep a change, forecast anew, note the forecast, show all. */
  function changed() {
    refresh();
    if (latest?.pull) store.add(cook.log, "forecasts", Slowfolio.pitForecast.record(latest, Date.parse(cook.log.started_at), Date.now()));
    keep();
    render();
  }

  function refresh() {
    forecastAt = Date.now();
    latest = ensemble && cook ? Slowfolio.pitForecast.forecastOf(cook.log, ensemble, forecastAt) : null;
  }

  // --- which cook -------------------------------------------------------------------------------------

  /** Show the cook of the address, else the latest of this method that is under way. */
  function choose() {
    const asked = location.hash.slice(1);
    const own = store.all().filter((/** @type {any} */ { log }) => log.method === data.method);
    cook = own.find((/** @type {any} */ { log }) => log.id === asked)
      ?? (asked === "new" ? null : own.find((/** @type {any} */ { log }) => !log.finished_at) ?? null);
    if (cook && cook.log.stages.length !== data.stages.length) {
      complain("This cook was begun with another revision of the card: its steps differ. Its log can be saved.");
    }
    shown = cook ? Math.min(show.stageOf(cook.log) + 1, steps.length - 1) : 0;
    field(part("start"), "on").value = fieldTime(Date.now());
    field(part("start"), "label").value = `Piece ${own.length + 1}`;
    refresh();
    render();
  }

  // --- showing ----------------------------------------------------------------------------------------

  function render() {
    const cooks = store.all().filter((/** @type {any} */ { log }) => !log.finished_at || log.id === cook?.log.id);
    Slowfolio.pitCooks.show(part("cooks"), cooks, "", cook?.log.id);
    if (cook) part("cooks").append(anotherLink());
    for (const name of ["now", "act", "timers", "reading", "otherwise", "notes"]) part(name).hidden = !cook;
    part("finish").hidden = !cook || !data.engine;
    part("start").hidden = cook !== null || shown !== 0;
    part("turn").hidden = false;
    renderStep();
    if (!cook) return;
    renderAct();
    renderTimers();
    renderForecast();
    says("log").replaceChildren(...show.logRows(cook, drop));
    tool("lost").disabled = cold();
    tool("returned").disabled = !cold();
    tick();
  }

  function anotherLink() {
    const link = /** @type {HTMLAnchorElement} */ (element("a", "pit__another", "Start another of these"));
    link.href = "#new";
    return link;
  }

  const cold = () => cook.log.events.filter((/** @type {any} */ { kind }) => kind !== "pit elsewhere").at(-1)?.kind === "heat lost";

  function renderStep() {
    const current = cook ? show.stageOf(cook.log) + 1 : 0;
    steps.forEach((step, index) => {
      step.hidden = index !== shown;
      step.classList.toggle("pit__step--current", index === current);
    });
    tool("back").disabled = shown === 0;
    tool("on").disabled = shown === steps.length - 1;
    const where = !cook ? "" : shown === current ? "this is now" : shown < current ? "done" : "to come";
    says("place").textContent = [`${shown + 1} of ${steps.length}`, where].filter(Boolean).join(", ");
    part("start").hidden = cook !== null || shown !== 0;
    part("act").hidden = !cook || shown !== current;
  }

  function renderAct() {
    part("act").replaceChildren(...show.act(data, cook, { end, leaveOut, takeBack }));
  }

  function renderTimers() {
    says("timers").replaceChildren(...show.timerRows(show.timers(data, cook, Date.now()), Date.now(), timerDone));
  }

  function renderForecast() {
    if (!latest) {
      says("finish").replaceChildren(element("p", "", ensemble === false ? "The figures for a forecast could not be loaded." : "Loading."));
      return;
    }
    const words = Slowfolio.pitForecast.finishWords(latest, cook, data);
    if (words.map((/** @type {Node} */ node) => node.textContent).join() !== [...says("finish").childNodes].map((node) => node.textContent).join()) {
      says("finish").replaceChildren(...words);
    }
    says("rules").replaceChildren(element("p", "pit__label", "Rules checked anew"), ...Slowfolio.pitForecast.ruleWords(latest, data), ...floorWords());
    if (says("rules").querySelector(".pit__wrong")) part("otherwise").open = true;
  }

  /** What the last reading of the piece after the cook says of the floor. @returns {Node[]} */
  function floorWords() {
    const rested = Date.parse(cook.log.stages[data.pull]?.ended_at ?? "");
    const last = cook.log.readings.filter((/** @type {any} */ { at, place }) => place !== "pit" && place !== "holder" && Date.parse(at) > rested).at(-1);
    if (!last) return [];
    const floor = Slowfolio.pitWords.inUs() ? `${data.floor.temp_f} °F` : `${data.floor.temp_c} °C`;
    const met = last.temp_c >= data.floor.temp_c;
    const after = met ? "" : ` ${data.floor.allowance ? `Below it only on this condition: ${data.floor.allowance}.` : ""}`;
    return [element("p", met ? "" : "pit__wrong", `Hot hold, ${floor} at the coldest point: ${met ? "met" : "not met"} by the reading of ${temperature(last.temp_c)} at ${clock(Date.parse(last.at))} (${data.floor.rule}).${after}`)];
  }

  /** Once a second: clock, timers; once a minute the forecast. */
  function tick() {
    if (!cook) return;
    const now = Date.now(), start = Date.parse(cook.log.started_at);
    says("label").textContent = cook.log.label;
    says("clock").textContent = clock(now);
    says("since").textContent = cook.log.finished_at ? "this cook is over" : now < start ? `goes on in ${span(start - now)}` : `${span(now - start)} on`;
    says("next").textContent = nextWords(now);
    says("off").textContent = Slowfolio.pitForecast.shortWords(latest, cook, data);
    tickTimers(now);
    if (!cook.log.finished_at && now - forecastAt > MINUTE) {
      refresh();
      renderForecast();
    }
  }

  /** The end of the stage under way, and its window. @param {number} now */
  function nextWords(now) {
    const index = show.stageOf(cook.log), stage = data.stages[index];
    if (!stage || cook.log.finished_at) return "";
    const due = show.dueOf(stage, cook.log.stages[index]);
    const after = data.stages[index + 1];
    const name = after ? `Next: ${after.name}` : "Next: slice and serve";
    if (due !== null) return `${name} at ${clock(due)}${due > now ? `, in ${span(due - now)}` : ", due now"}.`;
    const window = latest?.windows.find((/** @type {any} */ found) => found.stage === index);
    if (!window) return `${name} ${show.endWords(stage)}.`;
    const start = Date.parse(cook.log.started_at), at = (/** @type {number} */ share) => start + 1000 * window.percentile(share);
    const { about } = Slowfolio.pitWords;
    if (at(0.9) - now < 6 * MINUTE) return `${name} ${show.endWords(stage)}: any time now.`;
    return `${name} ${show.endWords(stage)}: ${about(Math.max(at(0.1), now))} to ${about(at(0.9))}.`;
  }

  /** @param {number} now */
  function tickTimers(now) {
    const list = show.timers(data, cook, now), rows = /** @type {HTMLElement[]} */ ([...says("timers").children]);
    const same = rows.length === list.length && list.every((/** @type {any} */ timer, /** @type {number} */ i) =>
      rows[i].dataset.key === timer.key && rows[i].classList.contains("pit__ringing") === timer.due <= now &&
      /** @type {HTMLElement} */ (rows[i].querySelector(".pit__due")).dataset.due === String(timer.due));
    if (!same) renderTimers();
    else list.forEach((/** @type {any} */ timer, /** @type {number} */ i) => {
      /** @type {HTMLElement} */ (rows[i].querySelector(".pit__due")).textContent = show.dueWords(timer, now);
    });
    if (list.some((/** @type {any} */ timer) => show.rings(timer, now)) && now - rungAt > RING_EVERY) {
      rungAt = now;
      alarm.ring();
    }
  }

  // --- acts -------------------------------------------------------------------------------------------

  /** End the stage under way. @param {string} how */
  function end(how) {
    const index = show.stageOf(cook.log), now = iso(Date.now());
    Object.assign(cook.log.stages[index], { ended_at: now, ended: how });
    if (cook.log.stages[index + 1]) cook.log.stages[index + 1].started_at = now;
    shown = Math.min(index + 2, steps.length - 1);
    changed();
    part("now").scrollIntoView();
  }

  function leaveOut() {
    const next = cook.log.stages[show.stageOf(cook.log) + 1];
    end("early");
    const now = next.started_at, after = cook.log.stages[cook.log.stages.indexOf(next) + 1];
    Object.assign(next, { ended_at: now, ended: "left out" });
    if (after) after.started_at = now;
    shown = Math.min(show.stageOf(cook.log) + 1, steps.length - 1);
    changed();
  }

  function takeBack() {
    const index = show.stageOf(cook.log) - 1;
    if (cook.log.stages[index + 1]) cook.log.stages[index + 1].started_at = null;
    Object.assign(cook.log.stages[index], { ended_at: null, ended: null });
    if (index > 0 && cook.log.stages[index].started_at === null) cook.log.stages[index].started_at = cook.log.stages[index - 1].ended_at;
    shown = index + 1;
    changed();
  }

  /** @param {any} timer */
  function timerDone(timer) {
    if (timer.own) cook.page.timers = cook.page.timers.filter((/** @type {any} */ { id }) => id !== timer.key);
    else cook.page.acks[timer.key] = timer.due;
    keep();
    renderTimers();
  }

  /** @param {string} list @param {any} entry */
  function drop(list, entry) {
    cook.log[list] = cook.log[list].filter((/** @type {any} */ other) => other !== entry);
    changed();
  }

  /** @param {string} kind @param {number | null} [temp_c] */
  function happened(kind, temp_c = null) {
    store.add(cook.log, "events", { at: iso(Date.now()), kind, temp_c });
    changed();
  }

  /** The moment a field names, now where it is empty, NaN where it lies before the start or ahead. @param {string} text */
  function momentOf(text) {
    const at = text ? new Date(text).getTime() : Date.now();
    return at < Date.parse(cook.log.started_at) - MINUTE || at > Date.now() + MINUTE ? NaN : at;
  }

  /** @param {any} form @param {(form: any) => string} take Says what is wrong, empty where nothing is. */
  function onSubmit(form, take) {
    form.addEventListener("submit", (/** @type {Event} */ event) => {
      event.preventDefault();
      const wrong = take(form);
      const place = form.querySelector("[role=alert]");
      if (place) Object.assign(place, { textContent: wrong, hidden: wrong === "" });
      else complain(wrong);
    });
  }

  onSubmit(part("start"), (form) => {
    const weight = field(form, "weight").value.trim(), typed = number(weight);
    const kilos = weight === "" ? null : kilograms(typed);
    if (kilos !== null && !(kilos > 0 && kilos <= 60)) return "Write the weight as a number, such as 13.5, or leave it out.";
    const on = field(form, "on").value, at = on && on !== fieldTime(Date.now()) ? new Date(on).getTime() : Date.now();
    if (Number.isNaN(at)) return "Write when it goes on, or leave it empty for now.";
    cook = store.begun(data, { label: field(form, "label").value.trim() || "Piece", weight: kilos, at });
    shown = 1;
    alarm.allowSound();
    loud = true;
    history.replaceState(null, "", `#${cook.log.id}`);
    renderDevice();
    changed();
    scrollTo({ top: 0 });
    return "";
  });

  onSubmit(part("reading"), (form) => {
    const place = field(form, "place").value, at = momentOf(field(form, "at").value);
    const value = show.typedTemperature(field(form, "value").value, place);
    if (typeof value === "string") return value;
    if (Number.isNaN(at)) return "That time lies before the piece went on, or ahead. Leave it empty for now.";
    store.add(cook.log, "readings", { at: iso(at), place, temp_c: Math.round(value * 100) / 100, thermometer_sd_k: null });
    field(form, "value").value = field(form, "at").value = "";
    changed();
    return "";
  });

  onSubmit(part("elsewhere"), (form) => {
    const value = show.typedTemperature(field(form, "value").value, "pit");
    if (typeof value === "string") return value;
    field(form, "value").value = "";
    happened("pit elsewhere", Math.round(value * 100) / 100);
    return "";
  });

  onSubmit(part("note"), (form) => {
    const text = field(form, "text").value.trim();
    if (!text) return "";
    store.add(cook.log, "notes", { at: iso(Date.now()), text });
    field(form, "text").value = "";
    changed();
    return "";
  });

  onSubmit(part("timer"), (form) => {
    const minutes = number(field(form, "minutes").value);
    if (!(minutes > 0 && minutes <= 2880)) return "Write in how many minutes it is to ring, such as 30.";
    const text = field(form, "for").value.trim() || "Timer";
    cook.page.timers.push({ id: `own-${Date.now()}`, text, due: Date.now() + minutes * MINUTE });
    form.reset();
    keep();
    renderTimers();
    return "";
  });

  part("by").addEventListener("change", () => {
    const text = field(part("by"), "by").value;
    cook.page.by = text ? new Date(text).getTime() : null;
    keep();
    renderForecast();
  });
  part("by").addEventListener("submit", (/** @type {Event} */ event) => event.preventDefault());

  // --- tools ------------------------------------------------------------------------------------------

  function renderDevice() {
    tool("sound").setAttribute("aria-pressed", String(loud));
    tool("awake").setAttribute("aria-pressed", String(alarm.awake()));
    tool("awake").hidden = !alarm.canStayAwake();
    const words = [loud ? "" : "Press Sound so that timers can be heard.", "Timers ring while this page is open.",
      alarm.canStayAwake() ? "" : "This browser does not let a page keep the screen on: set the device itself to its longest time."];
    says("device").textContent = words.filter(Boolean).join(" ");
  }

  /** @param {string} name @param {string} text @param {string} type */
  function save(name, text, type) {
    const link = /** @type {HTMLAnchorElement} */ (element("a", ""));
    link.href = URL.createObjectURL(new Blob([text], { type }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  }

  /** @type {Record<string, () => void>} */
  const tools = {
    back: () => turn(-1),
    on: () => turn(1),
    units: () => /** @type {HTMLButtonElement} */ (document.querySelector("button[data-slowfolio=units]")).click(),
    sound: () => {
      loud = alarm.allowSound();
      alarm.ring();
      renderDevice();
    },
    awake: async () => {
      if (alarm.awake()) await alarm.maySleep();
      else if (!(await alarm.stayAwake())) complain("The device did not let this page keep the screen on. Set its own time to the longest.");
      renderDevice();
    },
    lost: () => happened("heat lost"),
    returned: () => happened("heat back"),
    json: () => save(`${cook.log.method}-${cook.log.id}.json`, store.toJson(cook), "application/json"),
    csv: () => save(`${cook.log.method}-${cook.log.id}.csv`, store.toCsv(cook), "text/csv"),
    close: () => {
      cook.log.finished_at = iso(Date.now());
      keep();
      refresh();
      render();
    },
    forget: () => {
      if (!confirm(`Delete “${cook.log.label}” and its log from this device?`)) return;
      store.remove(cook.log.id);
      history.replaceState(null, "", location.pathname);
      choose();
    },
  };
  for (const [name, run] of Object.entries(tools)) tool(name).addEventListener("click", run);
  for (const jump of /** @type {NodeListOf<HTMLElement>} */ (page.querySelectorAll("[data-go]"))) {
    jump.addEventListener("click", () => document.getElementById(jump.dataset.go ?? "")?.scrollIntoView());
  }

  /** @param {number} by */
  function turn(by) {
    shown = Math.min(Math.max(shown + by, 0), steps.length - 1);
    renderStep();
    if (part("turn").getBoundingClientRect().top < 0) part("turn").scrollIntoView();
  }

  Slowfolio.pitCooks.bringIn(page.querySelector("input[type=file]"), (/** @type {any} */ brought) => {
    if (brought.log.method !== data.method) return complain(`This is a log of “${brought.log.method_title ?? brought.log.method}”. Bring it in on the page “All cooks”.`);
    if (store.read(brought.log.id) && !confirm("This cook is on this device already. Put the file in its place?")) return undefined;
    cook = brought;
    history.replaceState(null, "", `#${cook.log.id}`);
    keep();
    return choose();
  }, complain);

  addEventListener("hashchange", choose);
  addEventListener("storage", (event) => {
    if (event.key === null || event.key.startsWith(store.PREFIX)) choose();
  });
  document.addEventListener("slowfolio:units", () => render());
  setInterval(tick, 1000);

  page.classList.add("pit--running");
  renderDevice();
  choose();
  if (data.engine) {
    const base = new URL("../", location.href.replace(/[?#].*$/, "")).href;
    Slowfolio.carried.load(data.method, base).then(
      (/** @type {any} */ found) => {
        ensemble = found;
        refresh();
        render();
      },
      () => {
        ensemble = false;
        render();
      },
    );
  }
  return { cook: () => cook, forecast: () => latest, ensemble: () => ensemble };
})();
