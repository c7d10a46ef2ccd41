"""Cooking and packing the ensemble a page takes to the pit.

Its members are drawn from a wider prior than the forecast's, so that a reading far from the expected has
cooks to move to; their weights lead back to the forecast's own. Called by `enrich` for every method.
"""

import base64
from dataclasses import replace
from statistics import NormalDist

import numpy as np

from slowfolio.book import model as cards
from slowfolio.forecast.carried import (
    INPUT_QUANTUM,
    PLACES,
    TEMP_QUANTUM_C,
    TIME_QUANTUM_S,
    Array,
    Carried,
    CarriedStage,
)
from slowfolio.forecast.heating import heating_rates
from slowfolio.forecast.inputs import AS_WRITTEN, Conditions, joint_of, schedule_of
from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import INPUT_SPREADS, Members, sequence_points
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Stage, StageKind
from slowfolio.safety.come_up import HIGH_C

HOUR_S = 3600.0
WIDENED = {"pit_drift": 1.6, "thickness": 1.6, "humidity": 1.6, "convection": 1.6}
"""How much wider than the forecast's the spread of an input is drawn. CALIBRATED: a pit, a thickness or a day
four standard deviations from the card's still has members near it, and the forecast's own prior keeps about
four members in ten."""

STEP_S = 90.0
"""Twice the engine's own step, for half its cost. COMPUTED: brings the finish of a packer forward by 4 to 10
min in the middle; windows allow for more than that."""

GRID_S, LONG_GRID_S, LONG_S = 900.0, 1800.0, 24 * HOUR_S
"""Time between the samples of a course, and between those of a cook longer than a day. Between two samples a
straight line is within 0.2 K (COMPUTED: the core bends by less than 20 K/h² once it moves)."""

WEIGHT_QUANTUM = 1.0 / 65535.0
INPUT_LIMIT = 4.0
"""Standard deviations to which a widened input is drawn; fits a byte in thirtieths."""


def carry(
    method: cards.Method, book: cards.Book, *, members: int, seed: int, conditions: Conditions = AS_WRITTEN
) -> Carried:
    """Cook a method up to its hold with `members` cooks from the widened prior, and pack what they did.

    Raises PhysicsInputError where the cards describe something no kitchen can have.
    """
    schedule = schedule_of(method, book, conditions)
    before_hold = tuple(stage for stage in schedule.stages if stage.kind is not StageKind.HOLD)
    deviates = widened_deviates(members, seed)
    cook = simulate(
        joint_of(method, book, conditions),
        replace(schedule, stages=before_hold),
        members_at(deviates),
        step_s=STEP_S,
    )
    return pack(method.id, cook, deviates, seed=seed)


def widened_deviates(count: int, seed: int) -> dict[str, Array]:
    """Draw the inputs in standard deviations of the forecast's prior, wider where `WIDENED` says so."""
    points = sequence_points(count, len(INPUT_SPREADS), seed=seed)
    inverse = NormalDist().inv_cdf
    drawn: dict[str, Array] = {}
    for column, (name, item) in enumerate(INPUT_SPREADS.items()):
        wider = WIDENED.get(name, 1.0)
        limit = min(INPUT_LIMIT, item.limit * wider)
        values = wider * np.array([inverse(point) for point in points[:, column]])
        drawn[name] = np.clip(values, -limit, limit)
    return drawn


def members_at(deviates: dict[str, Array]) -> Members:
    """The engine's inputs at so many standard deviations from their nominal values."""
    values = {
        name: item.nominal * np.exp(item.spread * deviates[name])
        if item.logarithmic
        else item.nominal + item.spread * deviates[name]
        for name, item in INPUT_SPREADS.items()
    }
    return Members(**values)


def prior_over_drawn(deviates: dict[str, Array]) -> Array:
    """The forecast's prior over the prior drawn from, (M,), adding up to 1: the ratio of two normals."""
    exponent = sum(
        -0.5 * deviates[name] ** 2 * (1.0 - 1.0 / wider**2)
        for name, wider in WIDENED.items()
        if name in deviates
    )
    ratio = np.exp(np.asarray(exponent) * np.ones_like(next(iter(deviates.values()))))
    return np.asarray(ratio / ratio.sum(), dtype=np.float64)


