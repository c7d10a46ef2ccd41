"""A real cook's clock against that of each simulated one, once the two part: stages ended early or late or
left out, a pit that runs elsewhere, heat that was lost.

Where both do the same, an hour is an hour. Where they do not, the core gets on by the ratio of the rates of
the two stages (`heating`), of the two pits, or not at all. `update` reads the members' courses through this
map, and `retiming.js` in the browser is the same. The approximations are stated beside each constant.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slowfolio.forecast.carried import Ensemble

Array = NDArray[np.float64]

COASTING_S, LOST_GROUND = 1200.0, 0.15
"""Without heat the core goes on for so long by what is stored round it; then it stands, and warming up again
costs this part of the time without heat on top. CALIBRATED on simulated cuts of 0.5, 1 and 2 h at 1 h and at
5 h into three methods, where delays of 7-18, 30-57 and 90-136 min become 15, 49 and 118 min."""

SLOWEST, FASTEST = 0.2, 4.0
"""No deviation slows or speeds a cook by more (CALIBRATED: beyond it the map means nothing)."""


class Kind(Enum):
    """What a cook may report besides readings; the values are those of the cook's log."""

    STAGE_ENDED = "stage ended"
    PIT_ELSEWHERE = "pit elsewhere"
    HEAT_LOST = "heat lost"
    HEAT_BACK = "heat back"


@dataclass(frozen=True, slots=True)
class Event:
    """Something done or met at `at_s` from the moment the piece went on.

    `stage` is the index of the stage that ended; `as_asked` says that its target was met just then (a stage
    left out ends with the one before it). `temp_c` is where the pit runs from now to the end of its stage.
    """

    at_s: float
    kind: Kind
    stage: int = 0
    as_asked: bool = False
    temp_c: float = 0.0


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the real cook in which nothing changes. `stage` is the least stage it can be in, `held`
    the stage it is known not to have left (None: nothing is known, so it follows each member)."""

    start_s: float
    end_s: float
    stage: int
    held: int | None
    pit_c: float | None
    heated: bool


class Clock:
    """The map from a real cook's time to each member's, for the events known at `now_s`."""

    def __init__(self, ensemble: Ensemble, events: Sequence[Event], now_s: float) -> None:
        """Lay out the stretches of the cook so far."""
        self.ensemble = ensemble
        self.now_s = now_s
        self.rates = np.array([stage.rate for stage in ensemble.carried.stages])
        self.gain = pit_gain(ensemble)
        self.stage_now = 1 + max((e.stage for e in events if e.kind is Kind.STAGE_ENDED), default=-1)
        self.spans = spans(events, now_s)
        self.pit_now_c = self.spans[-1].pit_c if self.spans else None
        self.walked: list[Array] = [np.zeros(ensemble.count)]
        for span in self.spans:
            self.walked.append(self.advanced(self.walked[-1], span, span.end_s - span.start_s))

    def member_time_s(self, at_s: float) -> Array:
        """Each member's time when the real clock shows `at_s` (up to now), (M,)."""
        index = len([span for span in self.spans if span.end_s < at_s])
        if index == len(self.spans):
            return self.walked[-1] + max(0.0, at_s - self.now_s)
        span = self.spans[index]
        return self.advanced(self.walked[index], span, max(0.0, at_s - span.start_s))

    def advanced(self, time_s: Array, span: Span, lasting_s: float) -> Array:
        """Members' times after `lasting_s` of a span, from `time_s`."""
        if not span.heated:
            return time_s
        left = np.full(time_s.shape, lasting_s)
        for stage in range(self.rates.size):
            end_s = self.ensemble.ends_s[stage]
            here = (time_s < end_s) & (left > 0.0)
            if not here.any():
                continue
            rate = self.rate(stage, span)
            step = np.where(here, np.minimum(left, (end_s - time_s) / rate), 0.0)
            time_s = time_s + step * rate
            left = left - step
        return np.asarray(time_s + left)

    def rate(self, stage: int, span: Span) -> Array:
        """How fast the members in `stage` live through the span, relative to the real clock, (M,)."""
        real = max(stage, span.stage) if span.held is None else span.held
        ratio = np.full(self.ensemble.count, self.rates[real] / self.rates[stage])
        if span.pit_c is not None:
            ratio *= np.exp(self.gain * (span.pit_c - member_pit_c(self.ensemble, real)))
        return np.asarray(np.clip(ratio, SLOWEST, FASTEST))

    def real_time_s(self, stage: int) -> Array:
        """When each member's stage ends on the real clock, if all goes on as the card says from now, (M,)."""
        goal_s = self.ensemble.ends_s[stage]
        time_s = self.walked[-1]
        real = np.full(self.ensemble.count, self.now_s)
        ahead = Span(self.now_s, np.inf, self.stage_now, None, None, heated=True)
        for index in range(stage + 1):
            here_s = np.minimum(self.ensemble.ends_s[index], goal_s) - time_s
            step = np.maximum(here_s, 0.0)
            pit_c = self.pit_now_c if index <= self.stage_now else None
            rate = self.rate(index, Span(0.0, 0.0, ahead.stage, None, pit_c, heated=True))
            real += step / rate
            time_s = time_s + step
        return np.asarray(real - np.maximum(self.walked[-1] - goal_s, 0.0))


