"""What a simulated cook hands back: times, temperatures, yield, outcomes, cross-sections and findings.

Only frozen data and the percentiles over it live here; ``cook.simulate`` fills it, ``forecast`` and the
pages read it. M is the number of ensemble members, S the number of stages, T the number of time samples
(at most 200), N the depth nodes, K the cells in plan.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from slowfolio.physics.ensemble import Members
from slowfolio.physics.joint import Joint
from slowfolio.physics.meat import Array
from slowfolio.physics.schedule import Schedule
from slowfolio.physics.state import CookState

SAMPLES = 200


@dataclass(frozen=True, slots=True)
class Spread:
    """Tenth, fiftieth and ninetieth percentile over the members."""

    p10: float
    p50: float
    p90: float


def spread_of(values: Array) -> Spread:
    """Return P10, P50 and P90 of ``values``, shape (M,)."""
    p10, p50, p90 = np.percentile(np.asarray(values, dtype=np.float64), [10.0, 50.0, 90.0])
    return Spread(float(p10), float(p50), float(p90))


class FindingCode(Enum):
    """Why a stage did not end the way the schedule asks, or what the cook should know about it."""

    TARGET_NOT_REACHED = "target-not-reached"
    BOILING_POINT = "target-above-boiling-point"
    EVAPORATION_BALANCE = "held-back-by-evaporation"


@dataclass(frozen=True, slots=True)
class Finding:
    """A stage that could not reach its target, with the reason in words a cook understands.

    ``members`` is how many of the ensemble it concerns; ``core_temp_c`` the median core temperature then.
    """

    code: FindingCode
    stage: str
    stage_index: int
    members: int
    core_temp_c: float
    message: str


@dataclass(frozen=True, slots=True)
class Timeline:
    """Values over time from the start, all members, each of shape (T, M); ``time_h`` has shape (T,).

    After a member's end its last value is carried on; ``stage_index`` is then S. ``core_c`` and ``thin_c``
    are in the middle of the depth at the two probe stations; ``surface_*_c`` are at
    the thickest cell; ``coldest_c`` is the coldest of all nodes and the core; ``mass_kg`` is the meat without
    drip and pool; ``collagen`` is the conversion in the thickest cell.
    """

    time_h: Array
    core_c: Array
    thin_c: Array
    surface_upper_c: Array
    surface_lower_c: Array
    coldest_c: Array
    pit_c: Array
    mass_kg: Array
    crust_water_activity: Array
    collagen: Array
    stage_index: Array

    def percentiles(self, name: str) -> Array:
        """Return P10, P50, P90 over the members of the series called ``name``, shape (3, T)."""
        values: Array = getattr(self, name)
        return np.asarray(np.percentile(values, [10.0, 50.0, 90.0], axis=1), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class StageEnds:
    """State at the end of each stage, each of shape (S, M)."""

    time_h: Array
    core_c: Array
    thin_c: Array
    coldest_c: Array  # of all nodes and the core
    mass_kg: Array
    pooled_kg: Array  # juice kept by tray or wrap
    crust_water_activity: Array
    crispness: Array  # 0-100
    collagen: Array  # conversion 0..1 in the thickest cell
    tenderness: Array  # 0-100
    reached: Array  # 1 where the stage's target was reached (or it was timed), else 0


@dataclass(frozen=True, slots=True)
class YieldSplit:
    """Where the raw weight went, fractions of it, each of shape (M,); they add up to 1 (plus spritzed
    water).
    """

    meat: Array
    evaporated: Array
    dripped: Array  # juice lost to the pit
    pooled: Array  # juice kept by tray or wrap, not in the meat
    rendered: Array  # fat that left the meat, into the pit or the tray
    spritzed: Array  # water added, counted against the sum


@dataclass(frozen=True, slots=True)
class Outcomes:
    """What the eater gets, at the end of the schedule, each of shape (M,).

    The first five are 0-100 scales documented in ``outcomes``; the rest are their parts in SI units.
    """

    bark: Array
    rendering: Array
    juiciness: Array
    smoke: Array
    tenderness: Array
    evenness: Array  # 0-100: top against bottom, thick against thin
    crispness: Array
    crust_thickness_m: Array
    crust_water_activity: Array
    browning: Array  # index, 1 = fully browned
    ring_depth_m: Array
    collagen: Array  # conversion at the thick part
    collagen_thin: Array
    fat_rendered: Array  # fraction of all fat
    cap_fat_rendered: Array  # fraction of the cap
    white_band_m: Array  # unrendered fat left under the crust
    moisture_thick: Array  # water mass fraction of the thick part (point)
    moisture_thin: Array  # of the thin part (flat)
    water_kept: Array  # fraction of the raw water still in the meat
    smoke_uptake: Array  # relative dose, 1 = eight hours bare and moist on a wood-burning offset


@dataclass(frozen=True, slots=True)
class CrossSection:
    """Fields of the median member over length and depth at one moment, for pictures.

    Arrays of shape (N, C): node depth (from the fat-cap face) by column (thin end first), at the long axis.
    ``moisture`` is the water mass fraction.
    """

    moment: str  # "wrap", "pull" or "end"
    time_h: float
    temp_c: Array
    moisture: Array
    thickness_m: Array  # (C,)
    node_depth: Array  # (N,)
    position: Array  # (C,)


@dataclass(frozen=True, slots=True)
class Balance:
    """Conservation residuals over the whole cook, each of shape (M,), relative to raw water and to heat
    taken up.
    """

    water: Array
    energy: Array


@dataclass(frozen=True, slots=True)
class CookResult:
    """One schedule simulated for all members; ``median_member`` indexes the member of median finish."""

    engine_version: str
    joint: Joint
    schedule: Schedule
    members: Members
    timeline: Timeline
    ends: StageEnds
    yields: YieldSplit
    outcomes: Outcomes
    sections: tuple[CrossSection, ...]
    balance: Balance
    findings: tuple[Finding, ...]
    median_member: int
    steps: int
    final_state: CookState

    @property
    def finish_h(self) -> Array:
        """Hours from the start to the end of the last cook stage (pull), shape (M,)."""
        return np.asarray(self.ends.time_h[self.pull_index], dtype=np.float64)

    @property
    def pull_index(self) -> int:
        """Index of the last stage of kind cook (0 if there is none)."""
        kinds = [stage.kind.value for stage in self.schedule.stages]
        return max((i for i, kind in enumerate(kinds) if kind == "cook"), default=0)
