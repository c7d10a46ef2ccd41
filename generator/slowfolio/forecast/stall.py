"""The stall as a cook reads it off a thermometer: the long flat stretch of the core's course.

Works on courses of temperature only; `enrich` turns the result into figures.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# CALIBRATED choices, no source: a cook speaks of a stall where an hour brings less than about 10 °F, in the
# range where evaporation and not the end of the cook explains it, and when it lasts.
SLOW_K_PER_H = 6.0
FROM_C, TO_C = 55.0, 85.0
SHORTEST_H = 1.0
RATE_WINDOW_H = 0.5


def stall_window_h(time_h: Array, core_c: Array, pull_h: Array) -> tuple[Array, Array]:
    """Start and end of the stall of each member, h, both of shape (M,); NaN where a member has none.

    `time_h` has shape (T,), `core_c` (T, M), `pull_h`, when a member leaves the pit, (M,). The stall is the
    longest run of samples on the pit between 55 and 85 °C in which the core rises by less than 6 K/h over
    half an hour, at least an hour long.
    """
    count = core_c.shape[1]
    starts, ends = np.full(count, np.nan), np.full(count, np.nan)
    later = np.searchsorted(time_h, time_h + RATE_WINDOW_H).clip(max=time_h.size - 1)
    span_h = np.maximum(time_h[later] - time_h, 1e-9)[:, None]
    rate = (core_c[later] - core_c) / span_h
    on_the_pit = time_h[later][:, None] <= pull_h
    slow = (rate < SLOW_K_PER_H) & (core_c > FROM_C) & (core_c < TO_C) & on_the_pit
    for member in range(count):
        first, last = longest_run(slow[:, member])
        if last > first and time_h[last] - time_h[first] >= SHORTEST_H:
            starts[member], ends[member] = time_h[first], time_h[last]
    return starts, ends


def longest_run(flags: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last index of the longest run of True; (0, 0) where there is none."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    if edges.size == 0:
        return 0, 0
    firsts, lasts = edges[::2], edges[1::2] - 1
    best = int(np.argmax(lasts - firsts))
    return int(firsts[best]), int(lasts[best])
