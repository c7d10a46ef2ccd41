"""When a stage ends: probe readings, targets, the cook's reaction, and moving members on.

``cook`` asks once a step; nothing here touches heat or water.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.ensemble import Members
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.joint import Joint, Place
from slowfolio.physics.meat import Array
from slowfolio.physics.schedule import Probe, Schedule, StageKind, Until
from slowfolio.physics.state import CookState

Ended = tuple[int, Array, Array]

# Collagen conversion is judged where the probe passes: thick part, or thin part's middle.
_TIMED, _RISES, _FALLS, _TENDER = range(4)


class Stages:
    """The schedule's end conditions for a set of members, and where each member's probe sits."""

    def __init__(self, joint: Joint, schedule: Schedule, members: Members) -> None:
        """Lay out conditions and probe positions; raises PhysicsInputError for conditions the cut rules
        out.
        """
        self.joint = joint
        self.schedule = schedule
        stages = schedule.stages
        for stage in stages:
            if stage.until.probe_tender and joint.shape.tender_conversion <= 0.0:
                raise PhysicsInputError(
                    f"{stage.name}: {joint.shape.name} has no collagen to wait for: "
                    "end the stage by core temperature"
                )
        self.kind = np.array([condition_kind(stage.until) for stage in stages])
        self.target = np.array([condition_target(stage.until, joint) for stage in stages])
        self.at_most = np.array(
            [s.until.duration_s if s.until.duration_s is not None else s.until.at_most_s for s in stages]
        )
        self.at_least = np.array([stage.until.at_least_s for stage in stages])
        self.probed_from = np.array(
            [-np.inf if s.until.tender_from_c is None else s.until.tender_from_c for s in stages]
        )
        self.thin = np.array([stage.until.probe is Probe.THIN for stage in stages])
        self.reacts = np.array([stage.kind is not StageKind.HOLD for stage in stages])
        self.probe_at = {place: probe_points(joint, members, place) for place in (joint.core, joint.thin)}

    def narrowed(self, members: Members) -> Stages:
        """Return the same conditions for fewer members."""
        return Stages(self.joint, self.schedule, members)

    def longest_s(self) -> float:
        """Return a time by which every member must have passed every stage."""
        return float(self.at_most.sum() + 3600.0 * (self.at_most.size + 1))

    def along_probe(self, values: Array, place: Place) -> Array:
        """Return ``values`` (N, K, M) at each member's probe depth at ``place``, shape (M,)."""
        points, weights = self.probe_at[place]
        return np.asarray((values.take(points) * weights).sum(axis=0), dtype=np.float64)

    def probe_readings(self, state: CookState) -> Array:
        """Return what each member's present condition looks at: core temperature or collagen conversion,
        (M,).
        """
        stage = np.minimum(state.stage, self.kind.size - 1)
        thick_c = self.along_probe(state.temp_c, self.joint.core)
        tender = self.kind[stage] == _TENDER
        if not tender.any() and not self.thin.any():
            return thick_c
        thin_c = self.along_probe(state.temp_c, self.joint.thin)
        reading = np.where(self.thin[stage], thin_c, thick_c)
        thick_x = self.along_probe(state.converted, self.joint.core)
        thin_x = self.along_probe(state.converted, self.joint.thin)
        return np.where(tender, np.where(self.thin[stage], thin_x, thick_x), reading)

    def advance(
        self, state: CookState, members: Members, *, before: Array, now: Array, step_s: float
    ) -> list[Ended]:
        """Move members on whose stage is over; return (stage, end moments or NaN, reached) for each stage
        ended.

        ``before`` and ``now`` are the probe readings at the step's two ends. Crossing times are interpolated
        within the step; the cook then takes the member's reaction time to act. Stages of zero length are
        passed at once.
        """
        count = self.kind.size
        running = state.stage < count
        stage = np.minimum(state.stage, count - 1)
        kind, target = self.kind[stage], self.target[stage]
        met = ((kind == _RISES) | (kind == _TENDER)) & (now >= target)
        met |= (kind == _FALLS) & (now <= target)
        met &= state.stage_clock_s >= self.at_least[stage]
        if np.isfinite(self.probed_from).any():
            met &= self.along_probe(state.temp_c, self.joint.core) >= self.probed_from[stage]
        fresh = met & np.isinf(state.waiting_s)
        moved = np.where(np.abs(now - before) > 1e-12, now - before, 1.0)
        inside = np.clip((target - before) / moved, 0.0, 1.0)
        reaction = np.where(self.reacts[stage], members.reaction, 0.0)
        overdue = (1.0 - inside) * step_s
        state.waiting_s = np.where(fresh, reaction - overdue, state.waiting_s - step_s)
        acted = state.waiting_s <= 0.0
        late = state.stage_clock_s >= self.at_most[stage] - 1e-6
        over = running & (acted | late)
        if not over.any():
            return []
        spill = np.where(acted, -state.waiting_s, state.stage_clock_s - self.at_most[stage])
        spill = np.clip(spill, 0.0, step_s)
        moments = np.where(over, state.clock_s - spill, np.nan)
        reached = np.where(kind == _TIMED, 1.0, (acted | met).astype(np.float64))
        ended: list[Ended] = [
            (int(index), np.where(over & (state.stage == index), moments, np.nan), reached)
            for index in np.unique(state.stage[over])
        ]
        state.stage = np.where(over, state.stage + 1, state.stage)
        state.stage_clock_s = np.where(over, spill, state.stage_clock_s)
        state.waiting_s = np.where(over, np.inf, state.waiting_s)
        return ended


def probe_points(joint: Joint, members: Members, place: Place) -> tuple[NDArray[np.int64], Array]:
    """Return where each member's probe reads at ``place``: points in (N, K, M) and weights, both (P, M).

    Between two depth nodes, on the long axis as ``Joint.on_axis`` has it.
    """
    middle = joint.node_depth
    depth = np.clip(0.5 + members.probe, middle[1], middle[-2])
    above = np.searchsorted(middle, depth, side="right") - 1
    part = (depth - middle[above]) / (middle[above + 1] - middle[above])
    everyone = np.arange(members.count)
    points, weights = [], []
    for cell, weight in joint.axis_weights(place):
        for deeper, share in ((0, 1.0 - part), (1, part)):
            points.append(((above + deeper) * joint.cells + cell) * members.count + everyone)
            weights.append(weight * share)
    return np.stack(points), np.stack(weights)


def condition_kind(until: Until) -> int:
    """Return which of the four conditions ``until`` sets."""
    if until.probe_tender:
        return _TENDER
    if until.core_temp_c is not None:
        return _RISES
    return _FALLS if until.core_falls_to_c is not None else _TIMED


def condition_target(until: Until, joint: Joint) -> float:
    """Return the reading that meets ``until`` (0 for a timed stage)."""
    if until.probe_tender:
        return joint.shape.tender_conversion
    if until.core_temp_c is not None:
        return until.core_temp_c
    return until.core_falls_to_c if until.core_falls_to_c is not None else 0.0
