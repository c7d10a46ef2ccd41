"""Cooling after the cook or the hold against the authority's steps, and what would meet them.

A large piece left whole misses nearly every schedule, so `outlook` says it before the cook does it and
`ways_to_meet` says how thin to slice or what to cool in. Courses come from `chilling` or from a thermometer.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from slowfolio.safety.assess import growth_verdict
from slowfolio.safety.chilling import (
    MEDIA,
    REFRIGERATOR,
    Brick,
    Medium,
    cool_down,
    halved,
    sliced,
    slowest_cool_down,
)
from slowfolio.safety.history import (
    FloatArray,
    as_temperatures,
    as_times,
    first_time_at_or_below_s,
    require_between,
)
from slowfolio.safety.piece import Cure, Piece
from slowfolio.safety.profiles import HOUR, US_RETAIL, Profile
from slowfolio.safety.rules import Binding, CoolingLimit, CoolingRule
from slowfolio.safety.standing import Citation, Confidence, Standing
from slowfolio.safety.verdict import (
    Level,
    Met,
    Topic,
    Unit,
    Verdict,
    advised,
    duration_text,
    level_of,
    limit_temperature_text,
    share_of,
    verdict,
)

GUIDELINE = "Stabilization Guideline (Revised Appendix B)"
EDITION = "December 2021, FSIS-GD-2021-0013, and 1999"


def _fsis(option: str, standing: Standing, confidence: Confidence) -> Citation:
    return Citation("USDA FSIS", f"{GUIDELINE}, {option}", EDITION, standing, confidence)


FSIS_OPTIONS: Mapping[str, CoolingRule] = MappingProxyType(
    {
        "1": CoolingRule(
            (CoolingLimit(54.4, 26.7, 1.5 * HOUR), CoolingLimit(26.7, 4.4, 5 * HOUR)),
            Binding.ADVICE,
            _fsis("option 1", Standing.READ, Confidence.HIGH),
            note="All products.",
        ),
        "2": CoolingRule(
            (CoolingLimit(48.9, 26.7, HOUR), CoolingLimit(26.7, 12.8, 5 * HOUR)),
            Binding.ADVICE,
            _fsis("option 2", Standing.READ, Confidence.MEDIUM),
            note="Uncured, chilling begun within 90 min of the end of the cook, then chilled on to 4.4 °C.",
        ),
        "3 (cured)": CoolingRule(
            (CoolingLimit(54.4, 26.7, 5 * HOUR), CoolingLimit(26.7, 7.2, 10 * HOUR)),
            Binding.ADVICE,
            _fsis("option 3", Standing.READ, Confidence.MEDIUM),
            note="Cured only: at least 100 ppm ingoing nitrite. Not for uncured meat.",
        ),
        "4 (high salt cured)": CoolingRule(
            (CoolingLimit(48.9, 4.4, 20 * HOUR),),
            Binding.ADVICE,
            _fsis("option 4", Standing.MEMORY, Confidence.MEDIUM),
            note="Cured only: at least 40 ppm ingoing nitrite and 6 % brine. Not for uncured meat.",
        ),
    }
)
"""The guideline for inspected establishments; shown beside an authority's own rule."""

THINNEST_M, SLICE_STEP_M = 0.005, 0.001
SLICE_M = 0.03  # what a carver still calls a slice; thicker cuts are called pieces


def cooling_time_s(limit: CoolingLimit, time_s: FloatArray, centre_c: FloatArray) -> FloatArray:
    """Return the seconds from the fall to `limit.from_c` until `limit.to_c`, shape (M,); infinity for never.

    A course that starts below `from_c` counts from its start.
    """
    end = first_time_at_or_below_s(time_s, centre_c, limit.to_c)
    start = first_time_at_or_below_s(time_s, centre_c, limit.from_c)
    return np.where(np.isfinite(end), end - np.where(np.isfinite(start), start, 0.0), np.inf)


