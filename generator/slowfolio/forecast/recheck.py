"""The rules that a deviation may break, checked anew on a cook under way: the six hours of the come-up.

The carried members say when surface and core have left the range; a real clock that was slowed or stopped
moves those moments. The rule and its figures live in `safety.come_up`; `recheck.js` in the browser is the
same.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowfolio.forecast.retiming import Array, Clock, Event, cold_stretches
from slowfolio.safety.come_up import HIGH_C, LIMIT_S, LOW_C

GRID_S = 300.0


@dataclass(frozen=True, slots=True)
class ComeUpCheck:
    """Hours a place spends from 10 to 54.4 °C on the real clock: middle and ninth decile over the members,
    and the share of them within the limit.
    """

    place: str
    p50_s: float
    p90_s: float
    limit_s: float
    share_met: float


def come_up_checks(clock: Clock, events: Sequence[Event], weight: Array) -> tuple[ComeUpCheck, ...]:
    """Surface, where the rule is read on an intact piece, then core.

    Cautious: the surface counts from the moment the piece went on, and all time without heat counts for it,
    for it may fall back into the range.
    """
    ensemble = clock.ensemble
    cold_s = sum(
        min(end_s, clock.now_s) - start_s
        for start_s, end_s in cold_stretches(events)
        if start_s < clock.now_s
    )
    surface_s = np.maximum(real_moment_s(clock, ensemble.surface_s), ensemble.surface_s + cold_s)
    core = ensemble.courses["thick"]
    begin_s, end_s = (first_above_s(core, ensemble.time_s, limit_c) for limit_c in (LOW_C, HIGH_C))
    core_s = real_moment_s(clock, end_s) - real_moment_s(clock, begin_s)
    return tuple(check(place, values, weight) for place, values in (("surface", surface_s), ("core", core_s)))


def check(place: str, lasting_s: Array, weight: Array) -> ComeUpCheck:
    """The weighted middle, ninth decile and share within the limit."""
    order = np.argsort(lasting_s, kind="stable")
    middles = np.cumsum(weight[order]) - 0.5 * weight[order]
    p50_s, p90_s = (float(np.interp(share, middles, lasting_s[order])) for share in (0.5, 0.9))
    return ComeUpCheck(place, p50_s, p90_s, LIMIT_S, float(weight @ (lasting_s <= LIMIT_S)))


def first_above_s(course: Array, time_s: Array, limit_c: float) -> Array:
    """When each member's course (T, M) first passes a temperature, straight between samples; the last moment
    where it never does.
    """
    above = course > limit_c
    after = np.where(above.any(axis=0), np.argmax(above, axis=0), course.shape[0] - 1)
    before = np.maximum(after - 1, 0)
    everyone = np.arange(course.shape[1])
    low, high = course[before, everyone], course[after, everyone]
    part = np.clip((limit_c - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
    return np.asarray(time_s[before] + part * (time_s[after] - time_s[before]))


def real_moment_s(clock: Clock, member_s: Array) -> Array:
    """When the real clock shows that each member is at `member_s`, (M,); beyond now an hour is an hour."""
    grid_s = np.append(np.arange(0.0, clock.now_s, GRID_S), clock.now_s)
    lived = np.stack([clock.member_time_s(moment) for moment in grid_s])
    found = np.empty(member_s.shape)
    for member, goal_s in enumerate(member_s):
        course = lived[:, member]
        if goal_s >= course[-1]:
            found[member] = clock.now_s + goal_s - course[-1]
        else:
            after = int(np.searchsorted(course, goal_s, side="right"))
            step = max(course[after] - course[after - 1], 1e-9)
            found[member] = grid_s[after - 1] + (goal_s - course[after - 1]) / step * (
                grid_s[after] - grid_s[after - 1]
            )
    return found
