"""Where loads get in each other's way: hands wanted twice at a time, places asked for more than they take.

Looks at plans as they stand and changes nothing. Called by `service`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.places import Option, Place, Stay, hold_stay, pit_stays

_HAIR_S = 1e-3


class ConflictKind(StrEnum):
    """What there is too little of."""

    HANDS = "hands"
    LOAD = "load"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class Conflict:
    """Too much asked for, from `from_s` to `to_s`, by the loads (or acts of loads) named in `who`.

    `need` and `have` are cooks, kg or m² by kind; `place` is "" for hands.
    """

    kind: ConflictKind
    place: str
    who: tuple[str, ...]
    from_s: float
    to_s: float
    need: float
    have: float


@dataclass(frozen=True, slots=True)
class Claim:
    """A named claim on something from one time to another."""

    who: str
    from_s: float
    to_s: float
    amount: float


def hand_claims(plan: LoadPlan) -> tuple[Claim, ...]:
    """The acts of a load that need hands."""
    return tuple(
        Claim(f"{plan.work.name}: {act.title.lower()}", act.at_s, act.hands_end_s, 1.0)
        for act in plan.acts
        if act.hands_s > 0
    )


def own_hands(plan: LoadPlan) -> tuple[Claim, ...]:
    """The same with acts of one load that run into each other joined: one cook does them in turn."""
    joined: list[Claim] = []
    for claim in sorted(hand_claims(plan), key=lambda item: (item.from_s, item.to_s)):
        if joined and claim.from_s < joined[-1].to_s - _HAIR_S:
            last = joined[-1]
            joined[-1] = Claim(last.who, last.from_s, max(last.to_s, claim.to_s), 1.0)
        else:
            joined.append(claim)
    return tuple(joined)


def conflicts_of(
    plans: Sequence[LoadPlan], options: Sequence[Option], places: dict[str, Place], *, cooks: int
) -> tuple[Conflict, ...]:
    """Every stretch of time in which more is asked for than there is, hands first."""
    found = overruns([claim for plan in plans for claim in own_hands(plan)], float(cooks))
    conflicts = [Conflict(ConflictKind.HANDS, "", *overrun, float(cooks)) for overrun in found]
    for place in places.values():
        stays = stays_in(place, plans, options, places)
        for kind, limit in ((ConflictKind.LOAD, place.load_kg), (ConflictKind.AREA, place.area_m2)):
            claims = [
                Claim(name, stay.from_s, stay.to_s, stay.kg if kind is ConflictKind.LOAD else stay.area_m2)
                for name, stay in stays
            ]
            conflicts += [Conflict(kind, place.name, *overrun, limit) for overrun in overruns(claims, limit)]
    return tuple(conflicts)


def stays_in(
    place: Place, plans: Sequence[LoadPlan], options: Sequence[Option], places: dict[str, Place]
) -> list[tuple[str, Stay]]:
    """The loads that lie in a place, with the time they do, seconds from the serving time."""
    stays: list[tuple[str, Stay]] = []
    for plan, option in zip(plans, options, strict=True):
        for stay in all_stays(option, places, start_s=plan.start_s, by_s=plan.by_s):
            if stay.place == place.name:
                stays.append((plan.work.name, stay))
    return stays


def all_stays(option: Option, places: dict[str, Place], *, start_s: float, by_s: float) -> tuple[Stay, ...]:
    """Pit and holder of one load, seconds from the serving time."""
    on_pits = [
        Stay(stay.place, start_s + stay.from_s, start_s + stay.to_s, stay.kg, stay.area_m2)
        for stay in pit_stays(option, places)
    ]
    held = hold_stay(option, start_s=start_s, by_s=by_s)
    return (*on_pits, *(() if held is None else (held,)))


def overruns(claims: Sequence[Claim], limit: float) -> list[tuple[tuple[str, ...], float, float, float]]:
    """Stretches in which the claims add up to more than `limit`: who, from, to and the most asked for."""
    edges = sorted({claim.from_s for claim in claims} | {claim.to_s for claim in claims})
    found: list[tuple[tuple[str, ...], float, float, float]] = []
    open_until: float | None = None
    for begin, end in pairwise(edges):
        active = [c for c in claims if c.from_s <= begin + _HAIR_S and c.to_s >= end - _HAIR_S]
        asked = sum(claim.amount for claim in active)
        if asked <= limit * (1 + 1e-9) + 1e-9:
            open_until = None
            continue
        who = tuple(claim.who for claim in active)
        if open_until is not None and found:
            before, first, _, most = found[-1]
            merged = (*before, *(name for name in who if name not in before))
            found[-1] = (merged, first, end, max(most, asked))
        else:
            found.append((who, begin, end, asked))
        open_until = end
    return found


def peak(claims: Sequence[Claim]) -> float:
    """The most that is asked for at any time."""
    edges = sorted({claim.from_s for claim in claims})
    return max(
        (sum(c.amount for c in claims if c.from_s <= at + _HAIR_S and c.to_s > at + _HAIR_S) for at in edges),
        default=0.0,
    )
