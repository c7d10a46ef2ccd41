// Times, temperatures and spans of time as a cook reads them at the pit, and back from what is typed in.
// Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.pitWords = (() => {
  const { element } = Slowfolio.parts;
  const MINUTE = 60_000, HOUR = 3_600_000;

  /** @param {number} value */
  const two = (value) => String(value).padStart(2, "0");

  /** The clock of this device, to the second, with its offset. @param {number} ms @returns {string} */
  function iso(ms) {
    const at = new Date(ms), east = -at.getTimezoneOffset(), away = Math.abs(east);
    const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
    const time = `${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
    return `${day}T${time}${east < 0 ? "-" : "+"}${two(Math.floor(away / 60))}:${two(away % 60)}`;
  }

  /** What a date-and-time field holds. @param {number} ms @returns {string} */
  const fieldTime = (ms) => iso(ms).slice(0, 16);

  /** @param {number} ms @returns {string} */
  function clock(ms) {
    const at = new Date(ms);
    // Twenty-four hours, as on the run sheet: nobody mistakes the night for the day.
    const time = `${two(at.getHours())}:${two(at.getMinutes())}`;
    const sameDay = at.toDateString() === new Date().toDateString();
    return sameDay ? time : `${at.toLocaleDateString(undefined, { weekday: "short" })} ${time}`;
  }

  /** Rounded to five minutes, as a forecast is said. @param {number} ms */
  const about = (ms) => clock(Math.round(ms / (5 * MINUTE)) * 5 * MINUTE);

  /** @param {number} ms @returns {string} */
  function span(ms) {
    const minutes = Math.round(Math.abs(ms) / MINUTE), hours = Math.floor(minutes / 60);
    return [hours ? `${hours} h` : "", minutes % 60 || !hours ? `${minutes % 60} min` : ""].filter(Boolean).join(" ");
  }

  const inUs = () => Slowfolio.chrome.units() === "us";

  /** @param {number} c @returns {string} */
  const temperature = (c) => (inUs() ? `${Math.round(c * 1.8 + 32)} °F` : `${Math.round(c)} °C`);

  /** @param {number} typed In the unit shown. @returns {number} */
  const celsius = (typed) => (inUs() ? (typed - 32) / 1.8 : typed);

  /** @param {number} typed In the unit shown. @returns {number} */
  const kilograms = (typed) => (inUs() ? typed * 0.45359237 : typed);

  /** A number as people type it, a comma for the point too. @param {string} text @returns {number} NaN for none. */
  function number(text) {
    const plain = text.trim().replace(",", ".");
    return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : NaN;
  }

  /** @param {string} text @param {() => void} act @param {string} [cls] @returns {HTMLButtonElement} */
  function button(text, act, cls = "pit-button") {
    const made = /** @type {HTMLButtonElement} */ (element("button", cls, text));
    made.type = "button";
    made.addEventListener("click", act);
    return made;
  }

  return { MINUTE, HOUR, iso, fieldTime, clock, about, span, inUs, temperature, celsius, kilograms, number, element, button };
})();
