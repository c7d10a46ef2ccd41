"""The qualities that methods are compared by, once for all pages: name, words, figure, and what is better.

Also which of two figures is clear of the other, and for each cut which method leads in what. Used by the
method page (alternatives) and the comparison.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from slowfolio.book.model import Book, Method
from slowfolio.enrich.results import MethodResult
from slowfolio.provenance import Figure, Provenance


class Better(Enum):
    """Which end of a quality a cook wants when asking for more of it."""

    HIGHER = "higher"
    LOWER = "lower"


@dataclass(frozen=True, slots=True)
class Quality:
    """One axis of comparison. `most` is said of the one that leads ("Most bark"), `more` of one with more."""

    key: str
    name: str
    more: str
    most: str
    better: Better
    figure: Callable[[Method, MethodResult], Figure | None]


def _score(key: str) -> Callable[[Method, MethodResult], Figure | None]:
    return lambda _method, result: result.scores.get(key)


def _hold(method: Method, _result: MethodResult) -> Figure | None:
    if method.hold is None:
        return None
    return Figure(method.hold.at_most_s, "duration", Provenance.CLAIMED, source="the card's own limit")


QUALITIES = (
    Quality(
        "time", "Ready to serve after", "Sooner", "Soonest", Better.LOWER, lambda _, result: result.ready
    ),
    Quality("hold", "Holds at most", "Holds longer", "Holds longest", Better.HIGHER, _hold),
    Quality(
        "yield",
        "Yield",
        "More to serve",
        "Most to serve",
        Better.HIGHER,
        lambda _, result: result.yield_fraction,
    ),
    Quality("bark", "Bark", "More bark", "Most bark", Better.HIGHER, _score("bark")),
    Quality("rendering", "Rendering", "Better rendered", "Best rendered", Better.HIGHER, _score("rendering")),
    Quality("juiciness", "Juiciness", "Juicier", "Juiciest", Better.HIGHER, _score("juiciness")),
    Quality("smoke", "Smoke", "More smoke", "Most smoke", Better.HIGHER, _score("smoke")),
    Quality("tenderness", "Tenderness", "More tender", "Most tender", Better.HIGHER, _score("tenderness")),
)


def clear_of(one: Figure, other: Figure, better: Better) -> bool:
    """True where `one` is better than `other` by more than the spread: their ranges do not touch."""
    if better is Better.LOWER:
        return _end(one, one.high) < _end(other, other.low)
    return _end(one, one.low) > _end(other, other.high)


def _end(figure: Figure, end: float | None) -> float:
    return figure.value if end is None else end


@dataclass(frozen=True, slots=True)
class Lead:
    """The method of a cut that has most of a quality."""

    quality: Quality
    method: str
    figure: Figure


def leads(book: Book, results: Mapping[str, MethodResult]) -> Mapping[str, tuple[Lead, ...]]:
    """For every cut, the leading method of each quality. Linear in the number of methods."""
    found: dict[tuple[str, str], Lead] = {}
    for method in book.methods.values():
        if (result := results.get(method.id)) is None:
            continue
        for quality in QUALITIES:
            figure = quality.figure(method, result)
            known = found.get((method.cut, quality.key))
            if figure is not None and (known is None or _ahead(figure, known.figure, quality.better)):
                found[method.cut, quality.key] = Lead(quality, method.id, figure)
    return {
        cut: tuple(lead for quality in QUALITIES if (lead := found.get((cut, quality.key))) is not None)
        for cut in dict.fromkeys(cut for cut, _ in found)
    }


def _ahead(one: Figure, other: Figure, better: Better) -> bool:
    return one.value < other.value if better is Better.LOWER else one.value > other.value
