"""How the book's cuts cool whole, halved and sliced, held against the authority's steps, and what meets them.

Exact conduction of `safety.chilling` at each cut's typical size; the rules and their words are those of
`safety.cooling`. Made for the safety page.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from slowfolio.book.model import Cut
from slowfolio.safety.chilling import MEDIA, Brick, Medium, cool_down, halved, sliced, whole
from slowfolio.safety.cooling import cooling_time_s, ways_to_meet
from slowfolio.safety.rules import CoolingRule
from slowfolio.safety.verdict import Level, Unit, duration_text, level_of, share_of, spread, value_text
from slowfolio.site.shown import Both, both

START_C = 65.0
"""All through, as it comes out of a warm hold (CALIBRATED: the middle of the cards' holds)."""

SLICE_M = 0.01
LEVEL_WORDS = {Level.GREEN: "met", Level.AMBER: "met in most", Level.RED: "not met"}


@dataclass(frozen=True, slots=True)
class CoolingCell:
    """One way of cooling: whether the steps are met, and how long each takes against its limit."""

    level: str
    met: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CoolingRow:
    """One way of cutting, in every medium."""

    name: str
    cells: tuple[CoolingCell, ...]


@dataclass(frozen=True, slots=True)
class CutCooling:
    """One cut: its size, every way of cooling it, and what would meet the steps."""

    title: str
    size: Both
    rows: tuple[CoolingRow, ...]
    ways: tuple[str, ...]
    whole_meets: bool


@dataclass(frozen=True, slots=True)
class CoolingOutlook:
    """All cuts in all media, and in one sentence what that means."""

    media: tuple[tuple[str, str, str], ...]
    cuts: tuple[CutCooling, ...]
    finding: str
    start: Both


def cooling_outlook(cuts: Iterable[Cut], rule: CoolingRule) -> CoolingOutlook:
    """The outlook for cuts against a rule's steps, in the order given."""
    made = tuple(cut_cooling(cut, rule) for cut in cuts)
    count = sum(cut.whole_meets for cut in made)
    return CoolingOutlook(
        media=tuple((one.name, _temperature(one), one.note) for one in MEDIA),
        cuts=made,
        finding=_finding(count, len(made)),
        start=both("temperature", START_C),
    )


def _finding(count: int, cuts: int) -> str:
    if cuts == 0:
        return "This book has no cut yet."
    if count == 0:
        subject = (
            "the cut of this book misses"
            if cuts == 1
            else f"every one of the {cuts} cuts of this book misses"
        )
        return f"Left whole in a refrigerator, {subject} the steps: slice it, or use something colder."
    return f"Left whole in a refrigerator, {count} of the {cuts} cuts of this book meet the steps."


def _temperature(medium: Medium) -> str:
    return f"{medium.temp_c:g} °C ({medium.temp_c * 1.8 + 32:.0f} °F)".replace("-", "−")


def cut_cooling(cut: Cut, rule: CoolingRule) -> CutCooling:
    """One cut at its typical weight."""
    thickest = max(region.thickness_m for region in cut.regions)
    sides = (cut.length_m.value, cut.width_m.value, thickest)
    rows, ways = _by_size(sides, rule)
    sizes = [both("length", side) for side in sides]
    weight = both("mass", cut.typical_weight_kg)
    return CutCooling(
        title=cut.title,
        size=Both(
            f"{weight.us}, {' × '.join(size.us for size in sizes)}",
            f"{weight.metric}, {' × '.join(size.metric for size in sizes)}",
        ),
        rows=rows,
        ways=ways,
        whole_meets=rows[0].cells[0].level == Level.GREEN.value,
    )


@lru_cache(maxsize=256)
def _by_size(
    sides_m: tuple[float, float, float], rule: CoolingRule
) -> tuple[tuple[CoolingRow, ...], tuple[str, ...]]:
    """The rows and the ways of one size: a book served for editing asks again and again."""
    brick = whole(length_m=sides_m[0], width_m=sides_m[1], thickness_m=sides_m[2])
    cuttings = (brick, halved(brick), sliced(brick, SLICE_M))
    rows = tuple(
        CoolingRow(cutting.name, tuple(_cell(rule, cutting, medium) for medium in MEDIA))
        for cutting in cuttings
    )
    return rows, tuple(way.text for way in ways_to_meet(rule, brick, start_c=START_C))


def _cell(rule: CoolingRule, cutting: Brick, medium: Medium) -> CoolingCell:
    course = cool_down(cutting, medium, start_c=START_C)
    times = [cooling_time_s(limit, course.time_s, course.centre_c) for limit in rule.limits]
    met = np.all([time <= limit.at_most_s for time, limit in zip(times, rule.limits, strict=True)], axis=0)
    level = level_of(share_of(met))
    steps = tuple(
        f"{value_text(spread(time)[1], Unit.SECONDS)} of {duration_text(limit.at_most_s)}"
        for time, limit in zip(times, rule.limits, strict=True)
    )
    return CoolingCell(level.value, LEVEL_WORDS[level], steps)
