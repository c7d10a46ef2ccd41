"""Moving a carried ensemble by what a cook reads and reports: finish windows, how sure, and what helps most.

Members are weighted by how well they agree with the readings, as far as there are members enough to carry it;
what is left is taken up by a linear shift of the times. A reading outside all that was simulated is said to
be so and widens the window. `update.js` in the browser does the same, with the same names. NumPy alone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.forecast.carried import Ensemble
from slowfolio.forecast.evidence import (
    MARK_SD_S,
    PIT_PLACE_SD_K,
    PIT_SD_K,
    THERMOMETER_SD_K,
    Evidence,
    Reading,
    counting,
    course_at,
    evidence_of,
    own_error,
    shared_error,
)
from slowfolio.forecast.retiming import Clock, Event, member_pit_c

Array = NDArray[np.float64]

HOUR_S = 3600.0

WIDE_SHARE = 0.15
"""Part of the prior that is as wide as the members were drawn, so that a reading may move the cook far from
the card (CALIBRATED)."""

TAIL = 6.0
"""Degrees of freedom of the readings' distribution: one bad reading must not decide (CALIBRATED)."""

FEWEST_EFFECTIVE = 48.0
"""Members the weights must be spread over; what they cannot carry is left to the linear shift
(CALIBRATED)."""

SHIFT_LEFT = 0.999
"""Below this share of the information carried by weights, the shift is used."""

SETTLED_SD_S, PER_HOUR_LEFT_SD_S = 300.0, 50.0
"""What the time of a target is uncertain by whatever was read: the cook's own act, and the model's error over
the hours left (CALIBRATED on simulated cooks on a finer grid; see `benchmarks/bench_forecast.py`)."""

RETIMED_SHARE = 0.35
"""What re-timing a deviation may be off by, as part of what it moved (CALIBRATED: on simulated cooks that
ended a stage an hour off, left one out or ran 15 K elsewhere, what is left of the error is about a third)."""

LEAST_LEFT_S, LEAST_VARIANCE = 300.0, 1e-8
"""Time left to a target that is due; below this variance of its logarithm all members agree."""

OUTSIDE_SD, WIDER = 3.0, 1.5
"""A reading so many standard deviations beyond the last member lies outside; windows are then at least so
much wider than without it (CALIBRATED)."""


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """When a stage ends: times from the start, and the members it rests on.

    `times_s` ordered, with `weight`; chances and percentiles are read off them.
    """

    stage: int
    times_s: Array
    weight: Array

    def percentile_s(self, share: float) -> float:
        """The time by which this share of the weight is over, between the members' middles."""
        middles = np.cumsum(self.weight) - 0.5 * self.weight
        return float(np.interp(share, middles / self.weight.sum(), self.times_s))

    def chance_by(self, at_s: float) -> float:
        """The share of the weight that is over by `at_s`."""
        middles = np.cumsum(self.weight) - 0.5 * self.weight
        return float(np.interp(at_s, self.times_s, middles / self.weight.sum(), left=0.0, right=1.0))


@dataclass(frozen=True, slots=True)
class Help:
    """A reading that would narrow the window: where, in how long, and by which part of its width."""

    place: str
    in_s: float
    narrower: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """What is known at `now_s`: a window for every stage yet to end, in order, rest included.

    `effective` is how many members the weights amount to, `carried_by_weight` the part of the readings'
    information they carry (the rest was shifted), `outside` the readings beyond all members.
    """

    now_s: float
    windows: tuple[Window, ...]
    pull: Window | None
    effective: float
    carried_by_weight: float
    outside: tuple[Reading, ...]
    helps: tuple[Help, ...]


