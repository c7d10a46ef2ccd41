"""The hot hold: the authority's floor at the coldest point, and three bands of warmth that limit the hours.

The floor is the authority's own; the bands are stricter advice on long holds and apply to every authority.
The caller gives the course during the hold alone, already clipped to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.safety.history import (
    FloatArray,
    cumulative_time_between_s,
    first_time_at_or_above_s,
    first_time_at_or_below_s,
    refined,
    time_below_s,
    time_between_s,
    times_below,
)
from slowfolio.safety.profiles import Profile
from slowfolio.safety.rules import Allowance
from slowfolio.safety.standing import Citation, Confidence, Standing
from slowfolio.safety.verdict import (
    AMBER_SHARE,
    GREEN_SHARE,
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    duration_text,
    level_of,
    limit_temperature_text,
    share_of,
    verdict,
)

NO_LIMIT_C, WARM_C, LOWEST_C = 60.0, 57.0, 54.4
"""Edges of the bands: 140, 135 and 130 °F as their sources round them to °C."""

WARM_AT_MOST_S, LOW_AT_MOST_S = 8 * 3600.0, 4 * 3600.0
"""Hours from 57 to 60 °C (READ second-hand) and from 54.4 to 57 °C (MEMORY) before amber."""

BANDS = Citation(
    "NACMCF and German Federal Institute for Risk Assessment",
    "Hot Holding Temperatures; Opinion 037/2020",
    "2002; 2020",
    Standing.READ,
    Confidence.MEDIUM,
    "140 °F without limit, 135 °F for 8 h: READ as quoted; 130 °F for 4 h: MEMORY; 60 °C all over: READ.",
)

WARMER = "Set the holder warmer, cover the piece so that its surface cools less, or hold for less time."


@dataclass(frozen=True, slots=True)
class HoldBands:
    """Seconds of each member in each band of its coldest point, and its lowest temperature, shape (M,)."""

    at_or_above_60_s: FloatArray
    from_57_to_60_s: FloatArray
    from_54_to_57_s: FloatArray
    below_54_s: FloatArray
    coldest_c: FloatArray

    @property
    def allowance_used(self) -> FloatArray:
        """Share of the allowed hours used up, both bands together (CALIBRATED: shares are added).

        Eight hours in the upper or four in the lower band make 1; so does half of each.
        """
        return self.from_57_to_60_s / WARM_AT_MOST_S + self.from_54_to_57_s / LOW_AT_MOST_S


def hold_bands(time_s: FloatArray, coldest_c: FloatArray) -> HoldBands:
    """Return the time in each band over a hold, shapes (T,) or (M, T) and (M, T)."""
    below = time_below_s(time_s, coldest_c, LOWEST_C)
    low = time_between_s(time_s, coldest_c, low_c=LOWEST_C, high_c=WARM_C)
    warm = time_between_s(time_s, coldest_c, low_c=WARM_C, high_c=NO_LIMIT_C)
    total = np.broadcast_to(time_s, coldest_c.shape)
    hot = total[:, -1] - total[:, 0] - below - low - warm
    return HoldBands(np.maximum(hot, 0.0), warm, low, below, coldest_c.min(axis=1))


def band_levels(bands: HoldBands) -> tuple[Level, ...]:
    """Return each member's level: red below 54.4 °C at any time, amber past the allowed hours, else green."""
    red = bands.coldest_c < LOWEST_C
    amber = bands.allowance_used > 1.0 + 1e-9
    return tuple(
        Level.RED if low else Level.AMBER if late else Level.GREEN
        for low, late in zip(red, amber, strict=True)
    )


@dataclass(frozen=True, slots=True)
class HoldEnd:
    """When each member's hold must end, seconds from its start, shape (M,); infinity: not within the course.

    `floor_s` is the moment the coldest point falls below the authority's floor, `bands_s` the moment the
    bands turn amber or red.
    """

    floor_s: FloatArray
    bands_s: FloatArray

    @property
    def longest_s(self) -> FloatArray:
        """The earlier of the two."""
        return np.minimum(self.floor_s, self.bands_s)


def hold_end(floor_c: float, time_s: FloatArray, coldest_c: FloatArray) -> HoldEnd:
    """Return how long a hold may last at the coldest point, shapes (T,) or (M, T) and (M, T)."""
    fine_s, fine_c = refined(time_s, coldest_c)
    warm = cumulative_time_between_s(fine_s, fine_c, low_c=WARM_C, high_c=NO_LIMIT_C) / WARM_AT_MOST_S
    low = cumulative_time_between_s(fine_s, fine_c, low_c=LOWEST_C, high_c=WARM_C) / LOW_AT_MOST_S
    start = np.broadcast_to(fine_s, fine_c.shape)[:, 0]
    # The last moment at which the allowance is not yet overdrawn, and the first one below the lowest band.
    used_up = first_time_at_or_above_s(fine_s, warm + low, 1.0 + 1e-9)
    cold = _first_time_below_s(fine_s, fine_c, LOWEST_C)
    return HoldEnd(_first_time_below_s(fine_s, fine_c, floor_c) - start, np.minimum(used_up, cold) - start)


def _first_time_below_s(time_s: FloatArray, temp_c: FloatArray, limit_c: float) -> FloatArray:
    # Touching the limit is allowed, so the fall is looked for a hair below it.
    return first_time_at_or_below_s(time_s, temp_c, limit_c - 1e-9)


