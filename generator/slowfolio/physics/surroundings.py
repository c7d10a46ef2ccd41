"""What each member's faces see at a moment: air, walls, vapour, wrap, as its stage and its luck have them.

Stages are laid out as tables once; each step picks the rows of the members' stages and moves the pit's air
(ramps, swings, doors, fuel). Exchange with the meat lives in ``surfaces``; who is in which stage is
``cook``'s matter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.ensemble import Members
from slowfolio.physics.humid_air import saturation_pressure_pa
from slowfolio.physics.meat import Array
from slowfolio.physics.pit import forced_convection_w_m2_k
from slowfolio.physics.schedule import DoorOpening, FatSide, Schedule, Stage
from slowfolio.physics.state import CookState

DOOR_TIME_S = 40.0  # CALIBRATED 20-120: an open door empties a pit of warm air in about two minutes
SPRITZ_DOOR_S = 25.0  # CALIBRATED: how long a pit stands open for a spray


@dataclass(slots=True)
class Surroundings:
    """What the faces see now; (3, 1, M) by face (cap, lean, flank) or (M,)."""

    air_c: Array  # (3, 1, M)
    wall_c: Array  # (3, 1, M)
    emissivity: Array  # (3, 1, M) of the wrap or meat, times the view
    gap_m2_k_w: Array  # (3, 1, M) resistance of the wrap's gap, 0 = bare
    vapour_resistance: Array  # (3, 1, M) 1/permeance, inf = tight, 0 = bare
    retains: Array  # (3, 1, M) 1 where juice is kept
    bare: Array  # (3, 1, M) 1 where the face takes smoke and spray
    forced_w_m2_k: Array  # (1, 1, M)
    vapour_pa: Array  # (1, 1, M)
    smoke: Array  # (M,)
    cap_up: Array  # (M,) 1 where the fat cap looks up
    pit_c: Array  # (M,) with drift and swing
    spritz_kg_m2: Array  # (M,) sprayed during this step


class StageTables:
    """The schedule's stages as arrays, S rows each."""

    def __init__(self, schedule: Schedule) -> None:
        """Lay out the stages."""
        stages = schedule.stages
        self.schedule = schedule
        self.pit_c = np.array([s.pit_temp_c for s in stages])
        before = np.concatenate((self.pit_c[:1], self.pit_c[:-1]))
        starts = (stage.ramp_from_c for stage in stages)
        self.previous_c = np.array([b if s is None else s for b, s in zip(before, starts, strict=True)])
        self.ramp_s = np.array([s.ramp_s for s in stages])
        self.response_s = np.array([s.environment.response_s for s in stages])
        self.swing_k = np.array([s.environment.swing_k for s in stages])
        self.swing_s = np.array([s.environment.swing_period_s for s in stages])
        self.drift_k = np.array([s.environment.drift_sd_k for s in stages])
        self.vapour_pa = np.array([s.environment.vapour_pressure_pa + s.water_pan_vapour_pa for s in stages])
        self.vapour_spread = np.array([s.environment.humidity_spread for s in stages])
        self.smoke = np.array([s.environment.smoke for s in stages])
        density = schedule.pressure_pa / 101_325.0
        self.forced = np.array(
            [forced_convection_w_m2_k(s.environment.draught_m_s * density) for s in stages]
        )
        self.cap_up = np.array([float(s.fat_side is FatSide.UP) for s in stages])
        self.air_offset = by_face(stages, "air_offset_k")
        self.wall_offset = by_face(stages, "wall_offset_k")
        covers = [in_face_order(s, (s.wrap.upper, s.wrap.lower, s.wrap.flank)) for s in stages]
        view = np.array([s.environment.view for s in stages])
        self.emissivity = np.array([[c.emissivity for c in row] for row in covers]) * view[:, None]
        self.gap = np.array([[1.0 / c.gap_w_m2_k for c in row] for row in covers])
        self.resistance = np.array([[resistance_of(c.permeance_kg_s_m2_pa) for c in row] for row in covers])
        self.retains = np.array([[float(c.retains_juice) for c in row] for row in covers])
        self.bare = np.array([[float(math.isinf(c.permeance_kg_s_m2_pa)) for c in row] for row in covers])

    def scene(self, stage: NDArray[np.int64], members: Members) -> Scene:
        """Return what the stages the members are in fix for them."""
        return Scene(self, stage, members)

    def pick(self, state: CookState, members: Members, *, step_s: float) -> Surroundings:
        """Return the surroundings of all members over the coming step and advance the air of their pits."""
        return self.scene(state.stage, members).sky(state, step_s=step_s)


