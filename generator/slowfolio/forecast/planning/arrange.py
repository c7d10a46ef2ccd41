"""From loads and places to the numbered slots of the search, and back to starts.

Called by `service`. A seat is one load on one option with its start and the time it is sliced from.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import overload

import numpy as np

from slowfolio.forecast.planning.clock import GRID_S, on_grid_down, on_grid_up
from slowfolio.forecast.planning.hands import Hands, mask_of
from slowfolio.forecast.planning.leads import SLICE_EARLY_AT_MOST_S
from slowfolio.forecast.planning.places import Option, Place, Stay, hands_of, pit_stays
from slowfolio.forecast.planning.search import PIT_MOVE, Candidate, Problem, Use, least_change
from slowfolio.forecast.planning.start import Fit, Start, choose_start

SLACK_WITHOUT_WINDOW_S = 3600.0
"""How far a start may move where its two limits leave no window between them. CALIBRATED."""

NO_LIMIT = 1 << 60
HAIR = 1e-3

Load = tuple[Option, ...]
"""A load as it would go on its own pit (first) and on others."""


@dataclass(frozen=True, slots=True)
class Asked:
    """The chance of being ready that is asked for, and the first time from which work can begin."""

    confidence: float
    not_before_s: float


@dataclass(frozen=True, slots=True)
class Seat:
    """A load on one of its options: the start worked out for it alone, its start here, when it is sliced."""

    option: int
    start: Start
    start_s: float
    by_s: float


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A seat for each load, or None; whether every arrangement was looked at, and how many looks it took."""

    seats: tuple[Seat, ...] | None
    options: tuple[Option, ...]
    complete: bool
    tries: int


def slicing_due_s(option: Option) -> float:
    """When slicing begins for a load that is alone."""
    return option.work.serve_s - option.work.leads.slice_s


def seat_of(index: int, option: Option, *, by_s: float, asked: Asked) -> Seat:
    """The seat a load would have alone; a pit cannot be used before it is lit."""
    start = choose_start(
        option.times,
        option.hold,
        by_s=by_s,
        confidence=asked.confidence,
        not_before_s=asked.not_before_s + option.work.leads.soonest_on_s,
    )
    return Seat(index, start, start.start_s, by_s)


def slices_apart(options: Sequence[Option], hands: Hands) -> list[float] | None:
    """When each load is sliced so that hands do for all, in seconds from serving; None where they do not.

    The latest served first, of those served together the quickest to slice last; each as late as it can be.
    """
    order = sorted(
        range(len(options)),
        key=lambda i: (-options[i].work.serve_s, options[i].work.leads.slice_s, i),
    )
    times = [0.0] * len(options)
    for index in order:
        due, length = slicing_due_s(options[index]), options[index].work.leads.slice_s
        at_s = hands.latest_free(due + length, length)
        if due - at_s > SLICE_EARLY_AT_MOST_S:
            return None
        hands.take(at_s, at_s + length)
        times[index] = at_s
    return times


def arrange(
    loads: Sequence[Load], places: dict[str, Place], *, cooks: int, asked: Asked, tries: int
) -> Arrangement:
    """The least change of pits and starts under which hands and room do for all loads."""
    first = tuple(load[0] for load in loads)
    hands = Hands(cooks)
    sliced = slices_apart(first, hands)
    if sliced is None:
        return Arrangement(None, first, complete=True, tries=0)
    room = Room(places)
    ways = [Ways(load, room, by_s=sliced[i], asked=asked) for i, load in enumerate(loads)]
    room.reach(ways)
    if overfull(ways, room):
        return Arrangement(None, first, complete=True, tries=0)
    found = least_change(
        Problem(
            loads=tuple(ways),
            milligrams=room.milligrams,
            area_mm2=room.area_mm2,
            slots=room.slots,
            busy=hands.busy,
            twins=twins_of(first, sliced),
        ),
        tries,
    )
    if found.chosen is None:
        return Arrangement(None, first, found.complete, found.tries)
    seats = tuple(way.seat(chosen) for way, chosen in zip(ways, found.chosen, strict=True))
    options = tuple(load[seat.option] for load, seat in zip(loads, seats, strict=True))
    return Arrangement(seats, options, found.complete, found.tries)


