// The plan as a calendar file by RFC 5545, every act an event with a reminder: as forecast/planning/calendar_file.py
// makes it, with the same identifiers, so that a plan made anew replaces the old one. Given values, gives text.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.planCalendar = (() => {
  const SHORTEST_S = 300;
  const NAMESPACE_URL = "6ba7b811-9dad-11d1-80b4-00c04fd430c8"; // RFC 4122, appendix C
  const FIXED = ["on", "slice"];
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");

  /** FIPS 180-4; the browser's own is missing where a page comes over plain http. @param {Uint8Array} bytes @returns {Uint8Array} */
  function sha1(bytes) {
    const padded = new Uint8Array((((bytes.length + 8) >> 6) + 1) << 6);
    padded.set(bytes);
    padded[bytes.length] = 0x80;
    const view = new DataView(padded.buffer);
    view.setUint32(padded.length - 4, bytes.length * 8);
    const turn = (/** @type {number} */ x, /** @type {number} */ n) => (x << n) | (x >>> (32 - n));
    let h = [0x67452301, 0xefcdab89, 0x98badcfe, 0x10325476, 0xc3d2e1f0];
    for (let block = 0; block < padded.length; block += 64) {
      const w = Array.from({ length: 16 }, (_, i) => view.getInt32(block + i * 4));
      for (let i = 16; i < 80; i += 1) w[i] = turn(w[i - 3] ^ w[i - 8] ^ w[i - 14] ^ w[i - 16], 1);
      let [a, b, c, d, e] = h;
      for (let i = 0; i < 80; i += 1) {
        const [f, k] = i < 20 ? [(b & c) | (~b & d), 0x5a827999] : i < 40 ? [b ^ c ^ d, 0x6ed9eba1]
          : i < 60 ? [(b & c) | (b & d) | (c & d), 0x8f1bbcdc] : [b ^ c ^ d, 0xca62c1d6];
        [a, b, c, d, e] = [(turn(a, 5) + f + e + k + w[i]) | 0, a, turn(b, 30), c, d];
      }
      h = [h[0] + a, h[1] + b, h[2] + c, h[3] + d, h[4] + e].map((x) => x | 0);
    }
    const out = new DataView(new ArrayBuffer(20));
    h.forEach((x, i) => out.setInt32(i * 4, x));
    return new Uint8Array(out.buffer);
  }

  /** A version 5 identifier (RFC 4122). @param {string} namespace @param {string} name */
  function uuid5(namespace, name) {
    const space = (namespace.replaceAll("-", "").match(/../g) ?? []).map((pair) => parseInt(pair, 16));
    const hash = sha1(new Uint8Array([...space, ...new TextEncoder().encode(name)])).slice(0, 16);
    hash[6] = (hash[6] & 0x0f) | 0x50;
    hash[8] = (hash[8] & 0x3f) | 0x80;
    const hex = [...hash].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  }

  const NAMESPACE = uuid5(NAMESPACE_URL, "https://slowfolio.invalid/plan");
  const utc = (/** @type {Date} */ when) =>
    `${when.getUTCFullYear()}${two(when.getUTCMonth() + 1)}${two(when.getUTCDate())}T${two(when.getUTCHours())}${two(when.getUTCMinutes())}${two(when.getUTCSeconds())}Z`;
  const escaped = (/** @type {string} */ text) => text.replace(/\\/g, "\\\\").replace(/;/g, "\\;").replace(/,/g, "\\,").replace(/\r?\n/g, "\\n");

  /** Lines of at most 75 octets, no letter cut in two. @param {string} line */
  function folded(line) {
    const parts = [""];
    let room = 75;
    for (const letter of line) {
      const size = new TextEncoder().encode(letter).length;
      if (size > room) {
        parts.push("");
        room = 74;
      }
      parts[parts.length - 1] += letter;
      room -= size;
    }
    return parts.join("\r\n ");
  }

  /** From when to when an event lasts: the window of what the meat decides, else the time it takes. @param {any} act */
  const span = (act) => (act.p10 < act.at && act.p90 > act.p10 ? [act.p10, act.p90] : [act.at, act.at + Math.max(act.hands, SHORTEST_S)]);

  /** @param {any[]} loads @param {any} clock @param {{confidence: number, version: string, stamp: Date, window: (act: any) => string}} about */
  function calendar(loads, clock, about) {
    const serve = clock.at(0);
    const day = `${serve.getFullYear()}-${two(serve.getMonth() + 1)}-${two(serve.getDate())}`;
    const lines = ["BEGIN:VCALENDAR", "VERSION:2.0", `PRODID:-//Slowfolio//Plan ${about.version}//EN`, "CALSCALE:GREGORIAN", `X-WR-CALNAME:${escaped(`Cook for ${clock.shown(0)}`)}`];
    for (const load of loads) {
      /** @type {Record<string, number>} */
      const met = {};
      for (const act of load.acts) {
        met[act.kind] = (met[act.kind] ?? 0) + 1;
        const [begin, end] = span(act);
        const key = [day, load.work.method, load.work.name, act.kind, met[act.kind]].join("/");
        const summary = loads.length > 1 ? `${load.work.name}: ${act.title}` : act.title;
        lines.push("BEGIN:VEVENT", `UID:${uuid5(NAMESPACE, key)}@slowfolio.invalid`, `DTSTAMP:${utc(about.stamp)}`, `DTSTART:${utc(clock.at(begin))}`,
          `DTEND:${utc(clock.at(end))}`, `SUMMARY:${escaped(summary)}`, `DESCRIPTION:${escaped(description(act, load, clock, about))}`, `CATEGORIES:${act.kind}`,
          "BEGIN:VALARM", "ACTION:DISPLAY", `DESCRIPTION:${escaped(summary)}`, "TRIGGER:-PT10M", "END:VALARM", "END:VEVENT");
      }
    }
    return [...lines, "END:VCALENDAR", ""].map(folded).join("\r\n");
  }

  /** @param {any} act @param {any} load @param {any} clock @param {any} about */
  function description(act, load, clock, about) {
    const said = [act.do, `Planned for ${clock.shown(act.at)}.`];
    if (act.p10 < act.at) said.push(`Eight of ten cooks: ${clock.shown(act.p10)} to ${clock.shown(act.p90)}.`);
    if (act.by !== null && !FIXED.includes(act.kind)) said.push(`Still ${100 * about.confidence} % sure until ${clock.beside(act.by, act.at)}.`);
    if (load.work.pieces > 1) said.push(`${load.work.pieces} pieces.`);
    return said.filter(Boolean).join(" ");
  }

  return { calendar, uuid5, folded };
})();