def band_verdict(time_s: FloatArray, coldest_c: FloatArray) -> Verdict:
    """Return the verdict of the three bands over a hold."""
    bands = hold_bands(time_s, coldest_c)
    levels = np.asarray(band_levels(bands))
    green, kept = levels == Level.GREEN, levels != Level.RED
    if share_of(kept) < AMBER_SHARE:
        level = Level.RED
    elif share_of(green) >= GREEN_SHARE:
        level = Level.GREEN
    else:
        level = Level.AMBER
    return verdict(
        topic=Topic.HOT_HOLD,
        rule="hours by the coldest point: no limit from 60 °C (140 °F), 8 h from 57 °C (135 °F), 4 h from "
        "54.4 °C (130 °F)",
        citation=BANDS,
        met=Met.MET if level is Level.GREEN else Met.NOT_MET,
        level=level,
        name="coldest point in the hold falls to",
        values=bands.coldest_c,
        unit=Unit.CELSIUS,
        limit=NO_LIMIT_C,
        limit_text=f"{limit_temperature_text(NO_LIMIT_C)} for a hold without a time limit",
        meets=green,
        explanation=_bands_explained(bands, level),
        what_to_do="" if level is Level.GREEN else WARMER,
    )


def floor_verdict(
    profile: Profile,
    time_s: FloatArray,
    coldest_c: FloatArray,
    *,
    by_chart: NDArray[np.bool_],
    room_c: float,
) -> Verdict:
    """Return the verdict of the authority's hot-hold floor, with the time below it that it may tolerate.

    `by_chart`, shape (M,), marks members cooked by the roast chart, to which the lower floor for roasts
    applies where the authority has one. Time within the tolerance is amber: it needs the condition named.
    """
    roast_floor = profile.hot_hold_min_c if profile.roast_hold_min_c is None else profile.roast_hold_min_c
    by_chart = by_chart & (roast_floor < profile.hot_hold_min_c)
    roast = bool(by_chart.all())
    floor = roast_floor if roast else profile.hot_hold_min_c
    surplus = coldest_c - np.where(by_chart, roast_floor, profile.hot_hold_min_c)[:, None]
    below = time_below_s(time_s, surplus, 0.0)
    kept = below <= 1e-6
    tolerated = kept | _tolerated(profile.allowance, below, times_below(surplus, 0.0), room_c)
    level, met, explanation = _floor_reading(profile, kept, tolerated)
    explanation = f"Time below: {duration_text(float(np.median(below)))} (median). {explanation}"
    return verdict(
        topic=Topic.HOT_HOLD,
        rule="hot-hold floor" + (" for roasts cooked by the roast chart" if roast else ""),
        citation=profile.hot_hold,
        met=met,
        level=level,
        name="coldest point in the hold falls to",
        values=coldest_c.min(axis=1),
        unit=Unit.CELSIUS,
        limit=floor,
        limit_text=_floor_text(profile, floor, roast=roast),
        meets=kept,
        explanation=explanation,
        what_to_do="" if level is Level.GREEN else WARMER,
    )


def _tolerated(
    allowance: Allowance | None, below_s: FloatArray, times: NDArray[np.int64], room_c: float
) -> NDArray[np.bool_]:
    if allowance is None:
        return np.zeros(below_s.shape, dtype=np.bool_)
    most = allowance.at_most_s
    if allowance.in_warm_air_s is not None and room_c > allowance.warm_air_c:
        most = allowance.in_warm_air_s
    often = times > 1 if allowance.once else np.zeros(below_s.shape, dtype=np.bool_)
    return (below_s <= most) & ~often


def _floor_reading(
    profile: Profile, kept: NDArray[np.bool_], tolerated: NDArray[np.bool_]
) -> tuple[Level, Met, str]:
    if share_of(kept) >= GREEN_SHARE:
        return Level.GREEN, Met.MET, "The rule sets no time limit above the floor."
    allowance = profile.allowance
    if allowance is None:
        return level_of(share_of(kept)), Met.NOT_MET, "No time below the floor with a figure is granted."
    if share_of(tolerated) >= GREEN_SHARE:
        text = f"Below the floor only on this condition: {allowance.condition} ({allowance.citation})."
        return Level.AMBER, Met.NOT_MET, text
    text = f"More than is tolerated: {allowance.condition} ({allowance.citation})."
    return level_of(share_of(tolerated)), Met.NOT_MET, text


def _floor_text(profile: Profile, floor_c: float, *, roast: bool) -> str:
    # The code prints 54 °C beside 130 °F, and a UK reader wants no 145.4 °F.
    if roast and floor_c == 54.0:
        return "54 °C (130 °F)"
    if floor_c == profile.hot_hold_min_c:
        return f"{round(floor_c, 1):g} °C ({profile.hot_hold_min_f:g} °F)"
    return limit_temperature_text(floor_c)


def _bands_explained(bands: HoldBands, level: Level) -> str:
    hours = (
        ("from 57 to 60 °C", bands.from_57_to_60_s),
        ("from 54.4 to 57 °C", bands.from_54_to_57_s),
        ("below 54.4 °C", bands.below_54_s),
    )
    spent = [
        f"{duration_text(float(np.median(time)))} {where}" for where, time in hours if np.median(time) > 0
    ]
    reading = f"Median time: {', '.join(spent)}." if spent else "The median piece stays at 60 °C or above."
    if level is Level.RED:
        return f"{reading} Below 54.4 °C spores that survived the cook can grow."
    return f"{reading} Growth above 57 °C is unlikely; slight growth has been reported up to 60 °C."
