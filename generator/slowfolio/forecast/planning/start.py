"""When the piece goes on: sure enough to be ready, and not so early that the hold outlasts its limit.

Pure arithmetic on the times of the simulated cooks; seconds are counted from the serving time, so a start is
negative. The early piece that the hold must still suit is the P10. Called by `arrange`.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from slowfolio.forecast.planning.clock import on_grid, on_grid_down, on_grid_up
from slowfolio.forecast.planning.times import Array, CookTimes, HoldTerms, at_share

_HAIR_S = 1e-3


class Fit(StrEnum):
    """How the start came about."""

    BOTH = "both limits hold"
    TRADE = "sure to be ready, but the hold is too long for an early piece"
    LATE = "later than it should be, as time has run on"


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another start and what it would bring: the chance of being ready, and the hold of the early piece."""

    start_s: float
    chance: float
    early_hold_s: float


@dataclass(frozen=True, slots=True)
class Start:
    """The start chosen, the limits it was chosen between, and the other side of the trade where there is one.

    `latest_s` keeps the chance of being ready at `confidence`; `earliest_s` keeps the early piece within the
    longest hold. Starts lie on the five-minute grid.
    """

    start_s: float
    earliest_s: float
    latest_s: float
    preferred_s: float
    fit: Fit
    chance: float
    instead: Alternative | None = None


def ready_chance(times: CookTimes, *, start_s: float, by_s: float) -> float:
    """The share of the simulated cooks that are ready, vent included, by `by_s`."""
    return float(np.mean(start_s + times.ready_s <= by_s + _HAIR_S))


def sure_time_s(durations_s: Array, confidence: float) -> float:
    """The shortest of `durations_s`, shape (M,), that at least the share `confidence` does not exceed."""
    return at_share(durations_s, confidence)


def latest_start_s(times: CookTimes, *, by_s: float, confidence: float) -> float:
    """The last start on the grid that is ready by `by_s` with the chance `confidence`."""
    return on_grid_down(by_s - sure_time_s(times.ready_s, confidence))


def earliest_start_s(times: CookTimes, hold: HoldTerms, *, by_s: float) -> float:
    """The first start on the grid with which the early piece is held no longer than the hold may last."""
    return on_grid_up(by_s - hold.longest_s - times.ready_window_s[0])


def early_hold_s(times: CookTimes, *, start_s: float, by_s: float) -> float:
    """How long the early piece (P10) is held before `by_s`; 0 where it is not early at all."""
    return max(0.0, by_s - start_s - times.ready_window_s[0])


def choose_start(
    times: CookTimes,
    hold: HoldTerms,
    *,
    by_s: float,
    confidence: float,
    not_before_s: float = float("-inf"),
) -> Start:
    """The start that gives the median piece the hold its card wants, within both limits.

    Where they cannot both hold, being ready goes first: the latest sure start is taken and the other side of
    the trade is told. `not_before_s` is the first start that is still to be had.
    """
    latest = latest_start_s(times, by_s=by_s, confidence=confidence)
    earliest = earliest_start_s(times, hold, by_s=by_s)
    wanted = min(hold.wanted_s, hold.longest_s)
    preferred = on_grid(by_s - wanted - times.ready_window_s[1])
    soonest = on_grid_up(not_before_s) if np.isfinite(not_before_s) else not_before_s

    def chance(start_s: float) -> float:
        return ready_chance(times, start_s=start_s, by_s=by_s)

    if soonest > latest:
        return Start(soonest, earliest, latest, preferred, Fit.LATE, chance(soonest))
    if earliest <= latest:
        start = min(max(preferred, earliest, soonest), latest)
        return Start(start, earliest, latest, preferred, Fit.BOTH, chance(start))
    other = Alternative(earliest, chance(earliest), early_hold_s(times, start_s=earliest, by_s=by_s))
    return Start(latest, earliest, latest, preferred, Fit.TRADE, chance(latest), other)
