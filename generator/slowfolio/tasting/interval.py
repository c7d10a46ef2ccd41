"""An estimate with its interval, the form in which every effect of a tasting is handed on.

Only the data live here. How an interval was made is written beside it in words, because a reader has to know.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Interval:
    """Limits at a stated confidence; an end that the data leave open is plus or minus infinity."""

    low: float
    high: float
    confidence: float
    how: str

    def holds(self, value: float) -> bool:
        """Return whether `value` lies within the limits, ends included."""
        return self.low <= value <= self.high

    def within(self, low: float, high: float) -> Interval:
        """Return the interval cut to the range a quantity can have."""
        return Interval(
            min(max(self.low, low), high), min(max(self.high, low), high), self.confidence, self.how
        )


@dataclass(frozen=True, slots=True)
class Estimate:
    """A best value with its interval; the value is infinite where the data only bound it from one side."""

    value: float
    interval: Interval