def spans(events: Sequence[Event], now_s: float) -> tuple[Span, ...]:
    """The cook so far cut at its events.

    Between two marked ends of stages the cook is in the stage that ends at the second; after the last mark
    nothing is known, and each member's own stage counts, but none before the last mark.
    """
    known = sorted((event for event in events if event.at_s <= now_s), key=lambda event: event.at_s)
    marks = [event for event in known if event.kind is Kind.STAGE_ENDED]
    cuts = sorted({0.0, now_s, *(event.at_s for event in known), *recoveries(known, now_s)})
    found = []
    for start_s, end_s in pairwise(cuts):
        done = [mark.stage for mark in marks if mark.at_s <= start_s]
        coming = [mark.stage for mark in marks if mark.at_s > start_s]
        found.append(
            Span(
                start_s=start_s,
                end_s=end_s,
                stage=1 + max(done, default=-1),
                held=min(coming) if coming else None,
                pit_c=pit_at(known, start_s),
                heated=heated_at(known, start_s),
            )
        )
    return tuple(found)


def pit_at(events: Sequence[Event], at_s: float) -> float | None:
    """Where the pit is known to run; None where it runs as the card says."""
    pit_c = None
    for event in events:
        if event.at_s > at_s:
            break
        if event.kind is Kind.PIT_ELSEWHERE:
            pit_c = event.temp_c
        elif event.kind is Kind.STAGE_ENDED:
            pit_c = None
    return pit_c


def heated_at(events: Sequence[Event], at_s: float) -> bool:
    """Whether the core gets on: heat is there and lost ground has been made up."""
    return not any(start_s <= at_s < end_s for start_s, end_s in cold_stretches(events))


def recoveries(events: Sequence[Event], now_s: float) -> list[float]:
    """When the core stands still for want of heat, and when the ground lost is made up."""
    return [moment for stretch in cold_stretches(events) for moment in stretch if moment < now_s]


def cold_stretches(events: Sequence[Event]) -> list[tuple[float, float]]:
    """From when the core stands still until what was lost is made up; no end where heat is not back."""
    found: list[tuple[float, float]] = []
    lost_s: float | None = None
    for event in events:
        if event.kind is Kind.HEAT_LOST and lost_s is None:
            lost_s = event.at_s
        elif event.kind is Kind.HEAT_BACK and lost_s is not None:
            stands_s = lost_s + COASTING_S
            found.append((stands_s, max(stands_s, event.at_s + LOST_GROUND * (event.at_s - lost_s))))
            lost_s = None
    return found if lost_s is None else [*found, (lost_s + COASTING_S, np.inf)]


def member_pit_c(ensemble: Ensemble, stage: int) -> Array:
    """The pit's mean temperature in a stage, (M,)."""
    card = ensemble.carried.stages[stage]
    return card.pit_temp_c + card.pit_drift_k * ensemble.drawn["pit_drift"]


def pit_gain(ensemble: Ensemble) -> float:
    """By how much a kelvin at the pit speeds a cook, 1/K: the slope of the members' logarithmic pace."""
    pit_c = member_pit_c(ensemble, ensemble.carried.pull)
    pace = -np.log(ensemble.pull_s)
    weight = ensemble.weight
    offset, faster = pit_c - weight @ pit_c, pace - weight @ pace
    spread = float(weight @ offset**2)
    return float(weight @ (offset * faster)) / spread if spread > 0.0 else 0.0
