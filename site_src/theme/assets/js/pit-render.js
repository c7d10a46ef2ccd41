// What the At the pit page shows: the step, the act that ends it, clock, timers, forecast, rules; once a second anew
// where time alone changes it. Changes nothing of the cook.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitRender = (() => {
  if (!Slowfolio.pitState) return {};
  const { data, part, says, tool, steps, here, refresh } = Slowfolio.pitState;
  const store = Slowfolio.pitStore, show = Slowfolio.pitShow, alarm = Slowfolio.pitAlarm;
  const { clock, about, span, temperature, element, MINUTE } = Slowfolio.pitWords;
  const RING_EVERY = 20_000;

  function render() {
    const cooks = store.all().filter((/** @type {any} */ { log }) => !log.finished_at || log.id === here.cook?.log.id);
    Slowfolio.pitCooks.show(part("cooks"), cooks, "", here.cook?.log.id);
    if (here.cook) part("cooks").append(anotherLink());
    for (const name of ["now", "act", "timers", "reading", "otherwise", "notes"]) part(name).hidden = !here.cook;
    part("finish").hidden = !here.cook || !data.engine;
    part("start").hidden = here.cook !== null || here.shown !== 0;
    part("turn").hidden = false;
    renderStep();
    if (!here.cook) return;
    renderAct();
    renderTimers();
    renderForecast();
    says("log").replaceChildren(...show.logRows(here.cook, Slowfolio.pitActs.drop));
    tool("lost").disabled = cold();
    tool("returned").disabled = !cold();
    tick();
  }

  function anotherLink() {
    const link = /** @type {HTMLAnchorElement} */ (element("a", "pit__another", "Start another of these"));
    link.href = "#new";
    return link;
  }

  const cold = () => Slowfolio.pitForecast.heatIsOut(here.cook.log);

  function renderStep() {
    const current = here.cook ? show.stageOf(here.cook.log) + 1 : 0;
    steps.forEach((step, index) => {
      step.hidden = index !== here.shown;
      step.classList.toggle("pit__step--current", index === current);
    });
    tool("back").disabled = here.shown === 0;
    tool("on").disabled = here.shown === steps.length - 1;
    const where = !here.cook ? "" : here.shown === current ? "this is now" : here.shown < current ? "done" : "to come";
    says("place").textContent = [`${here.shown + 1} of ${steps.length}`, where].filter(Boolean).join(", ");
    part("start").hidden = here.cook !== null || here.shown !== 0;
    part("act").hidden = !here.cook || here.shown !== current;
  }

  function renderAct() {
    part("act").replaceChildren(...show.act(data, here.cook, Slowfolio.pitActs));
  }

  function renderTimers() {
    says("timers").replaceChildren(...show.timerRows(show.timers(data, here.cook, Date.now()), Date.now(), Slowfolio.pitActs.timerDone));
  }

  function renderForecast() {
    if (!here.latest) {
      says("finish").replaceChildren(element("p", "", here.ensemble === false ? "The figures for a forecast could not be loaded." : "Loading."));
      return;
    }
    const words = Slowfolio.pitForecast.finishWords(here.latest, here.cook, data, Slowfolio.pitActs.drop);
    if (words.map((/** @type {Node} */ node) => node.textContent).join() !== [...says("finish").childNodes].map((node) => node.textContent).join()) {
      says("finish").replaceChildren(...words);
    }
    says("rules").replaceChildren(element("p", "pit__label", "Rules checked anew"), ...Slowfolio.pitForecast.ruleWords(here.latest, data), ...floorWords());
    if (says("rules").querySelector(".pit__wrong")) part("otherwise").open = true;
  }

  /** What the last reading of the piece after the cook says of the floor. @returns {Node[]} */
  function floorWords() {
    const rested = Date.parse(here.cook.log.stages[data.pull]?.ended_at ?? "");
    const last = here.cook.log.readings.filter((/** @type {any} */ { at, place }) => place !== "pit" && place !== "holder" && Date.parse(at) > rested).at(-1);
    if (!last) return [];
    const floor = Slowfolio.pitWords.inUs() ? `${data.floor.temp_f} °F` : `${data.floor.temp_c} °C`;
    const met = last.temp_c >= data.floor.temp_c;
    const after = met ? "" : ` ${data.floor.allowance ? `Below it only on this condition: ${data.floor.allowance}.` : ""}`;
    return [element("p", met ? "" : "pit__wrong", `Hot hold, ${floor} at the coldest point: ${met ? "met" : "not met"} by the reading of ${temperature(last.temp_c)} at ${clock(Date.parse(last.at))} (${data.floor.rule}).${after}`)];
  }

  /** Once a second: clock, timers; once a minute the forecast. */
  function tick() {
    if (!here.cook) return;
    const now = Date.now(), start = Date.parse(here.cook.log.started_at);
    says("label").textContent = here.cook.log.label;
    says("clock").textContent = clock(now);
    says("since").textContent = here.cook.log.finished_at ? "this cook is over" : now < start ? `goes on in ${span(start - now)}` : `${span(now - start)} on`;
    says("next").textContent = nextWords(now);
    says("off").textContent = Slowfolio.pitForecast.shortWords(here.latest, here.cook, data);
    tickTimers(now);
    if (!here.cook.log.finished_at && now - here.forecastAt > MINUTE) {
      refresh();
      renderForecast();
    }
  }

  /** The end of the stage under way, and its window. @param {number} now */
  function nextWords(now) {
    const index = show.stageOf(here.cook.log), stage = data.stages[index];
    if (!stage || here.cook.log.finished_at) return "";
    const due = show.dueOf(stage, here.cook.log.stages[index]);
    const after = data.stages[index + 1];
    const name = after ? `Next: ${after.name}` : "Next: slice and serve";
    if (due !== null) return `${name} at ${clock(due)}${due > now ? `, in ${span(due - now)}` : ", due now"}.`;
    const window = here.latest?.windows.find((/** @type {any} */ found) => found.stage === index);
    if (!window) return `${name} ${show.endWords(stage)}.`;
    const at = (/** @type {number} */ share) => Slowfolio.pitForecast.endOf(window, share, here.cook.log, data);
    if (at(0.9) - now < 6 * MINUTE) return `${name} ${show.endWords(stage)}: any time now.`;
    return `${name} ${show.endWords(stage)}: ${about(Math.max(at(0.1), now))} to ${about(at(0.9))}.`;
  }

  /** @param {number} now */
  function tickTimers(now) {
    const list = show.timers(data, here.cook, now), rows = /** @type {HTMLElement[]} */ ([...says("timers").children]);
    const same = rows.length === list.length && list.every((/** @type {any} */ timer, /** @type {number} */ i) =>
      rows[i].dataset.key === timer.key && rows[i].classList.contains("pit__ringing") === timer.due <= now &&
      /** @type {HTMLElement} */ (rows[i].querySelector(".pit__due")).dataset.due === String(timer.due));
    if (!same) renderTimers();
    else list.forEach((/** @type {any} */ timer, /** @type {number} */ i) => {
      /** @type {HTMLElement} */ (rows[i].querySelector(".pit__due")).textContent = show.dueWords(timer, now);
    });
    if (list.some((/** @type {any} */ timer) => show.rings(timer, now)) && now - here.rungAt > RING_EVERY) {
      here.rungAt = now;
      alarm.ring();
    }
  }

  return { render, renderStep, renderTimers, renderForecast, tick };
})();
