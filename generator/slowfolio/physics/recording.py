"""Keeping what a cook shows on its way: time samples, stage ends, cross-sections, findings, balances.

``cook.walk`` reports to a ``Recorder``; its ``result`` is the ``CookResult`` that others read. Nothing here
changes the state.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics import ENGINE_VERSION
from slowfolio.physics.calibration import Calibration
from slowfolio.physics.ensemble import Members
from slowfolio.physics.findings import findings_of
from slowfolio.physics.grid import build_grid
from slowfolio.physics.joint import Joint
from slowfolio.physics.meat import Array
from slowfolio.physics.outcomes import (
    crispness_of,
    crust_activity,
    mean_over_depth,
    outcomes_of,
    tenderness_of,
)
from slowfolio.physics.results import (
    SAMPLES,
    Balance,
    CookResult,
    CrossSection,
    StageEnds,
    Timeline,
    YieldSplit,
)
from slowfolio.physics.schedule import FatSide, Schedule, StageKind
from slowfolio.physics.state import CAP, LEAN, CookState, HeatContent, melted_at_c, settled_temperature_c

SAMPLE_EVERY_S = 300.0
SERIES = (
    "core_c",
    "thin_c",
    "surface_upper_c",
    "surface_lower_c",
    "coldest_c",
    "pit_c",
    "mass_kg",
    "crust_water_activity",
    "collagen",
    "stage_index",
)
END_SERIES = (
    "time_h",
    "core_c",
    "thin_c",
    "coldest_c",
    "mass_kg",
    "pooled_kg",
    "crust_water_activity",
    "crispness",
    "collagen",
    "tenderness",
    "reached",
)


class Recorder:
    """What has been seen so far of all members, finished ones included."""

    def __init__(
        self,
        joint: Joint,
        schedule: Schedule,
        members: Members,
        state: CookState,
        *,
        calibration: Calibration,
    ) -> None:
        """Make room for all members."""
        self.joint = joint
        self.schedule = schedule
        self.members = members
        self.calibration = calibration
        count, stages = members.count, len(schedule.stages)
        self.final = state.select(np.arange(count))
        self.cap_up = np.array([float(s.fat_side is FatSide.UP) for s in schedule.stages])
        self.clock: list[float] = []
        self.samples: list[Array] = []
        self.latest = np.zeros((len(SERIES), count))
        self.next_sample_s = 0.0
        self.ends = {name: np.zeros((stages, count)) for name in END_SERIES}
        sections = (stages, joint.nodes, joint.columns, count)
        self.section_temp = np.zeros(sections)
        self.section_moisture = np.zeros(sections)

    def sample(self, state: CookState, places: NDArray[np.int64], *, pit_c: Array) -> None:
        """Keep the series of the members still cooking, every SAMPLE_EVERY_S."""
        if not places.size or float(state.clock_s[0]) < self.next_sample_s - 1e-6:
            return
        clock = float(state.clock_s[0])
        self.next_sample_s += SAMPLE_EVERY_S
        running = state.stage < self.cap_up.size
        self.keep_latest(state, places, np.flatnonzero(running), pit_c=pit_c)
        self.clock.append(clock)
        self.samples.append(self.latest.copy())

    def keep_latest(
        self, state: CookState, places: NDArray[np.int64], chosen: NDArray[np.int64], *, pit_c: Array
    ) -> None:
        """Note the present values of members ``chosen``."""
        stage = np.minimum(state.stage, self.cap_up.size - 1)
        cap_up = self.cap_up[stage] > 0.5
        faces = self.joint.at(state.surface_c, self.joint.core)
        rows = (
            self.joint.in_the_middle(state.temp_c, self.joint.core),
            self.joint.in_the_middle(state.temp_c, self.joint.thin),
            np.where(cap_up, faces[CAP], faces[LEAN]),
            np.where(cap_up, faces[LEAN], faces[CAP]),
            coldest_c(state, self.joint),
            pit_c,
            meat_mass_kg(state),
            crust_activity(state, self.joint, cap_up.astype(np.float64)),
            mean_over_depth(self.joint.at(state.converted, self.joint.core), self.joint),
            state.stage.astype(np.float64),
        )
        for row, values in enumerate(rows):
            self.latest[row, places[chosen]] = values[chosen]

    def end_stage(
        self, state: CookState, places: NDArray[np.int64], index: int, *, moments: Array, reached: Array
    ) -> None:
        """Keep the state of the members whose stage ``index`` ended at ``moments`` (NaN: others)."""
        chosen = np.flatnonzero(np.isfinite(moments))
        cap_up = np.full(moments.size, self.cap_up[index])
        activity = crust_activity(state, self.joint, cap_up)
        collagen = mean_over_depth(self.joint.at(state.converted, self.joint.core), self.joint)
        soft = self.joint.shape.tender_conversion
        values = {
            "time_h": moments / 3600.0,
            "core_c": self.joint.in_the_middle(state.temp_c, self.joint.core),
            "thin_c": self.joint.in_the_middle(state.temp_c, self.joint.thin),
            "coldest_c": coldest_c(state, self.joint),
            "mass_kg": meat_mass_kg(state),
            "pooled_kg": state.pool_kg,
            "crust_water_activity": activity,
            "crispness": crispness_of(activity),
            "collagen": collagen,
            "tenderness": tenderness_of(collagen, soft if soft > 0.0 else 0.40),
            "reached": reached,
        }
        for name, array in values.items():
            self.ends[name][index, places[chosen]] = array[chosen]
        inner = slice(None, None, self.joint.lanes)
        water = state.water_kg[:, inner]
        total = water + state.dry_kg[:, inner] + state.fat_kg[:, inner]
        self.section_temp[index][..., places[chosen]] = state.temp_c[:, inner][..., chosen]
        self.section_moisture[index][..., places[chosen]] = (water / total)[..., chosen]

    def finish(
        self, state: CookState, places: NDArray[np.int64], chosen: NDArray[np.int64], *, pit_c: Array
    ) -> None:
        """Keep the final state of members ``chosen``, which have passed their last stage."""
        if not chosen.size:
            return
        self.keep_latest(state, places, chosen, pit_c=pit_c)
        self.final.store(state, places[chosen], chosen)

    def result(self, *, steps: int) -> CookResult:
        """Return everything as a ``CookResult``."""
        state, joint = self.final, self.joint
        content = HeatContent(state, melted_at_c=melted_at_c(joint))
        state.temp_c = settled_temperature_c(state, content, steps=3)
        grid = build_grid(joint, state, self.members, calibration=self.calibration)
        ends = StageEnds(**self.ends)
        cap_up = np.full(self.members.count, self.cap_up[-1])
        pull = pull_stage(self.schedule)
        order = np.lexsort((ends.core_c[pull], ends.time_h[pull]))
        median = int(order[(order.size - 1) // 2])
        return CookResult(
            engine_version=ENGINE_VERSION,
            joint=joint,
            schedule=self.schedule,
            members=self.members,
            timeline=self.timeline(ends),
            ends=ends,
            yields=yield_split(state),
            outcomes=outcomes_of(state, grid, joint, cap_up, calibration=self.calibration),
            sections=self.cross_sections(ends, median, pull),
            balance=balance_of(state, joint),
            findings=findings_of(self.schedule, joint, ends),
            median_member=median,
            steps=steps,
            final_state=state,
        )

    def timeline(self, ends: StageEnds) -> Timeline:
        """Return the samples on an even grid of at most SAMPLES moments up to the last member's end."""
        self.clock.append(max(float(ends.time_h[-1].max()) * 3600.0, self.clock[-1] + 1.0))
        self.samples.append(self.latest.copy())
        clock = np.array(self.clock)
        series = np.stack(self.samples)  # (T, series, M)
        if clock.size > SAMPLES:
            even = np.linspace(0.0, clock[-1], SAMPLES)
            after = np.clip(np.searchsorted(clock, even), 1, clock.size - 1)
            part = ((even - clock[after - 1]) / (clock[after] - clock[after - 1]))[:, None, None]
            series = series[after - 1] + part * (series[after] - series[after - 1])
            clock = even
        named = {name: np.ascontiguousarray(series[:, row]) for row, name in enumerate(SERIES)}
        return Timeline(time_h=clock / 3600.0, **named)

    def cross_sections(self, ends: StageEnds, median: int, pull: int) -> tuple[CrossSection, ...]:
        """Return the median member's fields at wrap (if it is wrapped), pull and end."""
        moments = [("pull", pull), ("end", len(self.schedule.stages) - 1)]
        wrap = wrap_stage(self.schedule)
        if wrap is not None:
            moments.insert(0, ("wrap", wrap))
        return tuple(
            CrossSection(
                moment=name,
                time_h=float(ends.time_h[stage, median]),
                temp_c=self.section_temp[stage, :, :, median].copy(),
                moisture=self.section_moisture[stage, :, :, median].copy(),
                thickness_m=self.joint.column_thickness_m[:: self.joint.lanes]
                * float(self.members.thickness[median]),
                node_depth=self.joint.node_depth,
                position=self.joint.column_positions,
            )
            for name, stage in moments
        )


