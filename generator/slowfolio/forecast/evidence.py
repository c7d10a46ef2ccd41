"""What a cook reads and reports, against what every member of a carried ensemble says of it, with the noise
of both.

`update` weighs and shifts the members by it; `evidence.js` in the browser is the same. No weights here.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.forecast.carried import Ensemble
from slowfolio.forecast.retiming import COASTING_S, Clock, Event, Kind, cold_stretches, member_pit_c

Array = NDArray[np.float64]

HOUR_S = 3600.0

THERMOMETER_SD_K = 1.0
"""Of a kitchen probe that was checked in ice water (CALIBRATED; half of the 2 °F that the trade asks for is
0.6 K, and the probe's depth adds as much)."""

MODEL_SD_K = {"thick": 1.2, "thin": 2.0}
"""What the model may be off by at a place when its inputs are right, the thin end being less well defined
(CALIBRATED: about what a finer grid and the crust change, below the spread of the members)."""

SHARED_BETWEEN_PLACES = 0.5
MEMORY_S = 2 * HOUR_S
"""The model's error at one place is half that at the other, and changes over two hours (CALIBRATED)."""

START_SD_K, START_MEMORY_S = 2.0, 2 * HOUR_S
"""The piece may start warmer or colder than the card says; that is forgotten in about two hours
(CALIBRATED)."""

PIT_SD_K, PIT_PLACE_SD_K = 4.0, 3.0
PIT_SETTLING_S = 900.0
"""One glance at the pit against its mean; what the place of its probe adds to all glances; how long a new
setting takes to be reached (CALIBRATED: fires swing by 5 to 10 K)."""

MARK_SD_S = 1200.0
"""When a cook says that a target is met, against the moment a member meets it (CALIBRATED: 1.5 K at 5
K/h)."""


@dataclass(frozen=True, slots=True)
class Reading:
    """What a thermometer read at `at_s` from the moment the piece went on; `place` is "thick", "thin" or
    "pit"."""

    at_s: float
    place: str
    temp_c: float
    sd_k: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """n observations against what M members say: `predicted` (n, M), `observed` (n,), `noise` (n, n)."""

    predicted: Array
    observed: Array
    noise: Array


def evidence_of(clock: Clock, readings: Sequence[Reading], events: Sequence[Event]) -> Evidence:
    """Readings, then targets met, as one set of observations with their common noise."""
    ensemble = clock.ensemble
    marks = [
        event
        for event in events
        if event.kind is Kind.STAGE_ENDED
        and event.as_asked
        and event.at_s <= clock.now_s
        and ensemble.carried.stages[event.stage].ended_by != "time"
    ]
    rows = [predicted_reading(clock, reading, events) for reading in readings]
    rows += [clock.member_time_s(mark.at_s) - ensemble.ends_s[mark.stage] for mark in marks]
    count = len(rows)
    noise = np.zeros((count, count))
    for i, one in enumerate(readings):
        for j, other in enumerate(readings):
            noise[i, j] = shared_error(one, other)
        noise[i, i] += own_error(clock, one, events)
    for i in range(len(readings), count):
        noise[i, i] = MARK_SD_S**2
    return Evidence(
        predicted=np.stack(rows) if rows else np.zeros((0, ensemble.count)),
        observed=np.array([reading.temp_c for reading in readings] + [0.0] * len(marks)),
        noise=noise,
    )


def counting(readings: Sequence[Reading], events: Sequence[Event], now_s: float, pull: int) -> list[Reading]:
    """The readings up to now that say something of the cook: none of a pit without heat, or left behind."""
    left = [e.at_s for e in events if e.kind is Kind.STAGE_ENDED and e.stage >= pull]
    cold = cold_stretches(sorted(events, key=lambda event: event.at_s))

    def tells(reading: Reading) -> bool:
        if reading.place != "pit":
            return True
        without = any(start_s - COASTING_S <= reading.at_s < end_s for start_s, end_s in cold)
        return not without and not any(reading.at_s > moment for moment in left)

    return [reading for reading in readings if reading.at_s <= now_s and tells(reading)]


def predicted_reading(clock: Clock, reading: Reading, events: Sequence[Event]) -> Array:
    """What each member would have read, (M,)."""
    if reading.place == "pit":
        known_c = next((s.pit_c for s in clock.spans if s.start_s <= reading.at_s <= s.end_s), None)
        if known_c is not None:
            return np.full(clock.ensemble.count, known_c)
        return member_pit_c(clock.ensemble, stage_at(events, reading.at_s, clock.ensemble))
    return course_at(clock.ensemble, reading.place, clock.member_time_s(reading.at_s))


def course_at(ensemble: Ensemble, place: str, time_s: Array) -> Array:
    """Each member's temperature at its own time, (M,)."""
    course, everyone = ensemble.courses[place], np.arange(ensemble.count)
    position = np.clip(time_s / ensemble.carried.grid_s, 0.0, ensemble.carried.points - 1.0)
    before = np.minimum(position.astype(np.int64), ensemble.carried.points - 2)
    low, high = course[before, everyone], course[before + 1, everyone]
    return np.asarray(low + (position - before) * (high - low))


def stage_at(events: Sequence[Event], at_s: float, ensemble: Ensemble) -> int:
    """The stage a cook is in by its marks, or by the clock of the median member where none is marked."""
    marked = [e.stage for e in events if e.kind is Kind.STAGE_ENDED and e.at_s <= at_s]
    later = [e.stage for e in events if e.kind is Kind.STAGE_ENDED and e.at_s > at_s]
    if later:
        return min(later)
    ended = int(np.sum(np.median(ensemble.ends_s, axis=1) <= at_s)) if not marked else 0
    return min(max(ended, 1 + max(marked, default=-1)), ensemble.carried.pull)


def shared_error(one: Reading, other: Reading) -> float:
    """Covariance of the model's error between two readings, K²."""
    if one.place == "pit" or other.place == "pit":
        return PIT_PLACE_SD_K**2 if one.place == other.place else 0.0
    close = math.exp(-abs(one.at_s - other.at_s) / MEMORY_S)
    shared = 1.0 if one.place == other.place else SHARED_BETWEEN_PLACES
    return shared * close * MODEL_SD_K[one.place] * MODEL_SD_K[other.place]


def own_error(clock: Clock, reading: Reading, events: Sequence[Event]) -> float:
    """Variance of one reading alone, K²: the thermometer, the start, the swing of the pit."""
    thermometer = (THERMOMETER_SD_K if reading.sd_k is None else reading.sd_k) ** 2
    if reading.place != "pit":
        return thermometer + (START_SD_K * math.exp(-reading.at_s / START_MEMORY_S)) ** 2
    stages = clock.ensemble.carried.stages
    begun = [e for e in events if e.kind is Kind.STAGE_ENDED and e.at_s <= reading.at_s]
    unsettled = 0.0
    if begun:
        last = max(begun, key=lambda event: event.at_s)
        step_k = stages[min(last.stage + 1, len(stages) - 1)].pit_temp_c - stages[last.stage].pit_temp_c
        unsettled = step_k * math.exp(-(reading.at_s - last.at_s) / PIT_SETTLING_S)
    return thermometer + PIT_SD_K**2 + unsettled**2
