"""Who gets which piece from which place: the plan for the person who carves.

Every piece one taster compares comes from the same part and the same distance from the same end, so that a
slice from the middle never meets an end cut. Called by `plan`'s users with the servings it laid out.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slowfolio.tasting.errors import TastingInputError, require_count, require_inside, require_range
from slowfolio.tasting.lots import Lots


@dataclass(frozen=True, slots=True)
class Piece:
    """One product's cooked part to carve from.

    Distances run along the part from the end named in `end`; `discard_m` is left at either end.
    `across` is how many tasting pieces one slice gives.
    """

    product: str
    part: str
    end: str
    length_m: float
    discard_m: float
    slice_thickness_m: float
    across: int


@dataclass(frozen=True, slots=True)
class Serving:
    """One piece of meat on one taster's plate, in serving order from 1."""

    taster: int
    place: int
    product: str
    code: str


@dataclass(frozen=True, slots=True)
class Cut:
    """Where one serving comes from: slice and piece number from 1, distance of the slice's middle from the
    end."""

    serving: Serving
    part: str
    end: str
    slice_number: int
    piece_number: int
    distance_m: float


@dataclass(frozen=True, slots=True)
class CarvingPlan:
    """All cuts in carving order, and how many whole slices of each product stay over as reserve."""

    cuts: tuple[Cut, ...]
    slices: int
    reserve: int


def slices_of(piece: Piece) -> int:
    """Return how many whole slices a part gives between its discarded ends."""
    require_inside(f"the length of {piece.product}", piece.length_m, high=2.0)
    require_range(f"the discarded end of {piece.product}", piece.discard_m, low=0.0, high=1.0)
    require_inside(f"the slice of {piece.product}", piece.slice_thickness_m, high=0.2)
    require_count(f"pieces across a slice of {piece.product}", piece.across, low=1, high=50)
    return max(math.floor((piece.length_m - 2 * piece.discard_m) / piece.slice_thickness_m + 1e-9), 0)


def carving_plan(servings: Sequence[Serving], pieces: Sequence[Piece], lots: Lots) -> CarvingPlan:
    """Return which slice every serving comes from.

    Slices are numbered alike in all products. A taster's whole set comes from one slice number; tasters are
    put on slices by lot. Raises TastingInputError when the parts are unlike, or give too few pieces, saying
    how many tasters they can serve.
    """
    parts = _checked(servings, pieces)
    sets: dict[int, list[Serving]] = defaultdict(list)
    for serving in servings:
        sets[serving.taster].append(serving)
    room = min(slices_of(piece) for piece in pieces)
    across = min(piece.across for piece in pieces)
    largest = max(max(Counter(one.product for one in own).values()) for own in sets.values())
    if largest > across:
        raise TastingInputError(
            f"a taster gets {largest} pieces of one product but a slice gives {across}: carve smaller pieces"
        )
    used: list[Counter[str]] = []
    cuts: list[Cut] = []
    for taster in lots.shuffled(sorted(sets)):
        own = sorted(sets[taster], key=lambda serving: serving.place)
        need = Counter(one.product for one in own)
        number = _first_with_room(used, need, parts)
        if number == room:
            served = len({cut.serving.taster for cut in cuts})
            raise TastingInputError(
                f"the shortest part gives {room} slices, enough for {served} of {len(sets)} tasters: carve "
                "thinner slices or smaller pieces, or ask fewer tasters"
            )
        if number == len(used):
            used.append(Counter())
        for serving in own:
            used[number][serving.product] += 1
            piece = parts[serving.product]
            distance = piece.discard_m + (number + 0.5) * piece.slice_thickness_m
            cuts.append(
                Cut(serving, piece.part, piece.end, number + 1, used[number][serving.product], distance)
            )
    cuts.sort(key=lambda cut: (cut.serving.product, cut.slice_number, cut.piece_number))
    return CarvingPlan(tuple(cuts), len(used), room - len(used))


def _first_with_room(used: Sequence[Counter[str]], need: Counter[str], parts: Mapping[str, Piece]) -> int:
    for number, taken in enumerate(used):
        if all(taken[product] + count <= parts[product].across for product, count in need.items()):
            return number
    return len(used)


def _checked(servings: Sequence[Serving], pieces: Sequence[Piece]) -> dict[str, Piece]:
    if not servings:
        raise TastingInputError("there is nothing to carve: lay out the tasting first")
    parts = {piece.product: piece for piece in pieces}
    if len(parts) < len(pieces):
        raise TastingInputError("a product has two pieces to carve from: give one part of each product")
    missing = sorted({serving.product for serving in servings} - parts.keys())
    if missing:
        raise TastingInputError(f"there is no piece of {', '.join(missing)} to carve from: give its length")
    for name, values in (
        ("parts", {piece.part for piece in pieces}),
        ("ends", {piece.end for piece in pieces}),
        ("slice thicknesses", {piece.slice_thickness_m for piece in pieces}),
        ("discarded ends", {piece.discard_m for piece in pieces}),
    ):
        if len(values) > 1:
            told = " and ".join(str(value) for value in sorted(values, key=str))
            raise TastingInputError(
                f"the products have different {name} ({told}): compare like with like, the same place of both"
            )
    return parts