def forecast(
    ensemble: Ensemble, readings: Sequence[Reading], events: Sequence[Event], *, now_s: float
) -> Forecast:
    """Say when what is left of a cook will be over, from all that was read and reported up to `now_s`."""
    clock = Clock(ensemble, events, now_s)
    seen = counting(readings, events, now_s, ensemble.carried.pull)
    evidence = evidence_of(clock, seen, events)
    prior = WIDE_SHARE / ensemble.count + (1.0 - WIDE_SHARE) * ensemble.weight
    if not evidence.observed.size:
        prior = ensemble.weight
    prior = prior * still_on(clock)
    prior = prior / prior.sum()
    weight, share = tempered_weights(evidence, prior)
    outside = outside_of(evidence, len(seen))
    windows = tuple(
        window_of(clock, stage, evidence, prior=prior, weight=weight, share=share, outside=bool(outside))
        for stage in range(clock.stage_now, len(ensemble.carried.stages))
    )
    pull = next((window for window in windows if window.stage == ensemble.carried.pull), None)
    return Forecast(
        now_s=now_s,
        windows=windows,
        pull=pull,
        effective=1.0 / float(np.sum(weight**2)),
        carried_by_weight=share,
        outside=tuple(seen[index] for index in outside),
        helps=helps_of(clock, weight) if pull is not None else (),
    )


def still_on(clock: Clock) -> Array:
    """How believable a member is that should have left the pit while the cook has not, (M,)."""
    if clock.stage_now > clock.ensemble.carried.pull:
        return np.ones(clock.ensemble.count)
    late = (clock.real_time_s(clock.ensemble.carried.pull) - clock.now_s) / MARK_SD_S
    return np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in late]) + 1e-9


# --- weights -----------------------------------------------------------------------------------------


def tempered_weights(evidence: Evidence, prior: Array) -> tuple[Array, float]:
    """Weights (M,) by prior and readings, and the part of the readings' information they carry.

    The likelihood is raised to the greatest power (at most 1) that leaves `FEWEST_EFFECTIVE` members, or half
    of what the prior has.
    """
    if not evidence.observed.size:
        return prior, 1.0
    logs = log_likelihood(evidence)

    def weighted(power: float) -> Array:
        values = np.log(prior) + power * logs
        values = np.exp(values - values.max())
        return np.asarray(values / values.sum())

    fewest = min(FEWEST_EFFECTIVE, 0.5 / float(np.sum(prior**2)))
    if effective_count(weighted(1.0)) >= fewest:
        return weighted(1.0), 1.0
    low, high = 0.0, 1.0
    for _ in range(30):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if effective_count(weighted(middle)) >= fewest else (low, middle)
    return weighted(low), low


def log_likelihood(evidence: Evidence) -> Array:
    """Of the readings under each member, (M,): a multivariate Student distribution with `TAIL` degrees."""
    residual = evidence.observed[:, None] - evidence.predicted
    whitened = np.linalg.solve(np.linalg.cholesky(evidence.noise), residual)
    distance = np.sum(whitened**2, axis=0)
    count = evidence.observed.size
    return np.asarray(-0.5 * (TAIL + count) * np.log1p(distance / TAIL))


def effective_count(weight: Array) -> float:
    """How many equal members the weights amount to (Kish 1965; MEMORY)."""
    return 1.0 / float(np.sum(weight**2))


def outside_of(evidence: Evidence, readings: int) -> tuple[int, ...]:
    """Indices of readings that lie beyond the last member by more than their error explains."""
    found = []
    for index in range(readings):
        slack = OUTSIDE_SD * math.sqrt(evidence.noise[index, index])
        row = evidence.predicted[index]
        if not row.min() - slack <= evidence.observed[index] <= row.max() + slack:
            found.append(index)
    return tuple(found)


# --- windows -----------------------------------------------------------------------------------------


