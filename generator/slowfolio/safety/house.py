"""A house's own, tighter figures on top of an authority's: stricter is allowed, looser never.

The book's settings come in as `HouseRules`; `stricter` gives back a `Profile` that every check uses like any
other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isfinite

from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.profiles import Profile
from slowfolio.safety.rules import Allowance, CoolingRule, ReheatRule
from slowfolio.safety.standing import Citation, Confidence, Standing
from slowfolio.safety.verdict import duration_text, limit_temperature_text

ROUNDING_K = 0.15
"""How far a rule's own °C and °F lie apart: 165 °F is 73.9 °C where the Food Code prints 74 °C (COMPUTED). A
house figure this close is the authority's own, and is taken as that."""

REFERENCE_C, REFERENCE_S = 70.0, 120.0
"""The reheating of an authority that asks for the reference process: 70 °C for 2 min (see `lethality`)."""


@dataclass(frozen=True, slots=True)
class HouseRules:
    """Figures a book sets for itself; None keeps the authority's. See `stricter`."""

    hot_hold_min_c: float | None = None
    roast_hold_min_c: float | None = None
    below_floor_at_most_s: float | None = None
    cold_max_c: float | None = None
    reheat_c: float | None = None
    reheat_within_s: float | None = None
    cool_within_s: tuple[float, ...] | None = None


class LooserThanAuthorityError(SafetyInputError):
    """A book asked for less than its authority does."""


def stricter(base: Profile, house: HouseRules) -> Profile:
    """Return `base` with the house's figures; LooserThanAuthorityError where one of them asks for less.

    `cool_within_s` gives the time of each cooling step of the authority, in its order.
    """
    floor = _at_least("hot-hold floor", house.hot_hold_min_c, base.hot_hold_min_c, base)
    roast_floor = _stricter_roast_floor(base, house, floor)
    cold_max_c = _stricter_cold(base, house)
    raised = (floor, roast_floor) != (base.hot_hold_min_c, base.roast_hold_min_c)
    return replace(
        base,
        hot_hold_min_c=floor,
        hot_hold_min_f=base.hot_hold_min_f if floor == base.hot_hold_min_c else round(floor * 1.8 + 32.0, 1),
        hot_hold=own_citation(base.hot_hold) if raised else base.hot_hold,
        roast_hold_min_c=roast_floor,
        allowance=_stricter_allowance(base, house),
        cold_max_c=cold_max_c,
        cold=base.cold if cold_max_c == base.cold_max_c else own_citation(base.cold),
        reheat=_stricter_reheat(base, house),
        cooling=_stricter_cooling(base, house),
    )


def own_citation(base: Citation) -> Citation:
    """Return the source of a house's figure: the book itself, and the rule it is stricter than."""
    section = f"stricter than {base.authority}, {base.section}"
    return Citation("this book's own limit", section, base.edition, Standing.CALIBRATED, Confidence.HIGH)


def _stricter_allowance(base: Profile, house: HouseRules) -> Allowance | None:
    allowance = base.allowance
    if house.below_floor_at_most_s is None:
        return allowance
    limit = 0.0 if allowance is None else allowance.at_most_s
    seconds = _at_most_s("time below the hot-hold floor", house.below_floor_at_most_s, limit, base)
    if allowance is None or seconds == allowance.at_most_s:
        return allowance
    warm = None if allowance.in_warm_air_s is None else min(allowance.in_warm_air_s, seconds)
    said = f"at most {duration_text(seconds)} in this book" if seconds else "none in this book"
    return replace(
        allowance,
        at_most_s=seconds,
        in_warm_air_s=warm,
        condition=f"{allowance.condition}; {said}",
        citation=own_citation(allowance.citation),
    )


def _stricter_roast_floor(base: Profile, house: HouseRules, floor_c: float) -> float | None:
    if base.roast_hold_min_c is None:
        if house.roast_hold_min_c is not None:
            return max(_at_least("roast floor", house.roast_hold_min_c, base.hot_hold_min_c, base), floor_c)
        return None
    if house.roast_hold_min_c is not None:
        return _at_least("roast floor", house.roast_hold_min_c, base.roast_hold_min_c, base)
    # A house that raises its floor means it for roasts too, unless it says otherwise.
    return base.roast_hold_min_c if floor_c == base.hot_hold_min_c else floor_c


