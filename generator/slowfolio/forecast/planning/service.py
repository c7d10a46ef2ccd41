"""A service: several items on shared pits and holders with few hands, and the least change that makes it go.

Each load is first planned as if it were alone. Where loads get in each other's way, slices are put one after
the other, then the starts are searched for the least change (fewest other pits, then fewest minutes), then
the work before the cook takes the latest free hands. Pure; called by the `plan` command, for one item too.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from slowfolio.forecast.planning.arrange import Arrangement, Load, arrange, slices_apart
from slowfolio.forecast.planning.changes import Change, moves, splits
from slowfolio.forecast.planning.conflicts import Conflict, conflicts_of
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.hands import Hands
from slowfolio.forecast.planning.item import LoadPlan
from slowfolio.forecast.planning.kitchen import (
    Peak,
    Resources,
    fire_notes,
    independent,
    peaks_of,
    with_hands,
)
from slowfolio.forecast.planning.places import Option, Place, PlaceKind, most_pieces
from slowfolio.forecast.planning.search import TRIES

MOST_LOADS = 24
SINGLE_PIECES_AT_MOST = 8
"""More loads than this are split no further; the search would not get through them."""


@dataclass(frozen=True, slots=True)
class ServicePlan:
    """The loads with their acts, what was in the way, what was changed.

    Where nothing resolves the conflicts, `reason` says why and the loads are planned as if alone. `least`
    says that no smaller change exists; a search that had to stop may have missed one.
    """

    loads: tuple[LoadPlan, ...]
    options: tuple[Option, ...]
    conflicts: tuple[Conflict, ...]
    changes: tuple[Change, ...]
    peaks: tuple[Peak, ...]
    reason: str
    least: bool
    notes: tuple[str, ...]

    @property
    def resolved(self) -> bool:
        """Whether the plan can be carried out as it stands."""
        return not self.reason


def plan_service(
    items: Sequence[Load],
    resources: Resources,
    *,
    elsewhere: Callable[[], Sequence[Load]] | None = None,
    tries: int = TRIES,
) -> ServicePlan:
    """A plan for all items, or the reason why there is none.

    `elsewhere` gives the items with their options on every pit; it is asked only where shifts do not do.
    Raises PlanInputError for a service without items, cooks or places.
    """
    check(items, resources)
    alone = [item[0] for item in items]
    if (reason := too_large(alone, resources.places)) is not None:
        return unresolved(alone, resources, reason)
    own = in_loads(items, resources.places)
    if len(own) > MOST_LOADS:
        reason = f"{len(own)} loads are more than the {MOST_LOADS} that are planned at once; cook on two days"
        return unresolved(alone, resources, reason)
    complete, looks = True, 0
    for loads in divisions(own, elsewhere, resources.places):
        found = arranged(loads, resources, tries)
        if found.seats is not None:
            return settled(items, loads, found, resources, least=complete and found.complete)
        complete, looks = complete and found.complete, looks + found.tries
    tried = "no start within the windows resolves it"
    if not complete:
        tried = f"no start that resolves it was found in {looks} looks"
    cause = reason_of(own, resources, tries)
    return unresolved([load[0] for load in own], resources, f"{tried}: {cause}")


TOO_NARROW = (
    "another cook or more room would not help either; take a lower confidence, a hold that lasts longer, or "
    "serving times further apart"
)


def divisions(
    own: list[Load], elsewhere: Callable[[], Sequence[Load]] | None, places: dict[str, Place]
) -> Iterator[list[Load]]:
    """What to try in turn: loads on their own pits, on any pit, and piece by piece."""
    yield own
    loads = own
    if elsewhere is not None:
        loads = in_loads(elsewhere(), places)
        if any(len(load) > 1 for load in loads):
            yield loads
    single = in_single_pieces(loads)
    if len(loads) < len(single) <= SINGLE_PIECES_AT_MOST:
        yield single


def check(items: Sequence[Load], resources: Resources) -> None:
    """Refuse what is no service."""
    if not items:
        raise PlanInputError("a service needs at least one item")
    if resources.cooks < 1:
        raise PlanInputError("a service needs at least one cook")
    if not 0.0 < resources.confidence < 1.0:
        raise PlanInputError("the confidence lies between 0 and 100 %, both excluded")
    names = {name for item in items for o in item for name in (o.pit, o.holder) if name}
    if missing := sorted(names - set(resources.places)):
        raise PlanInputError(f"no such place in this service: {', '.join(missing)}")


def too_large(options: Sequence[Option], places: dict[str, Place]) -> str | None:
    """Why a single piece does not go on its pit or into its holder, or None."""
    for option in options:
        if most_pieces(option, places) < 1:
            pit = places[option.pit]
            holder = f" or the {places[option.holder].title.lower()}" if option.holder else ""
            return (
                f"one piece of {option.work.name} ({option.piece_kg:.1f} kg, {option.piece_m2:.2f} m²) is "
                f"more than the {pit.title.lower()}{holder} takes; use a larger one or cut the piece"
            )
    return None


def in_loads(items: Sequence[Load], places: dict[str, Place]) -> list[Load]:
    """Items in loads that their own pit and holder take at once, full loads first."""
    loads: list[Load] = []
    for item in items:
        own = item[0]
        most, left, number = most_pieces(own, places), own.work.pieces, 1
        count = -(-left // most)
        while left:
            pieces = min(most, left)
            name = own.work.name if count == 1 else f"{own.work.name}, load {number} of {count}"
            fitting = [o for o in item if o is own or most_pieces(o, places) >= pieces]
            parts = tuple(option.of(pieces, name) for option in fitting)
            loads.append(parts if number == 1 else tuple(part.sliced_to_order() for part in parts))
            left, number = left - pieces, number + 1
    return loads


def in_single_pieces(loads: Sequence[Load]) -> list[Load]:
    """Every piece a load of its own."""
    single: list[Load] = []
    for load in loads:
        pieces = load[0].work.pieces
        for number in range(pieces):
            name = f"{load[0].work.name}, piece {number + 1}" if pieces > 1 else load[0].work.name
            parts = tuple(option.of(1, name) for option in load)
            single.append(parts if number == 0 else tuple(part.sliced_to_order() for part in parts))
    return single


def arranged(loads: Sequence[Load], resources: Resources, tries: int) -> Arrangement:
    """The arrangement of loads with what there is."""
    return arrange(loads, resources.places, cooks=resources.cooks, asked=resources.asked, tries=tries)


# --- plans of arrangements --------------------------------------------------------------------------


def settled(
    items: Sequence[Load], loads: Sequence[Load], found: Arrangement, resources: Resources, *, least: bool
) -> ServicePlan:
    """The plan of an arrangement, with every change against the loads alone."""
    assert found.seats is not None
    first = [load[0] for load in loads]
    alone = independent(first, resources)
    plans = with_hands(found.options, found.seats, resources)
    return ServicePlan(
        loads=plans,
        options=found.options,
        conflicts=conflicts_of(alone, first, resources.places, cooks=resources.cooks),
        changes=(*splits(items, plans), *moves(alone, first, plans, found.options, resources.places)),
        peaks=peaks_of(plans, found.options, resources.places),
        reason="",
        least=least,
        notes=fire_notes(plans, found.options),
    )


def unresolved(options: Sequence[Option], resources: Resources, reason: str) -> ServicePlan:
    """The loads as if alone, what is in their way, and why nothing resolves it."""
    plans = independent(options, resources)
    return ServicePlan(
        loads=plans,
        options=tuple(options),
        conflicts=conflicts_of(plans, options, resources.places, cooks=resources.cooks),
        changes=(),
        peaks=peaks_of(plans, options, resources.places),
        reason=reason,
        least=False,
        notes=fire_notes(plans, options),
    )


def reason_of(loads: Sequence[Load], resources: Resources, tries: int) -> str:
    """Which of slicing, hands and places is in the way, found by doing without it."""
    cooks, places = resources.cooks, resources.places
    first = [load[0] for load in loads]
    if slices_apart(first, Hands(cooks)) is None:
        needed = next(n for n in range(cooks + 1, len(loads) + 2) if slices_apart(first, Hands(n)))
        return (
            f"{plural(cooks, 'cook')} cannot slice all of it just before serving; it takes "
            f"{needed}, or serving times further apart"
        )
    no_pits, no_holders = roomy(places, PlaceKind.PIT), roomy(places, PlaceKind.HOLDER)
    remedies = (
        (f"{plural(cooks + 1, 'cook')} could do it, {plural(cooks, 'cook')} cannot", cooks + 1, places),
        ("the pits are too small for all of it; a further or larger pit resolves it", cooks, no_pits),
        (
            "the holders are too small for all of it; a further or larger holder resolves it",
            cooks,
            no_holders,
        ),
        ("pits and holders are both too small for all of it", cooks, roomy(no_pits, PlaceKind.HOLDER)),
    )
    for words, hands, room in remedies:
        if arranged(loads, replace(resources, places=room, cooks=hands), tries).seats is not None:
            return words
    return TOO_NARROW


def roomy(places: dict[str, Place], kind: PlaceKind) -> dict[str, Place]:
    """The same places with as much room as one could wish in those of a kind."""
    return {
        name: replace(place, load_kg=1e6, area_m2=1e6) if place.kind is kind else place
        for name, place in places.items()
    }


def plural(count: int, noun: str) -> str:
    """ "1 cook", "2 cooks"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
