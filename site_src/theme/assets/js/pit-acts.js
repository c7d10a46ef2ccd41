// What a cook does and types in at the pit: ends of stages, readings, what else happened, notes, timers.
// Each changes the log and has it kept and shown.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitActs = (() => {
  if (!Slowfolio.pitState) return {};
  const { data, part, field, steps, here, keep, complain, changed } = Slowfolio.pitState;
  const { renderTimers, renderForecast } = Slowfolio.pitRender;
  const store = Slowfolio.pitStore, show = Slowfolio.pitShow, alarm = Slowfolio.pitAlarm;
  const { iso, clock, fieldTime, number, kilograms, MINUTE } = Slowfolio.pitWords;

  /** End the stage under way. @param {string} how */
  function end(how) {
    const index = show.stageOf(here.cook.log), now = iso(Date.now());
    Object.assign(here.cook.log.stages[index], { ended_at: now, ended: how });
    if (here.cook.log.stages[index + 1]) here.cook.log.stages[index + 1].started_at = now;
    here.shown = Math.min(index + 2, steps.length - 1);
    changed();
    part("now").scrollIntoView();
  }

  function leaveOut() {
    const next = here.cook.log.stages[show.stageOf(here.cook.log) + 1];
    end("early");
    const now = next.started_at, after = here.cook.log.stages[here.cook.log.stages.indexOf(next) + 1];
    Object.assign(next, { ended_at: now, ended: "left out" });
    if (after) after.started_at = now;
    here.shown = Math.min(show.stageOf(here.cook.log) + 1, steps.length - 1);
    changed();
  }

  function takeBack() {
    const index = show.stageOf(here.cook.log) - 1;
    if (here.cook.log.stages[index + 1]) here.cook.log.stages[index + 1].started_at = null;
    Object.assign(here.cook.log.stages[index], { ended_at: null, ended: null });
    if (index > 0 && here.cook.log.stages[index].started_at === null) here.cook.log.stages[index].started_at = here.cook.log.stages[index - 1].ended_at;
    here.shown = index + 1;
    changed();
  }

  /** @param {any} timer */
  function timerDone(timer) {
    if (timer.own) here.cook.page.timers = here.cook.page.timers.filter((/** @type {any} */ { id }) => id !== timer.key);
    else here.cook.page.acks[timer.key] = timer.due;
    keep();
    renderTimers();
  }

  /** @param {string} list @param {any} entry */
  function drop(list, entry) {
    here.cook.log[list] = here.cook.log[list].filter((/** @type {any} */ other) => other !== entry);
    changed();
  }

  /** @param {string} kind @param {number | null} [temp_c] */
  function happened(kind, temp_c = null) {
    store.add(here.cook.log, "events", { at: iso(Date.now()), kind, temp_c });
    changed();
  }

  /** The moment a field names, now where it is empty; or the words that refuse it. @param {string} text
   * @returns {number | string} */
  function momentOf(text) {
    const at = text ? new Date(text).getTime() : Date.now(), start = Date.parse(here.cook.log.started_at);
    if (Number.isNaN(at)) return "Write day and time of the reading, or leave the time empty for now.";
    if (at > Date.now() + MINUTE) return `${clock(at)} is still to come; it is ${clock(Date.now())}. Leave the time empty for now.`;
    if (at < start - MINUTE) return `${clock(at)} is before the piece went on, at ${clock(start)}. Leave the time empty for now.`;
    return at;
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
    here.cook = store.begun(data, { label: field(form, "label").value.trim() || "Piece", weight: kilos, at });
    const wanted = new Date(field(part("by"), "by").value).getTime();
    here.cook.page.by = wanted > at ? wanted : null;
    here.shown = 1;
    alarm.allowSound();
    here.loud = true;
    history.replaceState(null, "", `#${here.cook.log.id}`);
    Slowfolio.pitTools.renderDevice();
    changed();
    scrollTo({ top: 0 });
    return "";
  });

  onSubmit(part("reading"), (form) => {
    const place = field(form, "place").value, at = momentOf(field(form, "at").value);
    const value = show.typedTemperature(field(form, "value").value, place);
    if (typeof value === "string") return value;
    if (typeof at === "string") return at;
    store.add(here.cook.log, "readings", { at: iso(at), place, temp_c: Math.round(value * 100) / 100, thermometer_sd_k: null });
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
    store.add(here.cook.log, "notes", { at: iso(Date.now()), text });
    field(form, "text").value = "";
    changed();
    return "";
  });

  onSubmit(part("timer"), (form) => {
    const minutes = number(field(form, "minutes").value);
    if (!(minutes > 0 && minutes <= 2880)) return "Write in how many minutes it is to ring, such as 30.";
    const text = field(form, "for").value.trim() || "Timer";
    here.cook.page.timers.push({ id: `own-${Date.now()}`, text, due: Date.now() + minutes * MINUTE });
    form.reset();
    keep();
    renderTimers();
    return "";
  });

  part("by").addEventListener("change", () => {
    const text = field(part("by"), "by").value;
    here.cook.page.by = text ? new Date(text).getTime() : null;
    keep();
    renderForecast();
  });
  part("by").addEventListener("submit", (/** @type {Event} */ event) => event.preventDefault());

  return { end, leaveOut, takeBack, timerDone, drop, happened };
})();