class Scene:
    """What its stage fixes for each member, gathered anew whenever one of them moves on; see ``sky``."""

    def __init__(self, tables: StageTables, stage: NDArray[np.int64], members: Members) -> None:
        """Gather the rows of the members' stages."""
        at = np.minimum(stage, tables.pit_c.size - 1)
        schedule = tables.schedule
        self.pressure_pa, self.room_temp_c = schedule.pressure_pa, schedule.room_temp_c
        self.count = stage.size
        self.previous_c = tables.previous_c[at]
        self.rise_k = tables.pit_c[at] - self.previous_c
        self.ramp_s = tables.ramp_s[at]
        self.ramping = bool((self.ramp_s > 0).any())
        self.response_s = tables.response_s[at]
        self.swing_k, self.swing_s = tables.swing_k[at], tables.swing_s[at]
        self.drift_k = tables.drift_k[at] * members.pit_drift
        self.air_offset = of_members(tables.air_offset, at)
        self.wall_offset = of_members(tables.wall_offset, at)
        self.emissivity = of_members(tables.emissivity, at)
        self.gap = of_members(tables.gap, at)
        self.tightness = of_members(tables.resistance, at) * members.wrap
        self.retains = of_members(tables.retains, at)
        self.bare = of_members(tables.bare, at)
        self.forced = (tables.forced[at] * members.convection)[None, None, :]
        self.vapour_pa = tables.vapour_pa[at] * np.exp(tables.vapour_spread[at] * members.humidity)
        self.smoke = tables.smoke[at]
        self.cap_up = tables.cap_up[at]
        self.eventful = [
            (one, here)
            for index, one in enumerate(schedule.stages)
            if (one.spritz is not None or one.doors or one.refuel is not None)
            and (here := np.flatnonzero(stage == index)).size
        ]

    def sky(self, state: CookState, *, step_s: float) -> Surroundings:
        """Return the surroundings of all members over the coming step and advance the air of their pits."""
        dial = self.previous_c + self.rise_k
        if self.ramping:
            part = np.where(self.ramp_s > 0, state.stage_clock_s / np.maximum(self.ramp_s, 1.0), 1.0)
            dial = self.previous_c + self.rise_k * np.minimum(part, 1.0)
        dip, open_part, spray = self.events(state, step_s=step_s)
        closed_rate = (1.0 - open_part) / self.response_s
        open_rate = open_part / DOOR_TIME_S
        rate = closed_rate + open_rate
        target = (closed_rate * (dial - dip) + open_rate * self.room_temp_c) / rate
        state.pit_c = target + (state.pit_c - target) * np.exp(-rate * step_s)
        swing = self.swing_k * np.sin(2.0 * math.pi * state.clock_s / self.swing_s)
        pit = state.pit_c + swing + self.drift_k
        scale = np.maximum(pit - self.room_temp_c, 0.0) / 100.0
        air = pit + self.air_offset * scale
        coldest = np.minimum(np.maximum(air[:, 0].min(axis=0), 0.02), 140.0)
        ceiling = np.minimum(saturation_pressure_pa(coldest), 0.95 * self.pressure_pa)
        return Surroundings(
            air_c=air,
            wall_c=pit + self.wall_offset * scale,
            emissivity=self.emissivity,
            gap_m2_k_w=self.gap,
            vapour_resistance=self.tightness,
            retains=self.retains,
            bare=self.bare,
            forced_w_m2_k=self.forced,
            vapour_pa=np.minimum(self.vapour_pa, ceiling)[None, None, :],
            smoke=self.smoke,
            cap_up=self.cap_up,
            pit_c=pit,
            spritz_kg_m2=spray,
        )

    def events(self, state: CookState, *, step_s: float) -> tuple[Array, Array, Array]:
        """Return the air's dip by fresh fuel (K), the part of the step with the door open and the spray,
        (M,).
        """
        dip, open_part, spray = np.zeros((3, self.count))
        for stage, here in self.eventful:
            clock = state.stage_clock_s[here]
            for door in stage.doors:
                open_part[here] += door_part(door, clock, step_s=step_s)
            if stage.spritz is not None:
                first, every = stage.spritz.first_s, stage.spritz.every_s
                spray[here] = stage.spritz.mass_kg_m2 * strokes(clock, step_s, first_s=first, every_s=every)
                opening = DoorOpening(first_s=first, open_s=SPRITZ_DOOR_S, every_s=every)
                open_part[here] += door_part(opening, clock, step_s=step_s)
            if stage.refuel is not None:
                since = np.mod(clock, stage.refuel.every_s)
                fresh = clock >= stage.refuel.every_s
                dip[here] = stage.refuel.dip_k * np.exp(-since / stage.refuel.lasting_s) * fresh
        return dip, np.minimum(open_part, 1.0), spray