# --- packing -----------------------------------------------------------------------------------------


def pack(method: str, cook: CookResult, deviates: dict[str, Array], *, seed: int) -> Carried:
    """Round and pack a cook that ends before the hold."""
    line, ends_s = cook.timeline, cook.ends.time_h * HOUR_S
    grid_s = GRID_S if ends_s.max() <= LONG_S else LONG_GRID_S
    time_s = np.arange(0.0, ends_s.max() + grid_s, grid_s)
    weight = prior_over_drawn(deviates)
    rates = heating_rates(cook, np.argsort(-weight, kind="stable"))
    packed = {
        "ends": encoded(np.round(ends_s / TIME_QUANTUM_S), "<u2"),
        "weight": encoded(np.round(weight / weight.max() / WEIGHT_QUANTUM), "<u2"),
        "inputs": encoded(np.round(np.stack(list(deviates.values())) / INPUT_QUANTUM), "i1"),
    }
    faces = np.minimum(line.surface_upper_c, line.surface_lower_c)
    warm_s = passed_s(faces, line.time_h * HOUR_S, HIGH_C)
    packed["surface"] = encoded(np.round(warm_s / TIME_QUANTUM_S), "<u2")
    for place, course in zip(PLACES, (line.core_c, line.thin_c, line.coldest_c), strict=True):
        even = sampled(course, line.time_h * HOUR_S, time_s)
        packed[place] = encoded(second_differences(even, TEMP_QUANTUM_C[place]), "i1")
    return Carried(
        method=method,
        engine=cook.engine_version,
        members=cook.members.count,
        seed=seed,
        start_temp_c=round(cook.schedule.start_temp_c, 4),
        grid_s=grid_s,
        points=int(time_s.size),
        pull=cook.pull_index,
        inputs=tuple(deviates),
        stages=tuple(
            carried_stage(stage, rate) for stage, rate in zip(cook.schedule.stages, rates, strict=True)
        ),
        packed=packed,
    )


def carried_stage(stage: Stage, rate: float) -> CarriedStage:
    """What is kept of a stage."""
    until = stage.until
    if until.duration_s is not None:
        ended_by, target_c = "time", None
    elif until.probe_tender:
        ended_by, target_c = "tender", until.tender_from_c
    elif until.core_falls_to_c is not None:
        ended_by, target_c = "falls", until.core_falls_to_c
    else:
        ended_by, target_c = "core", until.core_temp_c
    return CarriedStage(
        name=stage.name,
        kind=stage.kind.value,
        pit_temp_c=round(stage.pit_temp_c, 4),
        pit_drift_k=round(stage.environment.drift_sd_k, 4),
        ended_by=ended_by,
        target_c=None if target_c is None else round(target_c, 4),
        duration_s=until.duration_s,
        rate=round(rate, 4),
    )


def passed_s(course: Array, at_s: Array, temp_c: float) -> Array:
    """When each member's course (T, M) is first above a temperature; its last moment where it never is."""
    above = course > temp_c
    first = np.where(above.any(axis=0), np.argmax(above, axis=0), at_s.size - 1)
    return np.asarray(at_s[first], dtype=np.float64)


def sampled(course: Array, at_s: Array, time_s: Array) -> Array:
    """A course (T, M) at other times, straight between its samples, level after the last."""
    return np.stack([np.interp(time_s, at_s, column) for column in course.T], axis=1)


def second_differences(course: Array, quantum_c: float) -> Array:
    """Temperatures (T, M) as the bends of their courses in quanta, (M, T).

    Each is taken against what the earlier ones give back, so that what does not fit a byte is made up for in
    the next, and rounding does not pile up.
    """
    wanted = np.round(course / quantum_c)
    bends = np.zeros_like(wanted)
    last = before = np.zeros(course.shape[1])
    for row, target in enumerate(wanted):
        bends[row] = np.clip(target - (2.0 * last - before), -127, 127)
        before, last = last, 2.0 * last - before + bends[row]
    return np.ascontiguousarray(bends.T)


def encoded(values: Array, kind: str) -> str:
    """Whole numbers as base64 of their bytes."""
    return base64.b64encode(np.ascontiguousarray(values.astype(kind)).tobytes()).decode("ascii")
