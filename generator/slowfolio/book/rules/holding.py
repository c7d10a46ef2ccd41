"""What the hold of a method must not say, against its finish, its holder and the hot-hold floor.

The floor here is the one line that no card may cross whatever the authority; the full rules of the
authorities, with times and lethality, are in `slowfolio.safety`.
"""

from collections.abc import Iterator

from slowfolio.book.findings import Fault
from slowfolio.book.model import Hold, Holder
from slowfolio.book.rules.case import MethodCase, both, top_is_bare
from slowfolio.units import format_duration, format_fraction

ROUNDING_K = 0.3
VENT_FROM_C = 93.0
"""CALIBRATED: 199 °F; from there carry-over goes on rendering and drying the piece in a closed hold."""

FLOOR_C = (130.0 - 32.0) / 1.8
FLOOR_RULE = "US FDA Food Code 3-501.16(A)(1): 135 °F, or 130 °F for roasts cooked under 3-401.11(B)"
"""READ: the lowest hot-hold temperature of any authority's rule that the book knows."""

LIMITED_BELOW_C = ((135.0 - 32.0) / 1.8, 4 * 3600.0), ((140.0 - 32.0) / 1.8, 8 * 3600.0)
LIMITED_RULE = (
    "NACMCF 2002 as cited by the FSIS stabilization guideline of 2021: 130 °F for 4 h, 135 °F for 8 h"
)
"""READ in part: below 135 °F at most 4 h, below 140 °F at most 8 h."""

POULTRY = frozenset({"chicken", "turkey", "duck", "goose"})
POULTRY_C = (165.0 - 32.0) / 1.8
POULTRY_RULE = "US FDA Food Code 3-401.11(A)(3)"
"""READ: poultry is heated to 165 °F in all parts."""


def holding_faults(case: MethodCase) -> Iterator[Fault]:
    """Yield every contradiction of the hold, and of a poultry finish."""
    yield from _poultry(case)
    hold, holder = case.method.hold, case.holder
    if hold is None or holder is None:
        return
    yield from _times(hold)
    yield from _against_finish(case, hold)
    yield from _against_holder(hold, holder)
    yield from _floor(hold)
    if not holder.heated and top_is_bare(case.wraps[hold.wrap]):
        yield Fault(
            "unheated-hold-unwrapped",
            ("hold", "wrap"),
            f"the {holder.title.lower()} has no heat; an open piece cools and wets the box",
            "wrap the piece for this holder",
        )


def _poultry(case: MethodCase) -> Iterator[Fault]:
    if case.cut.species not in POULTRY:
        return
    last = len(case.method.stages) - 1
    finish_c = case.finish_c
    if finish_c is None:
        yield Fault(
            "poultry-below-165",
            ("stages", last, "until"),
            f"poultry needs a core temperature to finish at: 165 °F (74 °C) by {POULTRY_RULE}",
            "write core_temperature: 165 °F, or higher",
            on_key=True,
        )
    elif finish_c < POULTRY_C - 1e-6:
        yield Fault(
            "poultry-below-165",
            ("stages", last, "until", "core_temperature"),
            f"{both(finish_c)} is below the 165 °F (74 °C) of {POULTRY_RULE}",
            "write 165 °F, or higher",
        )


def _times(hold: Hold) -> Iterator[Fault]:
    if hold.for_s <= 0:
        yield Fault(
            "hold-without-time",
            ("hold", "for"),
            "the hold is over before it starts",
            "write a time, such as 10 h",
        )
    elif hold.at_most_s < hold.for_s:
        yield Fault(
            "hold-limit-shorter-than-plan",
            ("hold", "at_most"),
            f"the hold is planned for {format_duration(hold.for_s)} but may last only"
            f" {format_duration(hold.at_most_s)}",
            f"write at least {format_duration(hold.for_s)}, or plan a shorter hold",
        )


def _against_finish(case: MethodCase, hold: Hold) -> Iterator[Fault]:
    finish_c = case.finish_c
    if finish_c is None:
        return
    if hold.air_temp_c > finish_c:
        yield Fault(
            "hold-hotter-than-finish",
            ("hold", "air_temperature"),
            f"a hold at {both(hold.air_temp_c)} goes on cooking a piece that is done at {both(finish_c)}",
            "hold below the finish; 145 to 165 °F is common practice",
        )
    elif case.method.vent is None and finish_c >= VENT_FROM_C:
        yield Fault(
            "no-vent-before-hot-hold",
            ("hold",),
            f"the piece goes into the hold at {both(finish_c)} and goes on cooking there",
            "add vent: with the core temperature it comes down to first, such as 165 °F",
            on_key=True,
        )


def _against_holder(hold: Hold, holder: Holder) -> Iterator[Fault]:
    reach = holder.air_temp_c
    if not reach.low - ROUNDING_K <= hold.air_temp_c <= reach.high + ROUNDING_K:
        yield Fault(
            "hold-temperature-out-of-reach",
            ("hold", "air_temperature"),
            f"the {holder.title.lower()} goes from {both(reach.low)} to {both(reach.high)},"
            f" not to {both(hold.air_temp_c)}",
            "write a temperature it reaches, or choose another holder",
        )
    humidity = hold.relative_humidity
    if humidity is None:
        return
    place = ("hold", "humidity")
    if holder.humidity_by in {"none", "sealed"}:
        yield Fault(
            "holder-cannot-set-humidity",
            place,
            f"nothing on the {holder.title.lower()} sets the humidity",
            "write auto, or choose a holder with a pan or a humidity setting",
        )
    elif holder.relative_humidity is not None and humidity not in holder.relative_humidity:
        low, high = holder.relative_humidity.low, holder.relative_humidity.high
        yield Fault(
            "hold-humidity-out-of-reach",
            place,
            f"the {holder.title.lower()} goes from {format_fraction(low)} to {format_fraction(high)}",
            "write a humidity it reaches, or auto",
        )


def _floor(hold: Hold) -> Iterator[Fault]:
    place = ("hold", "air_temperature")
    if hold.air_temp_c < FLOOR_C - 1e-6:
        yield Fault(
            "hold-below-hot-limit",
            place,
            f"{both(hold.air_temp_c)} is below every hot-hold limit ({FLOOR_RULE})",
            "write 140 °F or more",
        )
        return
    for below_c, limit_s in LIMITED_BELOW_C:
        if hold.air_temp_c < below_c - 1e-6:
            if hold.at_most_s > limit_s:
                yield Fault(
                    "hold-too-long-below-140",
                    place,
                    f"{format_duration(hold.at_most_s)} at {both(hold.air_temp_c)} is longer than the"
                    f" {format_duration(limit_s)} of {LIMITED_RULE}",
                    "hold at 140 °F or more, or for a shorter time",
                )
            return
