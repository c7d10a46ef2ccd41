// Which reading to come would narrow the finish most, as `helps_of` in forecast/update.py. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.helps = (() => {
  const { memberPit } = Slowfolio.retiming;
  const { THERMOMETER_SD_K, PIT_SD_K, PIT_PLACE_SD_K, courseAt, sharedError, ownError } = Slowfolio.evidence;
  const { dot } = Slowfolio.algebra;
  const HELP_IN_S = [0, 1800, 3600, 7200], HELP_PLACES = ["thick", "thin", "pit"];

  /** @typedef {any} Clock as in retiming.js */

  /** The readings to come by how much narrower they make the finish. @param {Clock} clock @param {Float64Array} weight */
  function helpsOf(clock, weight) {
    const { ensemble } = clock;
    const centred = (/** @type {Float64Array} */ row) => {
      const mean = dot(weight, row);
      return row.map((value) => value - mean);
    };
    const away = centred(clock.realTime(ensemble.pull));
    const variance = away.reduce((sum, value, i) => sum + weight[i] * value * value, 0);
    if (variance <= 0) return [];
    return HELP_PLACES.flatMap((place) =>
      HELP_IN_S.map((in_s) => {
        const reading = { at_s: clock.now_s + in_s, place, temp_c: 0 };
        const pit = place === "pit";
        const says = centred(
          pit
            ? memberPit(ensemble, Math.min(clock.stageNow, ensemble.pull))
            : courseAt(ensemble, place, clock.last.map((/** @type {number} */ time) => time + in_s)),
        );
        const noise = pit
          ? THERMOMETER_SD_K ** 2 + PIT_SD_K ** 2 + PIT_PLACE_SD_K ** 2
          : sharedError(reading, reading) + ownError(clock, reading, []);
        let common = 0, spread = 0;
        for (let i = 0; i < says.length; i += 1) {
          common += weight[i] * says[i] * away[i];
          spread += weight[i] * says[i] * says[i];
        }
        const explained = common ** 2 / (variance * (spread + noise));
        return { place, in_s, narrower: 1 - Math.sqrt(Math.max(0, 1 - explained)) };
      }),
    ).sort((a, b) => b.narrower - a.narrower);
  }

  return { helpsOf };
})();
