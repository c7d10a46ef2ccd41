"""How long the work around the cook takes: thawing, trimming, rubbing, lighting, wrapping, slicing.

Constants and the sums made of them, nothing else. Every figure is common practice with no source, a choice of
ours (CALIBRATED), unless it says otherwise; the thawing rate is the one an authority gives.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from slowfolio.units import Range

MINUTE_S, HOUR_S, DAY_S = 60.0, 3600.0, 86_400.0
LB_KG = 0.45359237

THAW_S_PER_KG = Range(DAY_S / (5 * LB_KG), DAY_S / (4 * LB_KG))
"""USDA, The Big Thaw: 24 h in a refrigerator for each 4 to 5 lb (MEMORY; `handling_cautions.csv`)."""

LARGE_PIECE_KG = 3.0
"""From here a piece takes as long to trim and to slice as a brisket, below it as a rack or a breast."""

TRIM_LARGE_S, TRIM_SMALL_S = Range(20 * MINUTE_S, 30 * MINUTE_S), Range(10 * MINUTE_S, 15 * MINUTE_S)
RUB_S = Range(5 * MINUTE_S, 10 * MINUTE_S)
RUB_RESTS_S = Range(45 * MINUTE_S, 60 * MINUTE_S)
"""Until the rub looks wet and no longer falls off."""

SLICE_LARGE_S, SLICE_SMALL_S = Range(15 * MINUTE_S, 25 * MINUTE_S), Range(10 * MINUTE_S, 15 * MINUTE_S)
"""The first piece; those after it are sliced to order, as sliced meat dries in a quarter of an hour."""

LIGHT_S: Mapping[str, Range] = MappingProxyType(
    {
        "offset": Range(60 * MINUTE_S, 90 * MINUTE_S),
        "vertical water": Range(30 * MINUTE_S, 45 * MINUTE_S),
        "kettle or drum": Range(30 * MINUTE_S, 45 * MINUTE_S),
        "ceramic": Range(45 * MINUTE_S, 60 * MINUTE_S),
        "pellet": Range(15 * MINUTE_S, 20 * MINUTE_S),
        "electric cabinet": Range(30 * MINUTE_S, 45 * MINUTE_S),
        "gas cabinet": Range(20 * MINUTE_S, 30 * MINUTE_S),
        "indoor oven": Range(15 * MINUTE_S, 20 * MINUTE_S),
    }
)
"""From the first flame, or the switch, to a pit that stands at its temperature, by kind of pit."""

LIGHT_OTHER_S = Range(45 * MINUTE_S, 60 * MINUTE_S)

LIGHT_HANDS_S = 10 * MINUTE_S
STAGE_HANDS_S = 5 * MINUTE_S
WRAP_HANDS_S, MOVE_HANDS_S = 10 * MINUTE_S, 5 * MINUTE_S
"""Wrapping one piece; putting one piece on, off, or into the hold."""

SLICE_EARLY_AT_MOST_S = 45 * MINUTE_S
"""How much sooner than planned a first piece may be sliced and kept covered in its juice."""

RELIGHT_AFTER_S = 2 * HOUR_S
"""A pit that has stood empty for longer is lit anew."""


class Meat(StrEnum):
    """How the meat comes: ready to trim, or frozen."""

    FRESH = "fresh"
    FROZEN = "frozen"


@dataclass(frozen=True, slots=True)
class Leads:
    """The lead times of one load of pieces, s; ranges run from a quick hand to a slow one.

    `thaw_s` is for a frozen piece in a refrigerator, all pieces at once.
    """

    meat: Meat

    thaw_s: Range
    trim_s: Range
    rub_s: Range
    rub_rests_s: Range
    light_s: Range
    slice_s: float
    on_hands_s: float
    wrap_hands_s: float
    pull_hands_s: float
    hold_hands_s: float

    @property
    def soonest_on_s(self) -> float:
        """How soon a piece can go on: when the pit is hot, or when a frozen piece is thawed and rubbed."""
        if self.meat is Meat.FRESH:
            return self.light_s.low
        raw_s = self.thaw_s.low + self.trim_s.low + self.rub_s.low + self.rub_rests_s.low
        return max(self.light_s.low, raw_s)


def leads_for(*, bought_kg: float, pieces: int, pit_kind: str, meat: Meat = Meat.FRESH) -> Leads:
    """The lead times of `pieces` pieces that weigh `bought_kg` each as bought, on a pit of a kind."""
    large = bought_kg >= LARGE_PIECE_KG
    return Leads(
        meat=meat,
        thaw_s=scaled(THAW_S_PER_KG, bought_kg),
        trim_s=scaled(TRIM_LARGE_S if large else TRIM_SMALL_S, pieces),
        rub_s=scaled(RUB_S, pieces),
        rub_rests_s=RUB_RESTS_S,
        light_s=LIGHT_S.get(pit_kind, LIGHT_OTHER_S),
        slice_s=(SLICE_LARGE_S if large else SLICE_SMALL_S).high,
        on_hands_s=MOVE_HANDS_S * pieces,
        wrap_hands_s=WRAP_HANDS_S * pieces,
        pull_hands_s=MOVE_HANDS_S * pieces,
        hold_hands_s=MOVE_HANDS_S * pieces,
    )


def scaled(span: Range, factor: float) -> Range:
    """Both ends of a range times `factor`."""
    return Range(span.low * factor, span.high * factor)