def cooling_verdicts(
    profile: Profile,
    piece: Piece,
    time_s: ArrayLike,
    centre_c: ArrayLike,
    *,
    into_cold_after_s: float = 0.0,
    room_c: float = 21.0,
) -> tuple[Verdict, ...]:
    """Return the verdicts on a course of the warmest point, measured or computed, from the start of chilling.

    `time_s` (T,), `centre_c` (M, T). `into_cold_after_s` is the time it stood out before chilling began.
    """
    time = as_times(time_s)
    centre = as_temperatures(centre_c, time.shape[-1], name="warmest point")
    require_between("time before chilling", into_cold_after_s, low=0.0, high=7 * 24 * HOUR, unit="s")
    verdicts = [_limit_verdict(profile.cooling, limit, time, centre) for limit in profile.cooling.limits]
    if profile.cooling.into_cold_within_s is not None:
        verdicts.append(_into_cold_verdict(profile, into_cold_after_s, room_c))
    option = FSIS_OPTIONS["3 (cured)" if piece.cure is Cure.CURED else "1"]
    verdicts.extend(_limit_verdict(option, limit, time, centre) for limit in option.limits)
    verdicts.append(growth_verdict(piece, time, centre, topic=Topic.COOLING))
    return tuple(verdicts)


def assess_cooling(
    profile: Profile,
    piece: Piece,
    brick: Brick,
    medium: Medium = REFRIGERATOR,
    *,
    start_c: float,
    into_cold_after_s: float = 0.0,
    room_c: float = 21.0,
) -> tuple[Verdict, ...]:
    """Return the verdicts on one piece cooled one way, starting at `start_c` all through."""
    course = cool_down(brick, medium, start_c=start_c)
    return cooling_verdicts(
        profile,
        piece,
        course.time_s,
        course.centre_c,
        into_cold_after_s=into_cold_after_s,
        room_c=room_c,
    )


@dataclass(frozen=True, slots=True)
class CoolingCase:
    """One way of cooling: how it is cut, in what, how the authority's own steps fare, and the verdicts."""

    brick: Brick
    medium: Medium
    level: Level
    verdicts: tuple[Verdict, ...]


def outlook(
    profile: Profile, piece: Piece, brick: Brick, *, start_c: float, slice_m: float = 0.01
) -> tuple[CoolingCase, ...]:
    """Return whole, halved and sliced in every medium: what to expect before anything is cooled.

    `level` reads the authority's own steps only, or the Food Code's where it sets none for the centre.
    """
    rule = yardstick(profile)
    cases = []
    for cut in (brick, halved(brick), sliced(brick, slice_m)):
        for medium in MEDIA:
            course = cool_down(cut, medium, start_c=start_c)
            times = [cooling_time_s(limit, course.time_s, course.centre_c) for limit in rule.limits]
            met = np.all(
                [time <= limit.at_most_s for time, limit in zip(times, rule.limits, strict=True)], axis=0
            )
            verdicts = cooling_verdicts(profile, piece, course.time_s, course.centre_c)
            cases.append(CoolingCase(cut, medium, level_of(share_of(met)), verdicts))
    return tuple(cases)


@dataclass(frozen=True, slots=True)
class Way:
    """What meets the steps in one medium: the thickest slice, metres (None: nothing does), and the words."""

    medium: Medium
    thickest_m: float | None
    text: str


def ways_to_meet(rule: CoolingRule, brick: Brick, *, start_c: float) -> tuple[Way, ...]:
    """Return, for each medium, whether the whole piece or halves would meet the steps, or how thin to slice.

    Judged at the lower end of the medium's heat transfer, so that an ordinary one does better.
    """
    return tuple(_way(rule, brick, medium, start_c) for medium in MEDIA)


def yardstick(profile: Profile) -> CoolingRule:
    """Return the authority's cooling rule, or the Food Code's where it has no steps for the centre."""
    return profile.cooling if profile.cooling.limits else US_RETAIL.cooling


