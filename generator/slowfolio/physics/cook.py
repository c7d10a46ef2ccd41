"""The cook itself: an ensemble of joints walked through a schedule, all members at once, each at its own
stage.

``simulate`` starts from raw meat, ``resume`` carries on from the end of another cook. One step exchanges
heat and vapour at the faces, conducts, lets juice flow, and every few steps shrinks the grid and advances
the slow chemistry. Members that finish leave the arrays. What the numbers mean to an eater is worked out
in ``outcomes``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.calibration import DEFAULT_CALIBRATION, Calibration
from slowfolio.physics.conduction import solve_depth, spread_moisture
from slowfolio.physics.control import Stages
from slowfolio.physics.ensemble import Members, select_members
from slowfolio.physics.errors import PhysicsInputError, require_between
from slowfolio.physics.grid import Grid, GridMaker
from slowfolio.physics.humid_air import boiling_point_c
from slowfolio.physics.joint import Joint
from slowfolio.physics.juice import (
    boil_nodes,
    drain_films,
    held_water,
    release_juice,
    render_fat,
    soak_crust,
    spray_faces,
)
from slowfolio.physics.kinetics import (
    browning_rate_per_s,
    denaturation_rate_per_s,
    gelatinisation_rate_per_s,
    rendering_rate_per_s,
    smoke_uptake_efficiency,
)
from slowfolio.physics.meat import Array
from slowfolio.physics.recording import Recorder
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Schedule, Stage
from slowfolio.physics.state import (
    CAP,
    FLANK,
    LEAN,
    CookState,
    HeatContent,
    fresh_state,
    melted_at_c,
    water_heat_j_kg,
)
from slowfolio.physics.surfaces import FaceExchange, exchange, refresh_activity, settle
from slowfolio.physics.surroundings import StageTables, Surroundings

STEP_S = 45.0
# Steps between refreshes of the grid and of the slow chemistry.
SLOW_EVERY = 4
# Members that have finished are dropped from the arrays once they are this part of them.
DROP_AT = 0.2
# Steps between two words on the progress: half an hour of the cook.
TELL_EVERY = 40

Progress = Callable[[float], None]


def in_silence(share: float) -> None:
    """Tell nobody."""


def share_done(state: CookState, count: int, *, stages: int) -> float:
    """Return the part of all members' stages that is over, 0 to 1; members that left the arrays are done."""
    running = state.stage.size
    over = float(np.minimum(state.stage, stages).sum()) + stages * (count - running)
    return over / (stages * count)


def simulate(
    joint: Joint,
    schedule: Schedule,
    members: Members,
    *,
    step_s: float = STEP_S,
    calibration: Calibration = DEFAULT_CALIBRATION,
    progress: Progress = in_silence,
) -> CookResult:
    """Return the cook of ``joint`` through ``schedule`` for all ``members``.

    ``progress`` is told the share done, 0 to 1, now and then. Raises PhysicsInputError for input no kitchen
    can have. A target that cannot be reached is no error: the stage ends after its ``at_most_s`` and a
    finding of the result says why.
    """
    require_between("time step", step_s, low=1.0, high=180.0, unit="s")
    state = fresh_state(joint, members, start_temp_c=schedule.start_temp_c)
    return walk(joint, schedule, members, state, step_s=step_s, calibration=calibration, progress=progress)


def resume(
    before: CookResult,
    schedule: Schedule,
    *,
    step_s: float = STEP_S,
    calibration: Calibration = DEFAULT_CALIBRATION,
) -> CookResult:
    """Return what ``schedule`` (a hold, say) makes of the joints as ``before`` left them.

    Times start anew at 0; yields, balances and outcomes count from the raw piece. The schedule's start
    temperature is not used.
    """
    everyone = np.arange(before.members.count)
    state = before.final_state.select(everyone)
    state.clock_s[:] = 0.0
    state.stage[:] = 0
    state.stage_clock_s[:] = 0.0
    state.waiting_s[:] = np.inf
    return walk(before.joint, schedule, before.members, state, step_s=step_s, calibration=calibration)


def side_by_side(
    before: CookResult,
    stages: tuple[Stage, ...],
    chosen: NDArray[np.int64],
    *,
    step_s: float = STEP_S,
    calibration: Calibration = DEFAULT_CALIBRATION,
) -> CookResult:
    """Return what each of ``stages`` alone makes of the members ``chosen`` of ``before``, all in one run.

    The stages are alternatives (ways to hold the same joints) and must last equally long. The result's
    members are ordered by stage, then by ``chosen``: member ``s * chosen.size + m``.
    """
    if len({stage.until.duration_s for stage in stages}) != 1 or stages[0].until.duration_s is None:
        raise PhysicsInputError("stages side by side must all be timed and last equally long")
    everyone = np.tile(chosen, len(stages))
    state = before.final_state.select(everyone)
    state.clock_s[:] = 0.0
    state.stage[:] = np.repeat(np.arange(len(stages)), chosen.size)
    state.stage_clock_s[:] = 0.0
    state.waiting_s[:] = np.inf
    schedule = replace(before.schedule, stages=stages)
    members = select_members(before.members, everyone)
    return walk(
        before.joint,
        schedule,
        members,
        state,
        step_s=step_s,
        calibration=calibration,
        last=state.stage.copy(),
    )


