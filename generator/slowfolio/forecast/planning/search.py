"""The least change that lets several loads share pits, holders and hands: an exact search with an end.

Works on numbered slots of five minutes: hands are bits, room is milligrams and square millimetres. Depth
first, the most hindered load first, cut off by a bound; after `TRIES` looks it stops and says that it did.
Knows nothing of meat. Called by `service`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

TRIES = 60_000
"""Looks at one candidate before the search gives up. CALIBRATED: well under a second."""

PIT_MOVE = 1_000_000
"""Cost of another pit, above any sum of shifts: the fewest moves first, then the fewest minutes."""


@dataclass(frozen=True, slots=True)
class Use:
    """Room taken in a place from slot `first` up to `past`."""

    place: int
    first: int
    past: int
    milligrams: int
    area_mm2: int


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to run a load: option, start slot, what it costs, whose hands and which room it takes."""

    option: int
    slot: int
    cost: int
    hands: int
    uses: tuple[Use, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """Loads with their candidates, cheapest first; limits of each place; slots where hands are taken.

    `twins[i]` is an earlier load exactly like load i, which then goes on no later; None where there is none.
    `busy` has a mask for each cook: bit s of `busy[k]` is set where more than k hands are taken in slot s.
    """

    loads: tuple[Sequence[Candidate], ...]
    milligrams: tuple[int, ...]
    area_mm2: tuple[int, ...]
    slots: int
    busy: tuple[int, ...]
    twins: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """The cheapest choice found, one candidate for each load, or None; whether the search was complete."""

    chosen: tuple[Candidate, ...] | None
    complete: bool
    tries: int


def least_change(problem: Problem, tries: int = TRIES) -> Found:
    """The choice of least cost; ties fall to the candidate that comes first. Always the same answer."""
    search = _Search(problem, tries)
    search.descend(0, problem.busy)
    return Found(search.best, search.tries < tries, search.tries)


def taken(busy: tuple[int, ...], hands: int) -> tuple[int, ...]:
    """The masks of `busy` with one more pair of hands taken where `hands` has bits."""
    after: list[int] = []
    for mask in busy:
        after.append(mask | hands)
        hands &= mask
    return tuple(after)


class _Search:
    def __init__(self, problem: Problem, limit: int) -> None:
        self.problem = problem
        self.limit = limit
        self.tries = 0
        self.best: tuple[Candidate, ...] | None = None
        self.best_cost = 0
        self.assigned: dict[int, Candidate] = {}
        shape = (len(problem.milligrams), problem.slots)
        self.milligrams: NDArray[np.int64] = np.zeros(shape, dtype=np.int64)
        self.area: NDArray[np.int64] = np.zeros(shape, dtype=np.int64)

    def descend(self, cost: int, busy: tuple[int, ...]) -> None:
        """Assign one more load in every way that may still be better than the best."""
        if len(self.assigned) == len(self.problem.loads):
            self.best = tuple(self.assigned[load] for load in range(len(self.problem.loads)))
            self.best_cost = cost
            return
        firsts: dict[int, Candidate] = {}
        for load in range(len(self.problem.loads)):
            if load not in self.assigned:
                first = next((c for c in self.problem.loads[load] if self.fits(load, c, busy)), None)
                if first is None:
                    return
                firsts[load] = first
        least = sum(candidate.cost for candidate in firsts.values())
        if self.worse(cost + least):
            return
        load = max(firsts, key=lambda index: (firsts[index].cost, -index))
        others = least - firsts[load].cost
        for candidate in self.problem.loads[load]:
            if self.tries >= self.limit or self.worse(cost + others + candidate.cost):
                return
            if self.fits(load, candidate, busy):
                self.put(load, candidate)
                self.descend(cost + candidate.cost, taken(busy, candidate.hands))
                self.take_back(load)

    def worse(self, bound: int) -> bool:
        """Whether nothing below this bound can beat the best."""
        return self.best is not None and bound >= self.best_cost

    def fits(self, load: int, candidate: Candidate, busy: tuple[int, ...]) -> bool:
        """Whether hands and room are free for a candidate beside what is assigned."""
        if self.tries >= self.limit:
            return False
        self.tries += 1
        if busy[-1] & candidate.hands or not self.in_order(load, candidate):
            return False
        return all(self.has_room(use) for use in candidate.uses)

    def in_order(self, load: int, candidate: Candidate) -> bool:
        """Loads that are exactly alike go on in their order, which spares their permutations."""
        for other, twin in enumerate(self.problem.twins):
            if twin is None or load not in (other, twin):
                continue
            peer = self.assigned.get(twin if load == other else other)
            if peer is None or peer.option != candidate.option:
                continue
            first, second = (peer, candidate) if load == other else (candidate, peer)
            if first.slot > second.slot:
                return False
        return True

    def has_room(self, use: Use) -> bool:
        """Whether the place takes the load all the while."""
        if use.first >= use.past:
            return True
        span = slice(use.first, use.past)
        milligrams, area = self.milligrams[use.place, span], self.area[use.place, span]
        return bool(
            int(milligrams.max()) + use.milligrams <= self.problem.milligrams[use.place]
            and int(area.max()) + use.area_mm2 <= self.problem.area_mm2[use.place]
        )

    def put(self, load: int, candidate: Candidate) -> None:
        """Assign a load."""
        self.assigned[load] = candidate
        self.fill(candidate, 1)

    def take_back(self, load: int) -> None:
        """Undo `put`."""
        self.fill(self.assigned.pop(load), -1)

    def fill(self, candidate: Candidate, sign: int) -> None:
        """Add or take away the room of a candidate."""
        for use in candidate.uses:
            self.milligrams[use.place, use.first : use.past] += sign * use.milligrams
            self.area[use.place, use.first : use.past] += sign * use.area_mm2