def thickest_slice_m(rule: CoolingRule, brick: Brick, medium: Medium, *, start_c: float) -> float | None:
    """Return the thickest slice, in whole millimetres, that meets all steps; None where none does."""

    def meets(steps: int) -> bool:
        cut = sliced(brick, steps * SLICE_STEP_M)
        return _meets(rule, cut, medium, start_c)

    low = round(THINNEST_M / SLICE_STEP_M)
    high = int(max(brick.length_m, brick.width_m, brick.thickness_m) / SLICE_STEP_M + 1e-9)
    if high < low or not meets(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if meets(middle) else (low, middle - 1)
    return low * SLICE_STEP_M


def _meets(rule: CoolingRule, brick: Brick, medium: Medium, start_c: float) -> bool:
    course = slowest_cool_down(brick, medium, start_c=start_c)
    return all(
        float(cooling_time_s(limit, course.time_s, course.centre_c)[0]) <= limit.at_most_s
        for limit in rule.limits
    )


def _way(rule: CoolingRule, brick: Brick, medium: Medium, start_c: float) -> Way:
    place = f"In the {medium.name}"
    if _meets(rule, brick, medium, start_c):
        return Way(medium, brick.thickness_m, f"{place} the whole piece meets the steps.")
    if _meets(rule, halved(brick), medium, start_c):
        return Way(medium, brick.thickness_m, f"{place} halves meet the steps; the whole piece does not.")
    thickest = thickest_slice_m(rule, brick, medium, start_c=start_c)
    if thickest is None:
        return Way(medium, None, f"{place} nothing meets the steps; use something colder.")
    size = f"{thickest * 1000:.0f} mm ({thickest / 0.0254:.1f} in)"
    cut = f"slices of {size} or thinner" if thickest <= SLICE_M else f"pieces cut across to {size} or less"
    rest = "meet the steps, in a single layer; the whole piece and halves do not."
    return Way(medium, thickest, f"{place} {cut} {rest}")


def _limit_verdict(rule: CoolingRule, limit: CoolingLimit, time: FloatArray, centre: FloatArray) -> Verdict:
    taken = cooling_time_s(limit, time, centre)
    meets = taken <= limit.at_most_s
    level = level_of(share_of(meets))
    met = Met.MET if level is Level.GREEN else Met.NOT_MET
    if rule.binding is Binding.ADVICE:
        met, level = advised(level)
    span = f"{limit_temperature_text(limit.from_c)} to {limit_temperature_text(limit.to_c)}"
    return verdict(
        topic=Topic.COOLING,
        rule=f"cooling from {span}",
        citation=rule.citation,
        met=met,
        level=level,
        name="the warmest point takes",
        values=taken,
        unit=Unit.SECONDS,
        limit=limit.at_most_s,
        limit_text=duration_text(limit.at_most_s),
        meets=meets,
        explanation=rule.note
        or "The clock runs from the moment the warmest point has fallen to the first figure.",
        what_to_do=""
        if level is Level.GREEN
        else "Slice or portion it, lay it in a single layer, and use an ice bath or a blast chiller.",
    )


def _into_cold_verdict(profile: Profile, waited_s: float, room_c: float) -> Verdict:
    limit = profile.cooling.into_cold_within_s or 0.0
    allowance = profile.allowance
    if allowance is not None and allowance.in_warm_air_s is not None and room_c > allowance.warm_air_c:
        limit = min(limit, allowance.in_warm_air_s)
    meets = np.asarray([waited_s <= limit])
    level = level_of(share_of(meets))
    return verdict(
        topic=Topic.COOLING,
        rule="time out before it goes into the cold",
        citation=profile.cooling.citation,
        met=Met.MET if level is Level.GREEN else Met.NOT_MET,
        level=level,
        name="stood out for",
        values=np.asarray([waited_s]),
        unit=Unit.SECONDS,
        limit=limit,
        limit_text=duration_text(limit),
        meets=meets,
        explanation=profile.cooling.note,
        what_to_do="" if level is Level.GREEN else "Chill at once; discard what stood out longer.",
    )