def _stricter_cold(base: Profile, house: HouseRules) -> float | None:
    if base.cold_max_c is None:
        return house.cold_max_c
    return _at_most_c("cold-hold limit", house.cold_max_c, base.cold_max_c, base)


def _stricter_reheat(base: Profile, house: HouseRules) -> ReheatRule | None:
    rule = base.reheat
    if house.reheat_c is None and house.reheat_within_s is None:
        return rule
    if rule is None:
        raise SafetyInputError(f"{base.name} sets no reheating figure: state the house's in the card's steps")
    temp, hold_s, within = rule.temp_c, rule.hold_s, rule.within_s
    if house.reheat_c is not None:
        lowest = REFERENCE_C if temp is None else temp
        # Above the reference temperature its two minutes are kept, which is never looser.
        hold_s = REFERENCE_S if temp is None else hold_s
        temp = _at_least("reheating temperature", house.reheat_c, lowest, base)
    if house.reheat_within_s is not None:
        most = float("inf") if within is None else within
        within = _at_most_s("reheating time", house.reheat_within_s, most, base)
    if (temp, hold_s, within) == (rule.temp_c, rule.hold_s, rule.within_s):
        return rule
    return replace(rule, temp_c=temp, hold_s=hold_s, within_s=within, citation=own_citation(rule.citation))


def _stricter_cooling(base: Profile, house: HouseRules) -> CoolingRule:
    if house.cool_within_s is None:
        return base.cooling
    limits = base.cooling.limits
    if len(house.cool_within_s) != len(limits):
        steps = "; ".join(f"{limit.from_c:g} to {limit.to_c:g} °C" for limit in limits) or "none"
        raise SafetyInputError(f"{base.name} cools in {len(limits)} steps ({steps}): give one time for each")
    tightened = tuple(
        replace(limit, at_most_s=_at_most_s("cooling time", seconds, limit.at_most_s, base))
        for limit, seconds in zip(limits, house.cool_within_s, strict=True)
    )
    if tightened == limits:
        return base.cooling
    return replace(base.cooling, limits=tightened, citation=own_citation(base.cooling.citation))


def _at_least(name: str, wanted_c: float | None, limit_c: float, base: Profile) -> float:
    if wanted_c is None:
        return limit_c
    if not wanted_c >= limit_c - ROUNDING_K:
        limit = limit_temperature_text(limit_c)
        raise _looser(name, wanted_c, _precisely, base, f"write {limit} or more")
    return max(wanted_c, limit_c)


def _at_most_c(name: str, wanted_c: float | None, limit_c: float, base: Profile) -> float:
    if wanted_c is None:
        return limit_c
    if not 0.0 <= wanted_c <= limit_c + ROUNDING_K:
        limit = limit_temperature_text(limit_c)
        raise _looser(name, wanted_c, _precisely, base, f"write 0 °C (32 °F) to {limit}")
    return min(wanted_c, limit_c)


def _at_most_s(name: str, wanted_s: float, limit_s: float, base: Profile) -> float:
    if not 0.0 <= wanted_s <= limit_s:
        advice = f"write {duration_text(limit_s)} or less" if limit_s else "write 0 min"
        raise _looser(name, wanted_s, duration_text, base, advice)
    return wanted_s


def _looser(
    name: str, wanted: float, text: Callable[[float], str], base: Profile, advice: str
) -> LooserThanAuthorityError:
    said = text(wanted) if isfinite(wanted) else str(wanted)
    return LooserThanAuthorityError(f"{name} of {said} is looser than {base.name}: {advice}, or leave it out")


def _precisely(temp_c: float) -> str:
    """A temperature to the tenth, so that a figure just below a limit does not read the same as it."""
    return f"{temp_c:.1f} °C ({temp_c * 1.8 + 32.0:.1f} °F)"
