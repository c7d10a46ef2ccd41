"""The kinds of rule an authority can set, as frozen data: cooking, hot holding, cooling, reheating.

Only the shapes live here; `profiles` fills them with each authority's figures and the rooms named after the
rules measure courses against them. Temperatures in °C, times in seconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from slowfolio.safety.piece import Form, Integrity, Piece, Species
from slowfolio.safety.standing import Citation


class PieceClass(StrEnum):
    """How cooking rules sort pieces."""

    ROAST = "whole-meat roast"
    INTACT = "intact cut"
    OPENED = "injected, tenderised, rolled or stuffed cut"
    GROUND = "ground meat"
    POULTRY = "poultry"
    GAME = "game"


def piece_class(piece: Piece) -> PieceClass:
    """Return the class of a piece; a whole roast stays one when injected (Food Code 3-401.11(B), READ)."""
    if piece.is_poultry:
        return PieceClass.POULTRY
    if piece.species is Species.VENISON:
        return PieceClass.GAME
    if piece.integrity is Integrity.GROUND:
        return PieceClass.GROUND
    if piece.form is Form.ROAST:
        return PieceClass.ROAST
    return PieceClass.INTACT if piece.integrity is Integrity.INTACT else PieceClass.OPENED


@dataclass(frozen=True, slots=True)
class EndPoint:
    """All parts at `temp_c` or above, without a break, for `hold_s`."""

    temp_c: float
    hold_s: float


@dataclass(frozen=True, slots=True)
class EndPoints:
    """Any one of these end points will do."""

    options: tuple[EndPoint, ...]


@dataclass(frozen=True, slots=True)
class RoastChart:
    """The chart of temperatures and times for whole-meat roasts, 6.5-log."""


@dataclass(frozen=True, slots=True)
class ReferenceProcess:
    """The equivalent of 70 °C for 2 min at the coldest point, or its multiple."""


CookingStandard = EndPoints | RoastChart | ReferenceProcess


@dataclass(frozen=True, slots=True)
class CookingRule:
    """What one authority asks of the cook for one class of piece."""

    standard: CookingStandard
    binding: bool
    citation: Citation


@dataclass(frozen=True, slots=True)
class Allowance:
    """Time below the hot-hold floor that an authority tolerates, and what it asks in return.

    `in_warm_air_s` replaces `at_most_s` where the room is above `warm_air_c`; `once` allows one such time.
    """

    at_most_s: float
    once: bool
    condition: str
    citation: Citation
    in_warm_air_s: float | None = None
    warm_air_c: float = 32.0


@dataclass(frozen=True, slots=True)
class CoolingLimit:
    """From the moment the centre falls to `from_c`, it must be at `to_c` within `at_most_s`."""

    from_c: float
    to_c: float
    at_most_s: float


class Binding(StrEnum):
    """Whether a figure is the authority's own rule or a yardstick beside a rule without a figure."""

    RULE = "rule"
    ADVICE = "advice"


@dataclass(frozen=True, slots=True)
class CoolingRule:
    """The steps of a cooling rule, all to be met. `into_cold_within_s`: time out before chilling starts."""

    limits: tuple[CoolingLimit, ...]
    binding: Binding
    citation: Citation
    into_cold_within_s: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReheatRule:
    """What reheating for service must reach. `temp_c` None asks for the reference process of 70 °C for 2 min.

    `within_s` is the longest way from the cold-hold limit to the target. `roast_chart` cites the exception
    that lets unsliced roasts be reheated by the roast chart instead.
    """

    temp_c: float | None
    hold_s: float
    within_s: float | None
    citation: Citation
    note: str = ""
    roast_chart: Citation | None = None
