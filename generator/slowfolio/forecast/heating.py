"""How fast a cook gets on in one stage against the next: what it costs to end a stage early or late.

An hour in a stage is worth so many minutes of the one after it. That is found by cooking a few members again
with a stage ended early and late; `retiming` re-times a real cook with it. `carry` works it out once.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.cook import simulate
from slowfolio.physics.ensemble import select_members
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Schedule, until_time

Array = NDArray[np.float64]

HOUR_S = 3600.0
MEMBERS = 8
STEP_S = 120.0
APART_S = 3600.0
"""Members cooked again, their time step, and how far early and late a stage is ended (CALIBRATED: an hour is
what a cook may be off by; coarser steps move a finish and its like alike)."""

LEAST, MOST = 0.25, 4.0
"""Between these a ratio of rates is believed (CALIBRATED)."""


def heating_rates(cook: CookResult, central: NDArray[np.int64]) -> tuple[float, ...]:
    """Rate of each stage relative to the first, chained over the borders; the rest keeps that of the last.

    `central` are the members of `cook` to be cooked again, of which the first `MEMBERS` are.
    """
    chosen = central[:MEMBERS]
    members = select_members(cook.members, chosen)
    base = simulate(cook.joint, cook.schedule, members, step_s=STEP_S)
    rates = [1.0]
    for index in range(1, len(cook.schedule.stages)):
        ratio = border_ratio(base, index) if index <= base.pull_index else 1.0
        rates.append(rates[-1] * ratio)
    return tuple(rates)


def border_ratio(base: CookResult, index: int) -> float:
    """Rate in stage `index` over that in the stage before, from what ending the latter off its time does.

    A stage ended t early puts the finish off by t (1/ratio - 1); least squares through the origin over
    members.
    """
    lasted_s = stage_lengths_s(base, index - 1)
    middle_s = float(np.median(lasted_s))
    early_s, late_s = max(middle_s - APART_S, 0.5 * middle_s), middle_s + APART_S
    shift, delay = [], []
    for length_s in (early_s, late_s):
        other = simulate(
            base.joint, with_length(base.schedule, index - 1, length_s), base.members, step_s=STEP_S
        )
        shift.append(lasted_s - length_s)
        delay.append((other.finish_h - base.finish_h) * HOUR_S)
    early, later = np.concatenate(shift), np.concatenate(delay)
    worth = 1.0 + float(early @ later) / max(float(early @ early), 1.0)
    return float(np.clip(1.0 / max(worth, 1.0 / MOST), LEAST, MOST))


def stage_lengths_s(cook: CookResult, index: int) -> Array:
    """How long a stage lasted, (M,)."""
    ends_h: Array = cook.ends.time_h
    starts_h = ends_h[index - 1] if index else np.zeros_like(ends_h[0])
    return np.asarray((ends_h[index] - starts_h) * HOUR_S)


def with_length(schedule: Schedule, index: int, length_s: float) -> Schedule:
    """The schedule with one stage ended by the clock."""
    stages = schedule.stages
    changed = replace(stages[index], until=until_time(length_s))
    return replace(schedule, stages=(*stages[:index], changed, *stages[index + 1 :]))
