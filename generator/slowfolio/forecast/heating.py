"""How fast the core gets on in one stage against the next, read off an ensemble at the border of the two.

An hour in a stage is worth so many minutes of the stage after it; `update` re-times a cook with that when a
stage was ended early or late, or left out. `carried` works it out once.
"""

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.results import CookResult

Array = NDArray[np.float64]

WINDOW_H, SETTLING_H = 0.75, 0.5
"""The stretch over which a rise is taken on each side of a border, and the time the new stage has to settle
first (CALIBRATED: the core answers to its surroundings with about half an hour's lag)."""

SLOWEST_K_H = 0.5
"""A core that rises less than this an hour stands still; the ratio of two such means nothing (CALIBRATED)."""

LEAST, MOST = 0.2, 3.0
"""Between these a ratio is believed (CALIBRATED)."""


def heating_rates(cook: CookResult) -> tuple[float, ...]:
    """Rate of each stage relative to the first, chained over the borders; the rest keeps that of the last.

    At a border the ratio is the median over the members of the core's rise after it to that before it.
    """
    rates = [1.0]
    for index in range(1, len(cook.schedule.stages)):
        ratio = border_ratio(cook, index) if index <= cook.pull_index else 1.0
        rates.append(rates[-1] * ratio)
    return tuple(rates)


def border_ratio(cook: CookResult, index: int) -> float:
    """The core's rise in stage `index` over that in the stage before, at the border between them."""
    border_h = cook.ends.time_h[index - 1]
    before = rise_k_h(cook, border_h - WINDOW_H, border_h)
    after = rise_k_h(cook, border_h + SETTLING_H, border_h + SETTLING_H + WINDOW_H)
    moving = (before > SLOWEST_K_H) & (after > SLOWEST_K_H)
    if not moving.any():
        return 1.0
    return float(np.clip(np.median(after[moving] / before[moving]), LEAST, MOST))


def rise_k_h(cook: CookResult, from_h: Array, to_h: Array) -> Array:
    """Mean rise of each member's core between two of its own times, (M,)."""
    line = cook.timeline
    rises = [
        np.interp(end, line.time_h, core) - np.interp(start, line.time_h, core)
        for start, end, core in zip(from_h, to_h, line.core_c.T, strict=True)
    ]
    return np.asarray(rises) / (to_h - from_h)