def window_of(
    clock: Clock,
    stage: int,
    evidence: Evidence,
    *,
    prior: Array,
    weight: Array,
    share: float,
    outside: bool,
) -> Window:
    """When a stage ends, by the weighted members, shifted by what the weights could not carry.

    The shift is that of an ensemble Kalman update (Evensen 1994; MEMORY) of the logarithm of the time left,
    with the noise that belongs to the part 1 - `share` of the information; its spread is scaled, not drawn,
    so that the same readings always give the same window.
    """
    ends_s = clock.real_time_s(stage)
    left = np.log(np.maximum(ends_s - clock.now_s, LEAST_LEFT_S))
    middle = float(weight @ left)
    variance = float(weight @ (left - middle) ** 2)
    moved, kept = middle, variance
    uncertain = variance > LEAST_VARIANCE and not timed_end(clock, stage)
    if share < SHIFT_LEFT and uncertain:
        gain, along = kalman(evidence, weight, left, share)
        moved = middle + float(gain @ (evidence.observed - evidence.predicted @ weight))
        kept = max(variance - float(gain @ along), 0.02 * variance)
    scale = math.sqrt(kept / variance) if uncertain else 1.0
    times = clock.now_s + np.exp(moved + scale * (left - middle))
    centre = float(weight @ times)
    hours_left = max(0.0, centre - clock.now_s) / HOUR_S
    moved_s = float(weight @ (ends_s - clock.ensemble.ends_s[stage]))
    own = SETTLED_SD_S**2 + (PER_HOUR_LEFT_SD_S * hours_left) ** 2 + (RETIMED_SHARE * moved_s) ** 2
    spread = float(weight @ (times - centre) ** 2)
    wider = math.sqrt((spread + own) / spread) if uncertain else 1.0
    if outside and uncertain:
        before = float(prior @ (ends_s - prior @ ends_s) ** 2)
        wider = max(wider, WIDER * math.sqrt(max(before, spread) / spread))
    times = np.maximum(centre + wider * (times - centre), clock.now_s)
    order = np.argsort(times, kind="stable")
    return Window(stage, times[order], weight[order])


def timed_end(clock: Clock, stage: int) -> bool:
    """Whether a stage ends by the clock and is the one under way."""
    return stage == clock.stage_now and clock.ensemble.carried.stages[stage].ended_by == "time"


def kalman(evidence: Evidence, weight: Array, left: Array, share: float) -> tuple[Array, Array]:
    """Gain (n,) and covariance (n,) of the time left with the readings."""
    predicted = evidence.predicted - (evidence.predicted @ weight)[:, None]
    along = np.asarray((predicted * weight) @ (left - weight @ left))
    common = (predicted * weight) @ predicted.T
    gain = np.linalg.solve(common + evidence.noise / (1.0 - share), along)
    return np.asarray(gain), along


# --- what would help ---------------------------------------------------------------------------------

HELP_IN_S = (0.0, 1800.0, 3600.0, 7200.0)
HELP_PLACES = ("thick", "thin", "pit")


def helps_of(clock: Clock, weight: Array) -> tuple[Help, ...]:
    """The readings to come by how much narrower they would make the finish, most first.

    Of two normal quantities with correlation r, knowing one narrows the other by sqrt(1 - r²).
    """
    ensemble = clock.ensemble
    finish_s = clock.real_time_s(ensemble.carried.pull)
    away = finish_s - weight @ finish_s
    variance = float(weight @ away**2)
    if variance <= 0.0:
        return ()
    found = []
    for place in HELP_PLACES:
        for in_s in HELP_IN_S:
            reading = Reading(clock.now_s + in_s, place, 0.0)
            if place == "pit":
                says = member_pit_c(ensemble, min(clock.stage_now, ensemble.carried.pull))
                noise = THERMOMETER_SD_K**2 + PIT_SD_K**2 + PIT_PLACE_SD_K**2
            else:
                says = course_at(ensemble, place, clock.walked[-1] + in_s)
                noise = shared_error(reading, reading) + own_error(clock, reading, ())
            says = says - weight @ says
            common = float(weight @ (says * away)) ** 2
            explained = common / (variance * (float(weight @ says**2) + noise))
            found.append(Help(place, in_s, 1.0 - math.sqrt(max(0.0, 1.0 - explained))))
    return tuple(sorted(found, key=lambda item: -item.narrower))
