"""One recorded cook, cooked again many ways in one run of the engine: each way a variant of pit and piece.

What can be said of a member (thickness, draught, moisture) is said there; what belongs to the pit's walls
gets stages of its own, side by side in one schedule. Called by `against` and the fits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.as_run import AsRun
from slowfolio.physics.calibration import DEFAULT_CALIBRATION
from slowfolio.physics.cook import walk
from slowfolio.physics.ensemble import Members, nominal_members
from slowfolio.physics.schedule import Stage
from slowfolio.physics.state import fresh_state

Array = NDArray[np.float64]
Variant = Mapping[str, float]
"""Parameters and how far they are from the card's, in the units of `PARAMETERS`; what is left out is 0."""

STEP_S = 60.0
"""A third more than the engine's own step. COMPUTED: moves a course by 0.2 K at most."""

ON_MEMBERS = {
    "offset_k": "pit_drift",
    "humidity": "humidity",
    "convection": "convection",
    "thickness": "thickness",
    "fat": "fat",
    "release": "release",
    "wrap": "wrap",
}
"""Parameters that a member of the engine's ensemble carries, by the name of its input."""
ADDED = frozenset({"offset_k", "humidity"})
"""Inputs that add; all others multiply, and their parameter is a logarithm."""


@dataclass(frozen=True, slots=True)
class Courses:
    """What came of the variants: s after meat on, (T,); °C, (T, V); share of the weight left, (V,)."""

    time_s: Array
    thick_c: Array
    thin_c: Array
    pit_c: Array
    left: Array

    def one(self, variant: int) -> "Courses":
        """One variant by itself."""
        at = slice(variant, variant + 1)
        return Courses(self.time_s, self.thick_c[:, at], self.thin_c[:, at], self.pit_c[:, at], self.left[at])


def cook_variants(run: AsRun, variants: Sequence[Variant]) -> Courses:
    """Cook the piece again in every variant. Raises PhysicsInputError for a variant no kitchen can have."""
    walls = list(dict.fromkeys(walls_of(variant) for variant in variants))
    stages = tuple(with_walls(stage, wall) for wall in walls for stage in run.schedule.stages)
    length = len(run.schedule.stages)
    first = np.array([walls.index(walls_of(variant)) * length for variant in variants], dtype=np.int64)
    members = members_of(variants)
    starts = run.schedule.start_temp_c + np.array([variant.get("start_k", 0.0) for variant in variants])
    state = fresh_state(run.joint, members, start_temp_c=starts)
    state.stage[:] = first
    cooked = walk(
        run.joint,
        replace(run.schedule, stages=stages),
        members,
        state,
        step_s=STEP_S,
        calibration=DEFAULT_CALIBRATION,
        last=first + length - 1,
    )
    line = cooked.timeline
    return Courses(
        time_s=line.time_h * 3600.0,
        thick_c=line.core_c,
        thin_c=line.thin_c,
        pit_c=line.pit_c,
        left=line.mass_kg[-1] / run.joint.weight_kg,
    )


def members_of(variants: Sequence[Variant]) -> Members:
    """The engine's inputs for the variants."""
    nominal = nominal_members(len(variants))
    values: dict[str, Array] = {}
    for parameter, name in ON_MEMBERS.items():
        given = np.array([variant.get(parameter, 0.0) for variant in variants])
        base = getattr(nominal, name)
        values[name] = base + given if parameter in ADDED else base * np.exp(given)
    return replace(nominal, **values)


def walls_of(variant: Variant) -> tuple[float, float]:
    """How much warmer than on the card the surfaces above and below are, K at a pit 100 K above the room."""
    return variant.get("above_k", 0.0), variant.get("below_k", 0.0)


def with_walls(stage: Stage, walls: tuple[float, float]) -> Stage:
    """A stage between surfaces so much warmer."""
    above_k, below_k = walls
    place = stage.environment
    warmed = replace(
        place,
        upper_wall_offset_k=place.upper_wall_offset_k + above_k,
        lower_wall_offset_k=place.lower_wall_offset_k + below_k,
        flank_wall_offset_k=place.flank_wall_offset_k + 0.5 * (above_k + below_k),
    )
    return replace(stage, environment=warmed)
