"""What the analysis says about one tasting: the values that JSON, the cache and pages are made of.

Only data lives here. `tasting_analysis` fills it. An open end of an interval is None.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from slowfolio.tasting.evidence import Grade
from slowfolio.tasting.verdict import Settled

OVER_COOKS = "points over cooks"
"""Unit of a difference in points of which the cook, not the taster, is the unit."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured figure with its interval.

    `unit` is "share" (0 to 1), "points", `OVER_COOKS` or "d-prime".
    """

    name: str
    unit: str
    value: float | None
    low: float | None
    high: float | None
    confidence: float
    how: str


@dataclass(frozen=True, slots=True)
class Answer:
    """One question put to a tasting, answered.

    `attribute` is as cards write it, empty where no attribute was asked. `between` are the products it is
    about; `ahead` and `behind` are empty where neither is shown to be. `would_settle` is the number of
    tasters that would settle an open question, where more tasters would. `over_cooks` says whether a
    difference is clear of zero with the cook as the unit, None where that cannot be told; `doubt` says so
    where tasters found a difference that the cooks do not bear out.
    """

    attribute: str
    between: tuple[str, ...]
    asked: str
    settled: Settled
    found: str
    settle: str
    would_settle: int | None
    ahead: str
    behind: str
    cannot_say: tuple[str, ...]
    readings: tuple[Reading, ...]
    over_cooks: bool | None = None
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class TastingResult:
    """The analysis of one tasting card.

    `sheets` came in of `served`; `power` is the chance these had to find the difference named beforehand.
    `as_drawn` says whether the plates are those of the card's seed. `refused` says why nothing could be
    worked out, and is empty otherwise.
    """

    tasting: str
    sheets: int
    served: int
    power: float | None
    grade: Grade
    weaknesses: tuple[str, ...]
    unlike: tuple[str, ...]
    below_hot_holding: tuple[str, ...]
    as_drawn: bool
    answers: tuple[Answer, ...]
    refused: str = ""

    @property
    def settled(self) -> bool:
        """Whether any of its questions came out one way or the other."""
        return any(answer.settled is not Settled.OPEN for answer in self.answers)


NO_TASTINGS: Mapping[str, TastingResult] = MappingProxyType({})
"""For a book in which nothing was tasted yet."""
