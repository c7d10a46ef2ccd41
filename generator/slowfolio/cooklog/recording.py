"""A log as it is used: readings in SI on one clock, with what was mended and what happened.

Data only. `importing` makes it, everything that learns from a cook reads it.
"""

from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.remarks import Remark

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened, s since the first reading; `found` is "log" or "noted", as on the card."""

    what: str
    at_s: float
    found: str = "log"


@dataclass(frozen=True, slots=True)
class Recording:
    """A cook's log: arrays of shape (T,), NaN where there is no reading.

    `time_s` counts from the first reading and rises; `pit_c` is the air beside the piece, which may go along
    to room and holder; `humidity` is a fraction.
    """

    time_s: Array
    pit_c: Array
    thick_c: Array
    thin_c: Array
    humidity: Array
    began: datetime | None
    remarks: tuple[Remark, ...] = ()
    events: tuple[Event, ...] = ()

    def event_s(self, what: str) -> float | None:
        """When something first happened, s since the first reading; None where it is not known."""
        return next((event.at_s for event in self.events if event.what == what), None)

    def has(self, role: str) -> bool:
        """Whether a column has readings enough to say anything."""
        return int(np.isfinite(self.series(role)).sum()) >= 3

    def series(self, role: str) -> Array:
        """The readings of pit, thick or thin in °C, or the humidity as a fraction."""
        values: Array = self.humidity if role == "humidity" else getattr(self, f"{role}_c")
        return values


def at_times(recording: Recording, role: str, time_s: Array) -> Array:
    """Readings at other times, straight between two that are at most an hour apart; NaN elsewhere."""
    values = recording.series(role)
    good = np.isfinite(values)
    if good.sum() < 2:
        return np.full(time_s.shape, np.nan)
    known_s, known = recording.time_s[good], values[good]
    found = np.interp(time_s, known_s, known, left=np.nan, right=np.nan)
    after = np.clip(np.searchsorted(known_s, time_s), 1, known_s.size - 1)
    sparse = known_s.size < 60  # readings typed in by hand stand hours apart
    found[(known_s[after] - known_s[after - 1] > 3600.0) & (not sparse)] = np.nan
    return np.asarray(found, dtype=np.float64)
