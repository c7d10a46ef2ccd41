"""Values as a page shows them: text in both unit systems, spread, and a tag that says where they come from.

Formatting is done by `slowfolio.units`; layout is done by the templates. Page models are made of these.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import isfinite

from slowfolio.book.model import Sourced, SourcedRange
from slowfolio.provenance import Figure, Provenance
from slowfolio.units import Dimension, Range, System, format_quantity

SCORE, COUNT, NUMBER = "score", "count", "number"


@dataclass(frozen=True, slots=True)
class Both:
    """One text in US and in metric units. Equal where the unit does not depend on the system."""

    us: str
    metric: str

    @property
    def same(self) -> bool:
        """True where both systems say it alike."""
        return self.us == self.metric

    @property
    def plain(self) -> str:
        """Both in one line, for places that cannot switch: chart descriptions, titles."""
        return self.us if self.same else f"{self.us} ({self.metric})"


@dataclass(frozen=True, slots=True)
class Note:
    """One entry of a page's list of origins."""

    number: int
    provenance: str
    source: str


@dataclass(frozen=True, slots=True)
class Tag:
    """The mark beside a figure: its provenance and the number of the note that names the source."""

    provenance: str
    number: int
    source: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure ready for a page."""

    text: Both
    spread: Both | None
    tag: Tag


@dataclass(frozen=True, slots=True)
class Group:
    """Named figures that stand together. `tag` is set where all share it, so that it is shown once."""

    rows: tuple[tuple[str, Shown], ...]
    tag: Tag | None


def grouped(rows: Iterable[tuple[str, Shown]]) -> Group:
    """Figures with the tag that all of them share, or none."""
    kept = tuple(rows)
    tags = {figure.tag for _, figure in kept}
    return Group(kept, tags.pop() if len(tags) == 1 else None)


@dataclass(slots=True)
class Notes:
    """Collects the origins that one page refers to, each once, in the order of first use."""

    _numbers: dict[tuple[str, str], int] = field(default_factory=dict)

    def tag(self, provenance: Provenance, source: str) -> Tag:
        """The mark for a figure of this origin."""
        source = source.strip() or UNSTATED[provenance]
        number = self._numbers.setdefault((provenance.value, source), len(self._numbers) + 1)
        return Tag(provenance.value, number, source)

    def listed(self) -> tuple[Note, ...]:
        """The notes so far, by number."""
        return tuple(Note(number, kind, source) for (kind, source), number in self._numbers.items())


PLAIN = {SCORE: 0, COUNT: 0, NUMBER: 2}
"""Dimensions without a unit, and the decimals they are said with."""

UNSTATED = {
    Provenance.COMPUTED: "computed by this build",
    Provenance.MEASURED: "measured; the card names no record",
    Provenance.PUBLISHED: "published; the card names no citation",
    Provenance.PRACTICE: "common practice, no source",
    Provenance.CLAIMED: "the author's claim",
}


@lru_cache(maxsize=16_384)
def both(dimension: str, value: float | Range) -> Both:
    """Format an SI value or range of a dimension in both unit systems.

    Dimensions are those of `slowfolio.units`, "score" (0 to 100), "count" and "number" (no unit). Raises
    ValueError for any other.
    """
    if dimension in PLAIN:
        digits = PLAIN[dimension]
        ends = (value.low, value.high) if isinstance(value, Range) else (value,)
        return same("–".join(f"{end:.{digits}f}" for end in ends))
    return Both(
        format_quantity(value, dimension, System.US), format_quantity(value, dimension, System.METRIC)
    )


def as_said(figure: Figure) -> Figure:
    """A computed time as a cook would say it: hours to ten minutes, an hour or less to five."""
    if figure.dimension != Dimension.DURATION:
        return figure
    step = 600.0 if abs(figure.value) > 3600.0 else 300.0

    def said(value: float | None) -> float | None:
        return None if value is None else round(value / step) * step

    return replace(
        figure, value=round(figure.value / step) * step, low=said(figure.low), high=said(figure.high)
    )


def shown(figure: Figure, notes: Notes) -> Shown:
    """A computed or measured figure with its spread and tag."""
    figure = as_said(figure)
    ends = _ends(figure)
    spread = _spread(figure.dimension, ends) if ends else None
    return Shown(both(figure.dimension, figure.value), spread, notes.tag(figure.provenance, figure.source))


def sourced(parameter: Sourced | SourcedRange, dimension: str, notes: Notes) -> Shown:
    """A card's physical parameter with its tag."""
    return Shown(both(dimension, parameter.value), None, notes.tag(parameter.provenance, parameter.source))


def same(text: str) -> Both:
    """A text that does not depend on the unit system."""
    return Both(text, text)


def _ends(figure: Figure) -> Range | None:
    """The ends of a spread; None where there is none to show: not given, or both ends said alike."""
    low, high = figure.low, figure.high
    if low is None or high is None or not (isfinite(low) and isfinite(high)):
        return None
    alike = both(figure.dimension, low) == both(figure.dimension, high)
    return None if alike else Range(low, high)


def _spread(dimension: str, ends: Range) -> Both:
    return same(span_of_hours(ends)) if dimension == Dimension.DURATION else both(dimension, ends)


QUARTERS = ("", "¼", "½", "¾")
HOUR_S = 3600.0


def span_of_hours(ends: Range) -> str:
    """A range of times to the quarter hour, as one says it: "22½–24¾ h"; below an hour in minutes."""
    if ends.high < HOUR_S:
        low, high = (round(end / 300.0) * 5 for end in (ends.low, ends.high))
        return f"{low}–{high} min" if low < high else f"{low} min"
    low_said, high_said = _quarters(ends.low), _quarters(ends.high)
    return f"{low_said}–{high_said} h" if low_said != high_said else f"{low_said} h"


def _quarters(seconds: float) -> str:
    hours, quarter = divmod(round(seconds / HOUR_S * 4), 4)
    return f"{hours or '' if quarter else hours}{QUARTERS[quarter]}"
