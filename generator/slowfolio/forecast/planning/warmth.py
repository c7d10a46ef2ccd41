"""How long a hold keeps to the authority's floor: from the engine's course, or from the box that has no heat.

Hands courses to `slowfolio.safety`, where the rules live, and to the box of `slowfolio.physics`. The rest in
the room before the hold is time out of temperature and is told apart, as the verdicts of a card do.
"""

from dataclasses import dataclass

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.inputs import BOX_SKIN_DROP_K, box_of, hot_water_of
from slowfolio.forecast.planning.times import Array, at_share
from slowfolio.physics.box import BoxedMeat, boxed_hold
from slowfolio.physics.results import CookResult
from slowfolio.safety.history import clipped, first_time_at_or_above_s, time_below_s
from slowfolio.safety.hot_hold import BANDS, hold_end
from slowfolio.safety.profiles import Profile

HOUR_S = 3600.0
EARLY = 0.1
BACK_BY_K = 0.05
"""A piece is back once above the floor by this, so that touching it is no dip (CALIBRATED)."""


@dataclass(frozen=True, slots=True)
class Warmth:
    """How long the rules on warmth are met, seconds from the start of the hold, and the time below before.

    All shape (M,): `floor_s` is when the coldest point falls below the authority's floor, `bands_s` when it
    has used up the hours of the bands above and below it; infinity where neither happens, 0 where it does not
    get back to the floor. `out_s` is the time below the floor from the pit until it does.
    """

    floor_s: Array
    bands_s: Array
    out_s: Array

    @property
    def rules_s(self) -> Array:
        """The earlier of the two."""
        return np.minimum(self.floor_s, self.bands_s)

    def first_limit(self, profile: Profile) -> tuple[str, str]:
        """Which limit comes first in nine cooks of ten, in words, and whose it is."""
        if at_share(self.bands_s, EARLY) < at_share(self.floor_s, EARLY):
            between = "57 to 60 °C (135 to 140 °F)"
            return f"its coldest point is for more than 8 h at {between}, or 4 h below", str(BANDS)
        floor = f"{round(profile.hot_hold_min_c, 1):g} °C ({profile.hot_hold_min_f:g} °F)"
        return f"its coldest point is below {floor}", str(profile.hot_hold)


def warmth_in_course(cook: CookResult, profile: Profile, *, pulled: int, ready: int) -> Warmth:
    """Read the coldest point of every member in the hold that was simulated, which ends the course.

    `pulled` and `ready` are the indices of the stages that end with leaving the pit and entering the hold.
    """
    time_s, coldest_c = cook.timeline.time_h * HOUR_S, cook.timeline.coldest_c.T
    last_s = float(time_s[-1])
    pull_s, into_s, end_s = (
        np.minimum(cook.ends.time_h[row] * HOUR_S, last_s) for row in (pulled, ready, -1)
    )
    held_s, held_c = clipped(time_s, coldest_c, into_s, end_s)
    back_s = first_time_at_or_above_s(held_s, held_c, profile.hot_hold_min_c + BACK_BY_K)
    comes_back = np.isfinite(back_s)
    from_s = np.where(comes_back, back_s, into_s)
    warm_s, warm_c = clipped(time_s, coldest_c, from_s, end_s)
    end = hold_end(profile.hot_hold_min_c, warm_s, warm_c)
    floor_s, bands_s = (
        np.where(comes_back, limit_s + from_s - into_s, 0.0) for limit_s in (end.floor_s, end.bands_s)
    )
    out_s, out_c = clipped(time_s, coldest_c, pull_s, np.where(comes_back, from_s, end_s))
    return Warmth(floor_s, bands_s, time_below_s(out_s, out_c, profile.hot_hold_min_c))


def warmth_in_box(
    cook: CookResult, holder: cards.Holder, profile: Profile, *, room_c: float, pieces: int, ready: int
) -> Warmth:
    """An unheated box with its card's bottles of hot water: until the coldest layer falls to the floor."""
    water = hot_water_of(holder)
    held = boxed_hold(
        box_of(holder),
        BoxedMeat(
            mass_kg=np.maximum(cook.ends.mass_kg[ready] * pieces, 0.05),
            thickness_m=cook.joint.thickness_m,
            core_c=np.clip(cook.ends.core_c[ready], 0.0, 100.0),
            skin_c=np.clip(cook.ends.core_c[ready] - BOX_SKIN_DROP_K, 0.0, 100.0),
        ),
        water,
        floor_c=profile.hot_hold_min_c,
        room_c=room_c,
        lining_c=water.temp_c,
    )
    floor_s = np.asarray(np.where(held.falls, held.coldest_s, np.inf), dtype=np.float64)
    return Warmth(floor_s, np.full_like(floor_s, np.inf), np.zeros_like(floor_s))
