"""A house's own, tighter figures on top of an authority's: stricter is allowed, looser never.

The book's settings come in as `HouseRules`; `stricter` gives back a `Profile` that every check uses like any
other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.profiles import Profile
from slowfolio.safety.rules import CoolingRule, ReheatRule


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
    allowance, reheat = base.allowance, base.reheat
    floor = _at_least("hot-hold floor", house.hot_hold_min_c, base.hot_hold_min_c, "°C", base)
    if house.below_floor_at_most_s is not None:
        limit = 0.0 if allowance is None else allowance.at_most_s
        seconds = _at_most("time below the hot-hold floor", house.below_floor_at_most_s, limit, "s", base)
        warm = None if allowance is None else allowance.in_warm_air_s
        if allowance is not None:
            warm = None if warm is None else min(warm, seconds)
            allowance = replace(allowance, at_most_s=seconds, in_warm_air_s=warm)
    if house.reheat_c is not None or house.reheat_within_s is not None:
        reheat = _stricter_reheat(base, house)
    return replace(
        base,
        hot_hold_min_c=floor,
        hot_hold_min_f=base.hot_hold_min_f if house.hot_hold_min_c is None else floor * 1.8 + 32.0,
        roast_hold_min_c=_stricter_roast_floor(base, house, floor),
        allowance=allowance,
        cold_max_c=_stricter_cold(base, house),
        reheat=reheat,
        cooling=_stricter_cooling(base, house),
    )


def _stricter_roast_floor(base: Profile, house: HouseRules, floor_c: float) -> float | None:
    if base.roast_hold_min_c is None:
        if house.roast_hold_min_c is not None:
            _at_least("roast floor", house.roast_hold_min_c, base.hot_hold_min_c, "°C", base)
            return max(house.roast_hold_min_c, floor_c)
        return None
    if house.roast_hold_min_c is not None:
        return _at_least("roast floor", house.roast_hold_min_c, base.roast_hold_min_c, "°C", base)
    # A house that raises its floor means it for roasts too, unless it says otherwise.
    return base.roast_hold_min_c if house.hot_hold_min_c is None else floor_c


def _stricter_cold(base: Profile, house: HouseRules) -> float | None:
    if base.cold_max_c is None:
        return house.cold_max_c
    return _at_most("cold-hold limit", house.cold_max_c, base.cold_max_c, "°C", base)


def _stricter_reheat(base: Profile, house: HouseRules) -> ReheatRule:
    if base.reheat is None:
        raise SafetyInputError(f"{base.name} sets no reheating figure: state the house's in the card's steps")
    lowest = 70.0 if base.reheat.temp_c is None else base.reheat.temp_c
    temp = base.reheat.temp_c
    if house.reheat_c is not None:
        temp = _at_least("reheating temperature", house.reheat_c, lowest, "°C", base)
    within = base.reheat.within_s
    if house.reheat_within_s is not None:
        most = float("inf") if within is None else within
        within = _at_most("reheating time", house.reheat_within_s, most, "s", base)
    return replace(base.reheat, temp_c=temp, within_s=within)


def _stricter_cooling(base: Profile, house: HouseRules) -> CoolingRule:
    if house.cool_within_s is None:
        return base.cooling
    limits = base.cooling.limits
    if len(house.cool_within_s) != len(limits):
        steps = "; ".join(f"{limit.from_c:g} to {limit.to_c:g} °C" for limit in limits) or "none"
        raise SafetyInputError(f"{base.name} cools in {len(limits)} steps ({steps}): give one time for each")
    tightened = tuple(
        replace(limit, at_most_s=_at_most("cooling time", seconds, limit.at_most_s, "s", base))
        for limit, seconds in zip(limits, house.cool_within_s, strict=True)
    )
    return replace(base.cooling, limits=tightened)


def _at_least(name: str, wanted: float | None, limit: float, unit: str, base: Profile) -> float:
    if wanted is None:
        return limit
    if not wanted >= limit:
        raise LooserThanAuthorityError(
            f"{name} {wanted:g} {unit} is looser than {base.name}: "
            f"write {limit:g} {unit} or more, or leave it out"
        )
    return wanted


def _at_most(name: str, wanted: float | None, limit: float, unit: str, base: Profile) -> float:
    if wanted is None:
        return limit
    if not 0.0 <= wanted <= limit:
        raise LooserThanAuthorityError(
            f"{name} {wanted:g} {unit} is looser than {base.name} allows, or negative: "
            f"write 0 to {limit:g} {unit}, or leave it out"
        )
    return wanted