def coldest_c(state: CookState, joint: Joint) -> Array:
    """Return the coldest temperature of the piece, shape (M,): of all nodes' means and of the core's middle,
    which a blocky piece has below the mean of any node.
    """
    core = joint.in_the_middle(state.temp_c, joint.core)
    return np.asarray(np.minimum(state.temp_c.min(axis=(0, 1)), core), dtype=np.float64)


def meat_mass_kg(state: CookState) -> Array:
    """Return the mass of the meat with the juice on its faces, without pool and drip, shape (M,)."""
    parts = (state.water_kg, state.dry_kg, state.fat_kg, state.film_kg)
    return np.asarray(sum(part.sum(axis=(0, 1)) for part in parts), dtype=np.float64)


def raw_mass_kg(state: CookState) -> Array:
    """Return the raw mass, shape (M,)."""
    return np.asarray((state.raw_water_kg + state.dry_kg + state.raw_fat_kg).sum(axis=(0, 1)))


def yield_split(state: CookState) -> YieldSplit:
    """Return where the raw weight went."""
    raw = raw_mass_kg(state)
    return YieldSplit(
        meat=meat_mass_kg(state) / raw,
        evaporated=state.evaporated_kg / raw,
        dripped=state.dripped_kg / raw,
        pooled=state.pool_kg / raw,
        rendered=state.rendered_kg / raw,
        spritzed=state.spritzed_kg / raw,
    )