def overfull(ways: Sequence["Ways"], room: "Room") -> bool:
    """Whether some place is asked for too much at a time when loads must be in it, come what may."""
    shape = (len(room.places), room.slots)
    milligrams, area = np.zeros(shape, dtype=np.int64), np.zeros(shape, dtype=np.int64)
    for way in ways:
        for use in way.unavoidable():
            milligrams[use.place, use.first : use.past] += use.milligrams
            area[use.place, use.first : use.past] += use.area_mm2
    limits = np.array(room.milligrams), np.array(room.area_mm2)
    return bool((milligrams > limits[0][:, None]).any() or (area > limits[1][:, None]).any())


@dataclass(frozen=True, slots=True)
class Shape:
    """What an option takes, worked out once for all its starts; seconds and slots from on."""

    option: Option
    hands: int
    stays: tuple[Stay, ...]
    ready_s: float


def shape_of(option: Option, places: dict[str, Place]) -> Shape:
    """The shape of an option."""
    masks = (mask_of(at_s, at_s + hands_s) for at_s, hands_s in hands_of(option))
    ready_s = on_grid_down(option.times.ready_window_s[0])
    return Shape(option, reduce(or_, masks, 0), pit_stays(option, places), ready_s)


def window_of(start: Start, *, not_before_s: float) -> tuple[float, float]:
    """The first and last start that may be taken: between the two limits where there is room between them."""
    if start.fit is Fit.BOTH:
        first, last = start.earliest_s, start.latest_s
    elif start.fit is Fit.TRADE:
        first, last = start.start_s - SLACK_WITHOUT_WINDOW_S, start.start_s
    else:
        first, last = start.start_s, start.start_s + SLACK_WITHOUT_WINDOW_S
    if math.isfinite(not_before_s):
        first = max(first, -on_grid_down(-not_before_s))
    return min(first, start.start_s), max(last, start.start_s)


class Ways(Sequence[Candidate]):
    """Every start of every option of a load, the least change first; candidates are made when asked for."""

    def __init__(self, load: Load, room: "Room", *, by_s: float, asked: Asked) -> None:
        self.room = room
        self.by_s = by_s
        self.shapes = [shape_of(option, room.places) for option in load]
        self.starts = [seat_of(i, option, by_s=by_s, asked=asked).start for i, option in enumerate(load)]
        self.windows: list[tuple[float, float]] = []
        order: list[tuple[int, int, int]] = []
        for index, (option, start) in enumerate(zip(load, self.starts, strict=True)):
            first, last = window_of(start, not_before_s=asked.not_before_s + option.work.leads.soonest_on_s)
            self.windows.append((first, last))
            # Changes are counted from the load alone, which may be sliced later than it can be here.
            alone = seat_of(index, option, by_s=slicing_due_s(option), asked=asked).start_s
            for slot in range(round(first / GRID_S), round(last / GRID_S) + 1):
                moved = abs(slot - round(alone / GRID_S))
                order.append((moved + (PIT_MOVE if index else 0), index, slot))
        self.order = sorted(order)
        self.made: list[Candidate] = []

    def __len__(self) -> int:
        return len(self.order)

    @overload
    def __getitem__(self, number: int) -> Candidate: ...
    @overload
    def __getitem__(self, number: slice) -> Sequence[Candidate]: ...
    def __getitem__(self, number: int | slice) -> Candidate | Sequence[Candidate]:
        if isinstance(number, slice):
            return [self[each] for each in range(*number.indices(len(self)))]
        if not 0 <= number < len(self):
            raise IndexError(number)
        while len(self.made) <= number:
            cost, index, slot = self.order[len(self.made)]
            start_s = slot * float(GRID_S)
            self.made.append(self.room.candidate(self.shapes[index], index, cost, start_s, self.by_s))
        return self.made[number]

    def unavoidable(self) -> list[Use]:
        """The stays that every start of every option has in common."""
        ends = [
            {use.place: use for use in self.room.candidate(shape, index, 0, start_s, self.by_s).uses}
            for index, (shape, window) in enumerate(zip(self.shapes, self.windows, strict=True))
            for start_s in window
        ]
        common = set.intersection(*(set(uses) for uses in ends))
        stays = []
        for place in sorted(common):
            uses = [each[place] for each in ends]
            first, past = max(use.first for use in uses), min(use.past for use in uses)
            if first < past:
                stays.append(
                    Use(
                        place,
                        first,
                        past,
                        min(use.milligrams for use in uses),
                        min(use.area_mm2 for use in uses),
                    )
                )
        return stays

    def seat(self, chosen: Candidate) -> Seat:
        """The seat of a candidate."""
        return Seat(chosen.option, self.starts[chosen.option], chosen.slot * float(GRID_S), self.by_s)


