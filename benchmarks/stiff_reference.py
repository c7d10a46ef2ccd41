"""The engine's equations as a plain system of ordinary differential equations for SciPy's stiff solver.

A second, independent time integration of one unwrapped or wrapped stage: heat, water, fat and films as
unknowns, surface temperatures from their algebraic balance, no splitting, no step limiters. The benchmark
times it and a test compares its temperatures with the engine's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from slowfolio.physics.calibration import DEFAULT_CALIBRATION
from slowfolio.physics.conduction import sideways_heat_w
from slowfolio.physics.cook import renderable_part
from slowfolio.physics.ensemble import Members, nominal_members
from slowfolio.physics.fast_water import fast_latent_heat_j_kg, fast_saturation_pressure_pa
from slowfolio.physics.grid import Grid, build_grid, skin_layers
from slowfolio.physics.humid_air import boiling_point_c
from slowfolio.physics.joint import Joint
from slowfolio.physics.juice import (
    RIVULET_COVER,
    SOAKED_MOISTURE,
    face_shares,
    held_water,
    run_off_share,
    shared_along,
)
from slowfolio.physics.kinetics import rendering_rate_per_s
from slowfolio.physics.schedule import Schedule
from slowfolio.physics.sorption import water_activity
from slowfolio.physics.state import (
    CAP,
    FLANK,
    LEAN,
    CookState,
    HeatContent,
    fresh_state,
    liquid_fat_heat_j_kg,
    melted_at_c,
    settled_temperature_c,
    water_heat_j_kg,
)
from slowfolio.physics.surfaces import exchange, refresh_activity
from slowfolio.physics.surroundings import StageTables, Surroundings

Array = NDArray[np.float64]
NO_LIMIT_S = 1e-6  # a vanishing step switches the engine's per-step limiters off
DRAIN_S = 20.0  # films above their cap drain this fast


@dataclass(frozen=True, slots=True)
class StiffRun:
    """Times (s), core temperature (°C) and meat mass (kg) of the stiff solution."""

    time_s: Array
    core_c: Array
    mass_kg: Array
    evaluations: int


class StiffCook:
    """Right-hand side for the first stage of a schedule."""

    def __init__(self, joint: Joint, schedule: Schedule) -> None:
        """Lay out the unknowns: heat, water and fat of the nodes, films of the faces."""
        self.joint = joint
        self.schedule = schedule
        self.calibration = DEFAULT_CALIBRATION
        self.nodes, self.cells = joint.nodes, joint.cells
        self.size = self.nodes * self.cells
        self.boiling_c = float(boiling_point_c(schedule.pressure_pa))
        self.raw = fresh_state(joint, nominal_members(1), start_temp_c=schedule.start_temp_c)
        self.raw.pit_c[:] = schedule.stages[0].pit_temp_c
        self.evaluations = 0

    def start(self) -> Array:
        """Return the initial unknowns."""
        raw = self.raw
        parts = (raw.heat_j, raw.water_kg, raw.fat_kg, raw.film_kg)
        return np.concatenate([p[..., 0].ravel() for p in parts])

    def state_of(self, values: Array) -> tuple[CookState, Members]:
        """Return the engine's state for columns of unknowns, temperatures included."""
        count = values.shape[1]
        members = nominal_members(count)
        state = self.raw.select(np.zeros(count, dtype=np.int64))
        size, shape = self.size, (self.nodes, self.cells, count)
        state.heat_j = values[:size].reshape(shape)
        state.water_kg = np.maximum(values[size : 2 * size].reshape(shape), 1e-9)
        state.fat_kg = values[2 * size : 3 * size].reshape(shape)
        state.film_kg = np.maximum(values[3 * size :].reshape(3, self.cells, count), 0.0)
        state.temp_c = np.full(shape, 50.0)
        content = HeatContent(state, melted_at_c=melted_at_c(self.joint))
        state.temp_c = np.clip(settled_temperature_c(state, content, steps=6), 0.0, 180.0)
        return state, members

    def rates(self, time_s: float, values: Array) -> Array:
        """Return the time derivatives of columns of unknowns."""
        if values.ndim == 1:
            return self.rates(time_s, values[:, None])[:, 0]
        self.evaluations += values.shape[1]
        calibration = self.calibration
        state, members = self.state_of(values)
        state.stage_clock_s[:] = time_s
        state.clock_s[:] = time_s
        sky = StageTables(self.schedule).pick(state, members, step_s=NO_LIMIT_S)
        grid = build_grid(self.joint, state, members, calibration=calibration)
        share = self.joint.node_fraction[:, None, None]
        inside = np.stack([state.temp_c[0], state.temp_c[-1], (share * state.temp_c).sum(axis=0)])
        state.surface_c = inside.copy()
        area = grid.face_area_m2
        for _ in range(12):
            refresh_activity(state, calibration=calibration)
            faces = exchange(
                state, grid, sky, pressure_pa=self.schedule.pressure_pa, boiling_c=self.boiling_c,
                step_s=NO_LIMIT_S, calibration=calibration,
            )  # fmt: skip
            inflow = faces.conductance_w_k * (faces.outside_c - inside)
            through = np.maximum(area, 1e-12) * faces.steepness_w_m2_k
            state.surface_c = np.where(area > 0, faces.outside_c - inflow / through, inside)
        heat = sideways_heat_w(state.temp_c, grid)
        flow = grid.depth_w_k * (state.temp_c[1:] - state.temp_c[:-1])
        heat[:-1] += flow
        heat[1:] -= flow
        heat[0] += inflow[CAP]
        heat[-1] += inflow[LEAN]
        heat += share * faces.conductance_w_k[FLANK] * (faces.outside_c[FLANK] - state.temp_c)
        water = np.zeros_like(heat)
        film = -faces.film_flux * area
        crust = faces.crust_flux * area
        water[0] -= crust[CAP]
        water[-1] -= crust[LEAN]
        ends = water_heat_j_kg(np.stack([state.temp_c[0], state.temp_c[-1]]))
        half = 0.5 * film[FLANK]
        heat[0] += (film[CAP] + half - crust[CAP]) * ends[0]
        heat[-1] += (film[LEAN] + half - crust[LEAN]) * ends[1]
        aside = state.water_kg * (crust[FLANK] / state.water_kg.sum(axis=0))
        water -= aside
        heat -= aside * water_heat_j_kg(inside[FLANK])
        self.spread(state, grid, heat, water)
        state.cover = faces.cover
        film += self.release(state, members, grid, sky, heat, water)
        fat = self.render(state, heat)
        return np.concatenate([p.reshape(-1, values.shape[1]) for p in (heat, water, fat, film)])

    def spread(self, state: CookState, grid: Grid, heat: Array, water: Array) -> None:
        """Add the spreading of moisture between outer nodes to ``heat`` and ``water``."""
        pull, vapour_pull, monolayer = grid.skin_kg_s, grid.skin_kg_s_pa, grid.skin_monolayer
        count = pull.shape[1] + 1
        moisture = skin_layers(state.water_kg / state.dry_kg, count)
        temp = skin_layers(state.temp_c, count)
        pressure = water_activity(moisture, monolayer, calibration=self.calibration)
        pressure = pressure * fast_saturation_pressure_pa(np.minimum(temp, 115.0))
        vapour = vapour_pull * np.diff(pressure, axis=1)
        outward = pull * np.diff(moisture, axis=1) + vapour
        source = np.where(outward > 0, temp[:, 1:], temp[:, :-1])
        carried = outward * water_heat_j_kg(source) + vapour * fast_latent_heat_j_kg(source)
        for side, order in ((0, slice(None, count)), (1, slice(None, -count - 1, -1))):
            for target, moved in ((water[order], outward[side]), (heat[order], carried[side])):
                target[:-1] += moved
                target[1:] -= moved

    def release(
        self, state: CookState, members: Members, grid: Grid, sky: Surroundings, heat: Array, water: Array
    ) -> Array:
        """Add juice release, run-off, soaking, draining and boiling; return the films' gain, kg/s."""
        calibration, half = self.calibration, self.nodes // 2
        released = np.zeros_like(water)
        kept = held_water(state, members=members)
        if kept is not None:
            released = np.maximum(state.water_kg - kept[0], 0.0) / calibration.release_time_s
            released += np.maximum(state.water_kg - kept[1], 0.0) / calibration.slow_release_time_s
        carried = released * water_heat_j_kg(state.temp_c)
        water -= released
        heat -= carried
        shares = face_shares(grid, sky, joint=self.joint, calibration=calibration)
        juice = released[:half].sum(axis=0) * shares[0] + released[half:].sum(axis=0) * shares[1]
        brought = carried[:half].sum(axis=0) * shares[0] + carried[half:].sum(axis=0) * shares[1]
        juice, brought = (shared_along(flow, grid, calibration=calibration) for flow in (juice, brought))
        heat[0] += brought[CAP] + 0.5 * brought[FLANK]
        heat[-1] += brought[LEAN] + 0.5 * brought[FLANK]
        off = run_off_share(sky, calibration=calibration)
        area = grid.face_area_m2
        lost = off * np.minimum(state.cover / RIVULET_COVER, 1.0) * juice
        lost += np.maximum(state.film_kg - calibration.film_cap_kg_m2 * area, 0.0) / DRAIN_S
        ends = water_heat_j_kg(np.stack([state.temp_c[0], state.temp_c[-1]]))
        heat[0] -= (lost[CAP] + 0.5 * lost[FLANK]) * ends[0]
        heat[-1] -= (lost[LEAN] + 0.5 * lost[FLANK]) * ends[1]
        gain = juice - lost
        for face, node in ((CAP, 0), (LEAN, -1)):
            missing = np.maximum(SOAKED_MOISTURE * state.dry_kg[node] - state.water_kg[node], 0.0)
            soaked = missing / calibration.rewetting_time_s * state.cover[face]
            gain[face] -= soaked
            water[node] += soaked
        free = np.maximum(state.water_kg - calibration.bound_water_kg_kg * state.dry_kg, 0.0)
        steam = np.minimum(np.maximum(state.temp_c - self.boiling_c, 0.0) * 1e-4, 1e-3) * free
        water -= steam
        heat -= steam * (fast_latent_heat_j_kg(state.temp_c) + water_heat_j_kg(state.temp_c))
        return gain

    def render(self, state: CookState, heat: Array) -> Array:
        """Add the heat of leaving fat; return the fat's rate, kg/s."""
        rate = rendering_rate_per_s(state.temp_c, calibration=self.calibration)
        done = 1.0 - state.fat_kg / np.maximum(state.raw_fat_kg, 1e-12)
        left = np.maximum(renderable_part(self.joint, calibration=self.calibration) - done, 0.0)
        leaving = rate * left * state.raw_fat_kg
        heat -= leaving * liquid_fat_heat_j_kg(state.temp_c)
        return -leaving


def solve_stiff(joint: Joint, schedule: Schedule, *, until_s: float, method: str = "BDF") -> StiffRun:
    """Return the stiff solution of the schedule's first stage up to ``until_s`` (relative tolerance 1e-3)."""
    cook = StiffCook(joint, schedule)
    moments = np.linspace(0.0, until_s, 13)
    start = cook.start()
    scale = np.concatenate(
        [np.full(cook.size, 50.0), np.full(2 * cook.size, 1e-4), np.full(3 * cook.cells, 1e-5)]
    )
    answer = solve_ivp(
        cook.rates,
        (0.0, until_s),
        start,
        method=method,
        t_eval=moments,
        rtol=1e-3,
        atol=scale,
        vectorized=True,
    )
    if not answer.success:
        raise RuntimeError(f"the stiff solver gave up: {answer.message}")
    state, _ = cook.state_of(answer.y)
    mass = (state.water_kg + state.fat_kg + state.dry_kg).sum(axis=(0, 1)) + state.film_kg.sum(axis=(0, 1))
    core = joint.in_the_middle(state.temp_c, joint.core)
    return StiffRun(answer.t, core, mass, cook.evaluations)
