"""Pits and holders as places with room for so much, and loads that ask for it: the inputs of a service.

Frozen data and the sums of it; which load goes where and when is decided in `service` and `search`.
"""

import math
from dataclasses import dataclass, replace
from enum import StrEnum

from slowfolio.forecast.planning.acts import cook_acts
from slowfolio.forecast.planning.clock import on_grid_down, on_grid_up
from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.item import LoadWork
from slowfolio.forecast.planning.times import CookTimes, HoldTerms


class PlaceKind(StrEnum):
    """What a place is for."""

    PIT = "pit"
    HOLDER = "holder"


@dataclass(frozen=True, slots=True)
class Place:
    """One pit or holder that is there: its own name, its card, and what it takes at a time.

    `area_m2` is the grate; infinity where a card gives none.
    """

    name: str
    card: str
    kind: PlaceKind
    title: str
    load_kg: float
    area_m2: float = math.inf


@dataclass(frozen=True, slots=True)
class Option:
    """A load as it would go on one pit: the times there, and what one piece asks for.

    `pit` and `holder` name places, `holder` is "" where nothing is held. `piece_kg` is the raw trimmed piece,
    `held_kg` the same when it is ready, `piece_m2` its outline on the grate.
    """

    pit: str
    holder: str
    work: LoadWork
    times: CookTimes
    hold: HoldTerms
    piece_kg: float
    held_kg: float
    piece_m2: float

    def __post_init__(self) -> None:
        """Check that a piece is a piece."""
        sizes = (self.piece_kg, self.held_kg, self.piece_m2)
        if not all(math.isfinite(size) and size > 0 for size in sizes) or self.work.pieces < 1:
            raise PlanInputError(
                f"{self.work.name}: give one piece or more, each with a weight and an outline"
            )

    def of(self, pieces: int, name: str) -> "Option":
        """The same for a part of the pieces, under a name of its own."""
        share = pieces / self.work.pieces
        leads = self.work.leads
        fewer = replace(
            leads,
            trim_s=type(leads.trim_s)(leads.trim_s.low * share, leads.trim_s.high * share),
            rub_s=type(leads.rub_s)(leads.rub_s.low * share, leads.rub_s.high * share),
            on_hands_s=leads.on_hands_s * share,
            wrap_hands_s=leads.wrap_hands_s * share,
            pull_hands_s=leads.pull_hands_s * share,
            hold_hands_s=leads.hold_hands_s * share,
        )
        return replace(self, work=replace(self.work, pieces=pieces, name=name, leads=fewer))

    def sliced_to_order(self) -> "Option":
        """The same for a later load of a dish whose first piece comes from another."""
        return replace(self, work=replace(self.work, leads=replace(self.work.leads, slice_s=0.0)))


@dataclass(frozen=True, slots=True)
class Stay:
    """A load in a place from `from_s` to `to_s`: seconds from on, or from the serving time."""

    place: str
    from_s: float
    to_s: float
    kg: float
    area_m2: float


def pit_stays(option: Option, places: dict[str, Place]) -> tuple[Stay, ...]:
    """Where the load lies while it cooks, seconds from on: from an early cook's arrival to a late one's end.

    A stage on another pit than the method's own goes to the first place with that card.
    """
    kg, area = option.piece_kg * option.work.pieces, option.piece_m2 * option.work.pieces
    stays: list[Stay] = []
    begins_s = 0.0
    for stage, (early_s, _, late_s) in zip(option.times.on_pit, option.times.windows_s[1:], strict=False):
        ends_s = on_grid_up(float(late_s))
        name = place_of(stage.pit, option, places)
        if stays and stays[-1].place == name:
            stays[-1] = replace(stays[-1], to_s=ends_s)
        elif name:
            stays.append(Stay(name, begins_s, ends_s, kg, area))
        begins_s = on_grid_down(float(early_s))
    return tuple(stays)


def place_of(card: str, option: Option, places: dict[str, Place]) -> str:
    """The place a stage on the pit `card` uses: the option's own, or the first of that card; "" for none."""
    own = places[option.pit]
    if not card or card == own.card:
        return own.name
    return next((p.name for p in places.values() if p.card == card and p.kind is PlaceKind.PIT), "")


def hold_stay(option: Option, *, start_s: float, by_s: float) -> Stay | None:
    """The load in its holder, seconds from the serving time: from an early piece's end to slicing."""
    if not option.holder:
        return None
    from_s = start_s + on_grid_down(option.times.ready_window_s[0])
    if from_s >= by_s:
        return None
    kg = option.held_kg * option.work.pieces
    return Stay(option.holder, from_s, by_s, kg, 0.0)


def hands_of(option: Option) -> tuple[tuple[float, float], ...]:
    """When hands are busy with the cook itself: begin and length, seconds from on, at the median."""
    acts = cook_acts(option.times, option.work.leads, option.hold, start_s=0.0, by_s=NEVER_S, confidence=0.5)
    return tuple((act.at_s, act.hands_s) for act in acts if act.hands_s > 0)


NEVER_S = 1e9
"""Later than any cook, so that every act is in time."""


def most_pieces(option: Option, places: dict[str, Place]) -> int:
    """How many pieces go on the option's pit and into its holder at a time; 0 where one is too much."""
    pit = places[option.pit]
    most = int(pit.load_kg / option.piece_kg + 1e-9)
    if math.isfinite(pit.area_m2):
        most = min(most, int(pit.area_m2 / option.piece_m2 + 1e-9))
    if option.holder:
        most = min(most, int(places[option.holder].load_kg / option.held_kg + 1e-9))
    return most
