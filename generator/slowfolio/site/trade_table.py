"""What the trade expects of each method against what this build computed, misses named as misses.

The trade's ranges lie in trade_ranges.yaml beside this module: common practice, no source. They were written
down before the cooks were computed. `trade.html` lays the page out.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slowfolio.book.model import Book, Method
from slowfolio.enrich.holds import MethodHolds
from slowfolio.enrich.results import MethodResult
from slowfolio.provenance import Figure, Provenance
from slowfolio.site.links import Links, anchor_of, card_uri
from slowfolio.site.shown import Both, Note, Notes, Shown, as_said, both, same, shown, span_of_hours
from slowfolio.units import Dimension, Range, parse_duration_s, parse_fraction, parse_range

TRADE = "trade.md"
RANGES_FILE = Path(__file__).with_name("trade_ranges.yaml")
PRACTICE = "common practice, no source"
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Standing(StrEnum):
    """Whether the computed middle lies inside the trade's range; if not, whether its spread reaches it."""

    INSIDE = "inside"
    TOUCHES = "missed, but the spread reaches it"
    MISSED = "missed"


@dataclass(frozen=True, slots=True)
class TradeRange:
    """What the trade expects of one method. `hold_loss` is None for a method that is not held."""

    cut: str
    pull_s: Range
    yield_fraction: Range
    hold_loss: Range | None


@dataclass(frozen=True, slots=True)
class TradeRow:
    """One figure: the trade's range, the computed figure, where it lies and by how much it misses."""

    name: str
    trade: Both
    computed: Shown
    standing: Standing
    miss: Both


@dataclass(frozen=True, slots=True)
class TradeMethod:
    """One method with its figures."""

    title: str
    href: str
    rows: tuple[TradeRow, ...]


@dataclass(frozen=True, slots=True)
class TradeGroup:
    """The methods of one cut."""

    title: str
    anchor: str
    methods: tuple[TradeMethod, ...]


@dataclass(frozen=True, slots=True)
class TradePage:
    """The whole table, with how many figures lie where and which methods nobody has an expectation of."""

    groups: tuple[TradeGroup, ...]
    counts: tuple[tuple[Standing, int], ...]
    total: int
    unknown: tuple[str, ...]
    numbers: str
    notes: tuple[Note, ...]


@cache
def trade_ranges() -> Mapping[str, TradeRange]:
    """The trade's ranges by method id."""
    table: Mapping[str, Mapping[str, Any]] = yaml.load(RANGES_FILE.read_text("utf-8"), Loader=_LOADER)
    return {name: _range(row) for name, row in table.items()}


def trade_page(
    book: Book, results: Mapping[str, MethodResult], holds: Mapping[str, MethodHolds], links: Links
) -> TradePage:
    """Every computed method of the book that the trade has an expectation of, by cut.

    An expectation is of a method of that name on that cut; a book that calls something else so has none.
    """
    notes, ranges = Notes(), trade_ranges()
    groups: dict[str, list[TradeMethod]] = {cut: [] for cut in book.cuts}
    unknown: list[str] = []
    for method in sorted(book.methods.values(), key=lambda one: one.title.casefold()):
        if (result := results.get(method.id)) is None:
            continue
        expected = ranges.get(method.id)
        if expected is None or expected.cut != method.cut:
            unknown.append(method.title)
            continue
        rows = _rows(method, expected, result, holds.get(method.id), notes)
        href = links.href(TRADE, card_uri("methods", method.id))
        groups[method.cut].append(TradeMethod(method.title, href, rows))
    filled = tuple(
        TradeGroup(book.cuts[cut].title, anchor_of(cut), tuple(methods))
        for cut, methods in groups.items()
        if methods
    )
    standings = [row.standing for group in filled for one in group.methods for row in one.rows]
    return TradePage(
        groups=filled,
        counts=tuple((standing, standings.count(standing)) for standing in Standing),
        total=len(standings),
        unknown=tuple(unknown),
        numbers=links.href(TRADE, "numbers.md"),
        notes=notes.listed(),
    )


def standing_of(figure: Figure, expected: Range) -> Standing:
    """Where a computed figure lies against the trade's range."""
    if figure.value in expected:
        return Standing.INSIDE
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    return Standing.TOUCHES if low <= expected.high and high >= expected.low else Standing.MISSED


def loss_in_hold(method: Method, holds: MethodHolds | None) -> Figure | None:
    """The weight lost in the card's own holder over the card's own time, of what went in."""
    if method.hold is None or holds is None:
        return None
    for advice in holds.advice:
        if advice.holder == method.hold.holder and advice.possible and advice.loss is not None:
            low, mid, high = advice.loss
            source = f"cook engine {holds.table.engine}, {holds.table.members} cooks held"
            return Figure(mid, Dimension.FRACTION, Provenance.COMPUTED, low, high, source)
    return None


def _rows(
    method: Method, expected: TradeRange, result: MethodResult, holds: MethodHolds | None, notes: Notes
) -> tuple[TradeRow, ...]:
    loss = loss_in_hold(method, holds)
    rows = [
        _row("Start to pull", as_said(result.pull), expected.pull_s, notes),
        _row("Yield", result.yield_fraction, expected.yield_fraction, notes),
    ]
    if loss is not None and expected.hold_loss is not None:
        rows.append(_row("Lost in the hold", loss, expected.hold_loss, notes))
    return tuple(rows)


def _row(name: str, figure: Figure, expected: Range, notes: Notes) -> TradeRow:
    timed = figure.dimension == Dimension.DURATION
    notes.tag(Provenance.PRACTICE, PRACTICE)
    return TradeRow(
        name=name,
        trade=same(span_of_hours(expected)) if timed else both(figure.dimension, expected),
        computed=shown(figure, notes),
        standing=standing_of(figure, expected),
        miss=_miss(figure, expected),
    )


def _miss(figure: Figure, expected: Range) -> Both:
    """By how much the middle lies outside, and on which side; empty inside."""
    if figure.value in expected:
        return same("")
    short = figure.value < expected.low
    distance = expected.low - figure.value if short else figure.value - expected.high
    if figure.dimension == Dimension.DURATION:
        return same(f"{both(figure.dimension, distance).us} {'sooner' if short else 'later'}")
    return same(f"{100.0 * distance:.1f} points {'less' if short else 'more'}")


def _range(row: Mapping[str, Any]) -> TradeRange:
    loss = row.get("hold_loss")
    return TradeRange(
        cut=row["cut"],
        pull_s=parse_range(row["pull"], parse_duration_s),
        yield_fraction=parse_range(row["yield"], parse_fraction),
        hold_loss=None if loss is None else parse_range(loss, parse_fraction),
    )