class Room:
    """Places by number; candidates in slots counted from the earliest start of any load."""

    def __init__(self, places: dict[str, Place]) -> None:
        self.places = places
        self.numbers = {name: number for number, name in enumerate(places)}
        self.milligrams = tuple(limit_of(place.load_kg) for place in places.values())
        self.area_mm2 = tuple(limit_of(place.area_m2) for place in places.values())
        self.origin_s = 0.0
        self.slots = 0

    def reach(self, ways: Sequence[Ways]) -> None:
        """Take in all starts of all loads, to the end of the last stay."""
        self.origin_s = min(first for way in ways for first, _ in way.windows)
        ends = [
            max(way.by_s, last + max((stay.to_s for stay in shape.stays), default=0.0))
            for way in ways
            for shape, (_, last) in zip(way.shapes, way.windows, strict=True)
        ]
        self.slots = math.ceil((max(ends) - self.origin_s) / GRID_S) + 1

    def candidate(self, shape: Shape, option: int, cost: int, start_s: float, by_s: float) -> Candidate:
        """One start of one option as the search sees it."""
        slots = round(-start_s / GRID_S)
        hands = shape.hands >> slots if slots >= 0 else shape.hands << -slots
        late_s = on_grid_up(start_s + shape.option.times.ready_window_s[1])
        if late_s > by_s:
            # What is not ready when it should be is sliced when it is.
            hands |= mask_of(late_s, late_s + shape.option.work.leads.slice_s)
        uses = tuple(self.use(stay, start_s) for stay in shape.stays)
        if shape.option.holder and start_s + shape.ready_s < by_s:
            kg = shape.option.held_kg * shape.option.work.pieces
            held = Stay(shape.option.holder, shape.ready_s, by_s - start_s, kg, 0.0)
            uses = (*uses, self.use(held, start_s))
        return Candidate(option, -slots, cost, hands, uses)

    def use(self, stay: Stay, start_s: float) -> Use:
        """A stay of a load that goes on at `start_s`, in slots."""
        return Use(
            place=self.numbers[stay.place],
            first=math.floor((start_s + stay.from_s - self.origin_s) / GRID_S + 1e-6),
            past=math.ceil((start_s + stay.to_s - self.origin_s) / GRID_S - 1e-6),
            milligrams=asked_of(stay.kg),
            area_mm2=asked_of(stay.area_m2),
        )


def limit_of(amount: float) -> int:
    """A limit in kg or m² as whole milligrams or square millimetres, rounded down but for a hair."""
    return math.floor(amount * 1e6 + HAIR) if math.isfinite(amount) else NO_LIMIT


def asked_of(amount: float) -> int:
    """What is asked for, rounded up but for a hair."""
    return math.ceil(amount * 1e6 - HAIR)


def twins_of(options: Sequence[Option], sliced: Sequence[float]) -> tuple[int | None, ...]:
    """For each load the last one before it that is exactly alike, slicing time apart not more than it."""
    twins: list[int | None] = []
    for index, option in enumerate(options):
        alike = (
            other
            for other in range(index - 1, -1, -1)
            if options[other].times is option.times
            and options[other].work.pieces == option.work.pieces
            and options[other].pit == option.pit
            and options[other].holder == option.holder
            and sliced[other] == sliced[index]
        )
        twins.append(next(alike, None))
    return tuple(twins)