def of_members(by_stage: Array, at: NDArray[np.int64]) -> Array:
    """Return rows ``at`` of a table (S, 3) as (3, 1, M)."""
    return np.ascontiguousarray(by_stage[at].T[:, None, :])


def by_face(stages: tuple[Stage, ...], suffix: str) -> Array:
    """Return the environment's offsets ``upper_/lower_/flank_`` + suffix in face order, shape (S, 3)."""
    rows: list[tuple[float, float, float]] = []
    for stage in stages:
        place = stage.environment
        upper, lower, flank = (
            float(getattr(place, f"{side}_{suffix}")) for side in ("upper", "lower", "flank")
        )
        rows.append(in_face_order(stage, (upper, lower, flank)))
    return np.array(rows, dtype=np.float64)


T = TypeVar("T")


def in_face_order(stage: Stage, by_side: tuple[T, T, T]) -> tuple[T, T, T]:
    """Return (upper, lower, flank) as (cap face, lean face, flank) for the way the cap looks."""
    upper, lower, flank = by_side
    return (upper, lower, flank) if stage.fat_side is FatSide.UP else (lower, upper, flank)


def resistance_of(permeance: float) -> float:
    """Return 1/permeance, with tight as infinity and bare as 0."""
    return math.inf if permeance == 0.0 else 1.0 / permeance


def strokes(clock: Array, step_s: float, *, first_s: float, every_s: float) -> NDArray[np.float64]:
    """Return how many of the moments first, first + every, ... fall within [clock, clock + step)."""
    after = np.floor((clock + step_s - 1e-6 - first_s) / every_s) + 1.0
    before = np.floor((clock - 1e-6 - first_s) / every_s) + 1.0
    return np.asarray(np.maximum(after, 0.0) - np.maximum(before, 0.0), dtype=np.float64)


def door_part(door: DoorOpening, clock: Array, *, step_s: float) -> Array:
    """Return the part (0..1) of [clock, clock + step) during which the door is open."""
    every = door.every_s or 1e9

    def open_until(moment: Array) -> Array:
        past = np.maximum(moment - door.first_s, 0.0)
        whole = np.floor(past / every)
        return whole * door.open_s + np.minimum(past - whole * every, door.open_s)

    return np.asarray((open_until(clock + step_s) - open_until(clock)) / step_s, dtype=np.float64)
