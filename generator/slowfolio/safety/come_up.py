"""Come-up: how long the meat passes through the range where Staphylococcus aureus can make its toxin.

The rule is the six hours between 50 and 130 °F of the FSIS Cooking Guideline, with its clock rule and the two
gaps the guideline itself names for brisket. `assess` turns the clocks into verdicts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety.history import (
    FloatArray,
    as_temperatures,
    as_times,
    cumulative_time_between_s,
    refined,
)
from slowfolio.safety.lethality import EDITION, GUIDELINE, Kill, celsius
from slowfolio.safety.standing import Citation, Standing

LOW_C, HIGH_C = celsius(50.0), celsius(130.0)
"""The range of the rule, 50 to 130 °F (READ, pp. 23-24)."""

LIMIT_S = 6 * 3600.0
"""Time allowed in the range; limits growth of S. aureus to 2 log (READ, pp. 14-15 and 23-24)."""

COME_UP_RULE = Citation("USDA FSIS", f"{GUIDELINE}, come-up time, pp. 23-24", EDITION, Standing.READ)


@dataclass(frozen=True, slots=True)
class Gap:
    """A question the guideline calls a scientific gap: what it leaves open, and for which cooks."""

    number: int
    applies_to: str
    text: str
    citation: Citation


DRY_HEAT_GAP = Gap(
    3,
    "barbecue in dry heat, smokehouse or open pit; pork butt and brisket in convection ovens",
    "FSIS lists barbecue cooked in dry heat as a scientific gap: the tables were made with moist surfaces, "
    "and a dry surface may protect Salmonella. Its suggestions are to watch wet bulb, dew point or moisture, "
    "to use water pans, and to dwell longer. A cook in this gap cannot claim that the tables validate it.",
    Citation("USDA FSIS", f"{GUIDELINE}, Table 5, scientific gap 3, p. 46", EDITION, Standing.READ),
)

LONG_COME_UP_GAP = Gap(
    6,
    "ham and beef brisket that take more than 6 h from 50 to 130 °F",
    "FSIS lists a come-up of more than 6 h, with brisket as its example, as a scientific gap: it names the "
    "toxin of Staphylococcus aureus as what is left open, and cooking does not destroy that toxin. A cook in "
    "this gap cannot claim to meet the come-up rule.",
    Citation("USDA FSIS", f"{GUIDELINE}, Table 5, scientific gap 6, p. 48", EDITION, Standing.READ),
)

INTACT_SURFACE_RULE = Citation(
    "USDA FSIS", f"{GUIDELINE}, come-up of intact pieces, p. 24", EDITION, Standing.READ
)
"""Intact pieces may be watched at the surface; injected, tumbled or rolled ones at the centre (READ)."""


@dataclass(frozen=True, slots=True)
class ComeUp:
    """Clock of each member, shape (M,), seconds.

    `first_s` runs until a lethal time and temperature has been reached for the first time at `reset_s`
    (infinity: never); a new clock, `after_reset_s`, counts what comes after: a recook, a fall in the hold.
    """

    first_s: FloatArray
    reset_s: FloatArray
    after_reset_s: FloatArray


def come_up(time_s: ArrayLike, temp_c: ArrayLike, *, kill: Kill, target_log: float) -> ComeUp:
    """Return the come-up clocks of a course measured at one place (surface or core), shapes (T,), (M, T).

    The clock counts all time from 50 to 130 °F, also in several stretches, and starts anew only once the
    course has reached `target_log` log reductions by `kill` (READ, brisket recook example, p. 25).
    """
    time = as_times(time_s)
    fine_time, fine_temp = refined(time, as_temperatures(temp_c, time.shape[-1]))
    lethal = kill.running_log_reductions(fine_time, fine_temp) >= target_log - 1e-9
    clock = cumulative_time_between_s(fine_time, fine_temp, low_c=LOW_C, high_c=HIGH_C)
    ever = lethal.any(axis=1)
    index = np.where(ever, np.argmax(lethal, axis=1), clock.shape[1] - 1)[:, None]
    first = np.take_along_axis(clock, index, axis=1)[:, 0]
    moment = np.take_along_axis(np.broadcast_to(fine_time, clock.shape), index, axis=1)[:, 0]
    return ComeUp(first, np.where(ever, moment, np.inf), clock[:, -1] - first)