def balance_of(state: CookState, joint: Joint) -> Balance:
    """Return what water and heat are unaccounted for, relative to raw water and to all heat that moved.

    The heat in the meat is worked out afresh from its temperatures, not taken from the running account.
    """
    raw = state.raw_water_kg.sum(axis=(0, 1))
    held = state.water_kg.sum(axis=(0, 1)) + state.film_kg.sum(axis=(0, 1)) + state.pool_kg
    water = held + state.evaporated_kg + state.dripped_kg - state.spritzed_kg - raw
    heat = HeatContent(state, melted_at_c=melted_at_c(joint)).heat_j(state.temp_c).sum(axis=(0, 1))
    gained = heat - state.start_heat_j
    moved = np.abs(state.heat_in_j) + np.abs(state.heat_out_j) + 1.0
    return Balance(water=water / raw, energy=(gained - state.heat_in_j + state.heat_out_j) / moved)


def pull_stage(schedule: Schedule) -> int:
    """Return the index of the last cook stage (0 where there is none)."""
    cooks = [i for i, stage in enumerate(schedule.stages) if stage.kind is StageKind.COOK]
    return cooks[-1] if cooks else 0


def wrap_stage(schedule: Schedule) -> int | None:
    """Return the index of the stage whose end is the wrapping, or None where nothing is wrapped on the
    way.
    """
    for index in range(1, len(schedule.stages)):
        if schedule.stages[index].wrap != schedule.stages[index - 1].wrap:
            return index - 1
    return None