def walk(
    joint: Joint, schedule: Schedule, members: Members, state: CookState, *, step_s: float,
    calibration: Calibration, last: NDArray[np.int64] | None = None, progress: Progress = in_silence,
) -> CookResult:  # fmt: skip
    """Advance ``state`` until every member has passed its ``last`` stage (None: the schedule's), and gather
    the result.
    """
    stages = Stages(joint, schedule, members)
    recorder = Recorder(joint, schedule, members, state, calibration=calibration)
    tables = StageTables(schedule)
    state.pit_c[:] = tables.previous_c[0]
    places: NDArray[np.int64] = np.arange(members.count)
    active = members
    engine = Engine(joint, schedule, active, state, step_s=step_s, calibration=calibration)
    steps = 0
    done = np.zeros(members.count, dtype=np.bool_)
    last = np.full(members.count, len(schedule.stages) - 1) if last is None else last
    longest = stages.longest_s()
    recorder.sample(state, places, pit_c=state.pit_c)
    scene, before = tables.scene(state.stage, active), stages.probe_readings(state)
    while True:
        sky = scene.sky(state, step_s=step_s)
        engine.step(sky, number=steps)
        steps += 1
        state.clock_s += step_s
        state.stage_clock_s += step_s
        now = stages.probe_readings(state)
        ended = stages.advance(state, active, before=before, now=now, step_s=step_s)
        for index, moments, reached in ended:
            recorder.end_stage(state, places, index, moments=moments, reached=reached)
        passed = state.stage > last[places]
        recorder.finish(state, places, np.flatnonzero(passed & ~done), pit_c=sky.pit_c)
        recorder.sample(state, places, pit_c=sky.pit_c)
        done = passed
        if steps % TELL_EVERY == 0:
            progress(share_done(state, members.count, stages=len(schedule.stages)))
        if done.all():
            break
        before = now
        if done.mean() >= DROP_AT:
            keep = np.flatnonzero(~done)
            places, state, active = places[keep], state.select(keep), select_members(active, keep)
            done = done[keep]
            stages = stages.narrowed(active)
            engine = Engine(joint, schedule, active, state, step_s=step_s, calibration=calibration)
        if ended:
            scene, before = tables.scene(state.stage, active), stages.probe_readings(state)
        if steps * step_s > longest:
            raise PhysicsInputError("the schedule did not end within its own longest time")
    return recorder.result(steps=steps)


