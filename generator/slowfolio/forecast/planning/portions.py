"""Guests to portions to cooked weight to raw weight to whole pieces, and back: what so many pieces feed.

Works on the simulated cooks' cooked weight over raw weight, so the spread of the yield is in every figure.
Called by `assemble`.
"""

import math
from dataclasses import dataclass

import numpy as np

from slowfolio.forecast.planning.errors import PlanInputError
from slowfolio.forecast.planning.times import Array

PORTION_KG = 0.170
"""6 oz of cooked, boneless meat a head: the middle of the 4 to 8 oz that trade plans use (MEMORY)."""

LEAST_PORTION_KG, MOST_PORTION_KG = 0.02, 2.0
MOST_GUESTS, MOST_PIECES = 5_000, 200

BOARD_LOSS = 0.05
"""Ends, crumbs and fat left on the board, of the cooked meat without bone. CALIBRATED: with the trim loss and
the yield of a packer it brings the purchased weight to what the USDA Food Buying Guide gives for boneless
brisket, 46 % (MEMORY)."""

SURE_SHARE = 0.10
"""Pieces are counted with the yield that nine cooks in ten reach (P10)."""


@dataclass(frozen=True, slots=True)
class PieceYield:
    """One piece: bought and trimmed weight, and cooked over trimmed weight when it is sliced, shape (M,).

    `bone` and `trim` are fractions of the trimmed and of the bought piece.
    """

    piece_kg: float
    bone: float
    trim: float
    cooked: Array

    @property
    def bought_kg(self) -> float:
        """The weight to ask the butcher for."""
        return self.piece_kg / (1.0 - self.trim)

    @property
    def served_kg(self) -> Array:
        """What comes off the board from one piece, without bone, shape (M,)."""
        return np.asarray(self.piece_kg * served_share(self.cooked, self.bone), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Portions:
    """What the pieces of a dish feed, with its spread; `guests` is None where nobody was counted.

    `chance` is the share of the simulated cooks in which every guest gets a portion. `feeds` counts the
    portions that nine cooks in ten give.
    """

    guests: int | None
    portion_kg: float
    pieces: int
    piece_kg: float
    bought_piece_kg: float
    served_p10_kg: float
    served_p50_kg: float
    served_p90_kg: float
    chance: float | None
    feeds: int
    lightest_piece_kg: float | None

    @property
    def bought_kg(self) -> float:
        """Weight of all pieces as bought."""
        return self.pieces * self.bought_piece_kg


def served_share(cooked: Array, bone: float) -> Array:
    """Boneless meat off the board over the trimmed raw weight; the bone loses no weight in the cook."""
    return np.asarray(np.maximum(cooked - bone, 0.0) * (1.0 - BOARD_LOSS), dtype=np.float64)


def pieces_for(guests: int, portion_kg: float, piece: PieceYield) -> int:
    """The fewest whole pieces that give every guest a portion in nine cooks of ten."""
    sure_kg = float(np.percentile(piece.served_kg, 100 * SURE_SHARE))
    if sure_kg <= 1e-6:
        raise PlanInputError("this piece gives nothing to serve: check its weight and its bone")
    pieces = max(1, math.ceil(guests * portion_kg / sure_kg - 1e-9))
    if pieces > MOST_PIECES:
        raise PlanInputError(
            f"{guests} guests take {pieces} pieces; more than {MOST_PIECES} are not planned at once"
        )
    return pieces


def portions_of(piece: PieceYield, *, pieces: int, guests: int | None, portion_kg: float) -> Portions:
    """What `pieces` pieces feed. All are taken to turn out alike, which is the cautious reading."""
    served = pieces * piece.served_kg
    low, middle, high = (float(value) for value in np.percentile(served, [10.0, 50.0, 90.0]))
    chance = lightest = None
    if guests is not None:
        chance = float(np.mean(served >= guests * portion_kg - 1e-9))
        lightest = piece.piece_kg * guests * portion_kg / low if low > 0 else None
    return Portions(
        guests=guests,
        portion_kg=portion_kg,
        pieces=pieces,
        piece_kg=piece.piece_kg,
        bought_piece_kg=piece.bought_kg,
        served_p10_kg=low,
        served_p50_kg=middle,
        served_p90_kg=high,
        chance=chance,
        feeds=math.floor(low / portion_kg + 1e-9),
        lightest_piece_kg=lightest,
    )