class Engine:
    """One ensemble with its grid, advanced step by step."""

    def __init__(
        self, joint: Joint, schedule: Schedule, members: Members, state: CookState, *, step_s: float,
        calibration: Calibration, conductivity: Array | None = None,
    ) -> None:  # fmt: skip
        """Build the grid and heat content for the members as they are."""
        self.joint = joint
        self.members = members
        self.state = state
        self.step_s = step_s
        self.calibration = calibration
        self.room_temp_c = schedule.room_temp_c
        self.pressure_pa = schedule.pressure_pa
        self.boiling_c = float(boiling_point_c(schedule.pressure_pa))
        self.share = joint.node_fraction
        self.grids = GridMaker(joint, state, members, calibration=calibration, conductivity=conductivity)
        self.heat = HeatContent(state, melted_at_c=melted_at_c(joint))
        self.capacity = self.heat.capacity_j_k(state.temp_c)
        self.renderable = renderable_part(joint, calibration=calibration)
        self.grid: Grid = self.grids.grid(state)
        self.kept = held_water(state, members=members)

    def step(self, sky: Surroundings, *, number: int) -> None:
        """Advance all members by step ``number``; every SLOW_EVERY-th also refreshes grid and slow
        chemistry.
        """
        state, calibration, step_s = self.state, self.calibration, self.step_s
        if number % SLOW_EVERY == 0:
            self.grid = self.grids.grid(state)
            self.kept = held_water(state, members=self.members)
            self.ripen(sky, span_s=SLOW_EVERY * step_s)
            self.heat.take_fat(state)
        refresh_activity(state, calibration=calibration)
        spray_faces(state, self.grid, sky, room_temp_c=self.room_temp_c)
        faces = exchange(
            state, self.grid, sky, pressure_pa=self.pressure_pa, boiling_c=self.boiling_c, step_s=step_s,
            calibration=calibration,
        )  # fmt: skip
        change = solve_depth(
            state, self.grid, self.capacity, face_w_k=faces.conductance_w_k, outside_c=faces.outside_c,
            node_fraction=self.share, step_s=step_s,
        )  # fmt: skip
        state.heat_j += self.capacity * change
        state.cover = faces.cover
        settle(state, self.grid, faces, change_k=change, node_fraction=self.share, step_s=step_s)
        state.temp_c += change
        self.move_water(faces, sky)
        self.settle_temperature()

    def move_water(self, faces: FaceExchange, sky: Surroundings) -> None:
        """Release, spread, soak, drain and boil water at the solved temperatures."""
        state, calibration, step_s = self.state, self.calibration, self.step_s
        water_j_kg = water_heat_j_kg(state.temp_c)
        release_juice(
            state, self.grid, sky, joint=self.joint, kept=self.kept, water_j_kg=water_j_kg, step_s=step_s,
            calibration=calibration,
        )  # fmt: skip
        spread_moisture(state, self.grid, water_j_kg=water_j_kg, step_s=step_s, calibration=calibration)
        soak_crust(
            state, sky, cover=faces.cover, water_j_kg=water_j_kg, step_s=step_s, calibration=calibration
        )
        drain_films(state, self.grid, sky, water_j_kg=water_j_kg, calibration=calibration)
        boil_nodes(
            state, self.capacity, boiling_c=self.boiling_c, water_j_kg=water_j_kg, calibration=calibration
        )

    def settle_temperature(self) -> None:
        """Find the temperatures that hold the stored heat: one Newton step, good to microkelvins.

        The stored heat is exact, so what this step leaves over does not pile up.
        """
        state = self.state
        self.heat.refresh(state)
        content, self.capacity = self.heat.heat_and_capacity(state.temp_c)
        content -= state.heat_j
        content /= self.capacity
        state.temp_c -= content

    def ripen(self, sky: Surroundings, *, span_s: float) -> None:
        """Advance collagen, fat, browning, smoke and ring over ``span_s`` at the present temperatures."""
        state, calibration = self.state, self.calibration
        temp = state.temp_c
        np.maximum(state.hottest_c, state.surface_c, out=state.hottest_c)
        state.denatured = 1.0 - (1.0 - state.denatured) * np.exp(-denaturation_rate_per_s(temp) * span_s)
        rate = gelatinisation_rate_per_s(temp, calibration=calibration)
        collagen = rate * (self.joint.shape.collagen_factor * self.members.collagen)
        open_part = np.maximum(state.denatured - state.converted, 0.0)
        state.converted += open_part * -np.expm1(-collagen * span_s)
        leaving = rendering_rate_per_s(temp, calibration=calibration)
        render_fat(state, rate_per_s=leaving, renderable=self.renderable, step_s=span_s)
        cover = state.cover
        wetness = cover * 0.99 + (1.0 - cover) * state.activity
        state.browning += browning_rate_per_s(state.surface_c, wetness, calibration=calibration) * span_s
        smoke = sky.smoke * sky.bare
        state.smoke += smoke * smoke_uptake_efficiency(cover, calibration=calibration) * (span_s / 3600.0)
        self.deepen_ring(smoke, span_s=span_s)

    def deepen_ring(self, smoke: Array, *, span_s: float) -> None:
        """Move the nitrite front inward, d(r²)/dt = 2 D, while the meat it reaches is below the setting
        limit.
        """
        state, half = self.state, self.joint.nodes // 2
        for face, order in ((CAP, slice(None, half)), (LEAN, slice(None, -half - 1, -1))):
            at_front = state.surface_c[face].copy()
            temp, depth = state.temp_c[order], self.grid.node_m[order]
            before, position = state.surface_c[face], np.zeros_like(at_front)
            edge = np.zeros_like(at_front)
            for node in range(temp.shape[0]):
                middle = edge + 0.5 * depth[node]
                reach = np.clip((state.ring_m[face] - position) / (middle - position), 0.0, 1.0)
                at_front += reach * (temp[node] - before)
                before, position, edge = temp[node], middle, edge + depth[node]
            growing = (at_front < self.calibration.ring_limit_c) * np.minimum(smoke[face], 1.0)
            gain = 2.0 * self.calibration.ring_diffusivity_m2_s * span_s * growing
            state.ring_m[face] = np.sqrt(state.ring_m[face] ** 2 + gain)
        state.ring_m[FLANK] = 0.5 * (state.ring_m[CAP] + state.ring_m[LEAN])


def renderable_part(joint: Joint, *, calibration: Calibration) -> Array:
    """Return the part of each node's fat that can leave, cap and seam fat weighed, shape (N, K, 1)."""
    cap = joint.cap_fat_kg / np.maximum(joint.fat_kg, 1e-12)
    part = cap * calibration.cap_renderable + (1.0 - cap) * calibration.seam_renderable
    return np.asarray(part[..., None], dtype=np.float64)
