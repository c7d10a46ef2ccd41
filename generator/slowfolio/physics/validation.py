"""Published cooks and trade rules that the engine is held against, and what it makes of them.

Each case is a function that runs the engine and returns figures by name. ``validation.json`` beside this
file holds published and own figures with their standing: the tests recompute it, the page on the numbers
prints it. Pieces and pits here are the validation's own; where a source leaves something out, the remark
says what was assumed.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.resources import files

import numpy as np

from slowfolio.physics.cook import side_by_side, simulate
from slowfolio.physics.ensemble import nominal_members
from slowfolio.physics.humid_air import vapour_pressure_from_relative_humidity_pa
from slowfolio.physics.joint import CutShape, Joint, build_joint
from slowfolio.physics.meat import Composition, FatKind
from slowfolio.physics.pit import PitModel
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import (
    Schedule,
    Stage,
    StageKind,
    until_core,
    until_core_falls,
    until_time,
)
from slowfolio.physics.wraps import (
    FaceCover,
    WrapModel,
    butcher_paper,
    foil_boat,
    foil_tight,
    no_wrap,
)

HOUR = 3600.0
Figures = dict[str, float]

# USDA SR, NDB 13904 (flat, 0" trim) READ; the point between its 1/8" row and lean (CALIBRATED).
FLAT = Composition(water=0.6989, protein=0.2032, fat=0.0929, ash=0.0098)
POINT = Composition(water=0.65, protein=0.185, fat=0.16, ash=0.009)
LEAN = Composition(water=0.745, protein=0.21, fat=0.035, ash=0.01)

PACKER = CutShape(
    name="trimmed packer brisket",
    length_ratio=5.2,
    width_ratio=3.1,
    thickness_profile=(0.55, 0.7, 0.85, 1.0, 0.9),
    thin_part=FLAT,
    thick_part=POINT,
    edge_ratio=0.75,
    thick_from=0.55,
    fat_cap_thickness_m=0.006,
    fat_cap_cover=0.9,
)
# An offset outdoors: heat and draught from above, thin steel walls well below the air.
OFFSET = PitModel(
    name="offset, thin steel",
    draught_m_s=0.5,
    upper_air_offset_k=5.0,
    lower_air_offset_k=-3.0,
    upper_wall_offset_k=-15.0,
    lower_wall_offset_k=-30.0,
    flank_wall_offset_k=-25.0,
    swing_k=8.0,
    smoke=1.0,
)
# A large wood-fired pit: strong draught, heavy or insulated walls.
LARGE_PIT = replace(
    OFFSET,
    name="large wood-fired pit",
    draught_m_s=1.6,
    upper_wall_offset_k=0.0,
    lower_wall_offset_k=-8.0,
    flank_wall_offset_k=-5.0,
)
# A pit with a drip plate below and a fan or burner: hot from below, a thin lid above.
DRIP_PLATE_PIT = PitModel(
    name="pit with a drip plate",
    draught_m_s=0.5,
    upper_wall_offset_k=-14.0,
    lower_wall_offset_k=8.0,
    flank_wall_offset_k=-3.0,
    smoke=0.7,
)
BOARD = PitModel(name="board", draught_m_s=0.15, vapour_pressure_pa=1200.0)
# USDA SR, NDB 05732 (meat and skin) and NDB 10080 (READ); forms as taped on whole pieces, edges rounded.
# A breast is taped over its curve and from skin to ribs: the hollow under the ribs lets the heat in.
TURKEY_BREAST = CutShape(
    name="bone-in turkey breast, skin on",
    length_ratio=3.15,
    width_ratio=2.95,
    thickness_profile=(0.63, 0.72, 0.9, 1.0, 1.0),
    thin_part=Composition(water=0.7098, protein=0.2188, fat=0.0745, ash=0.0098),
    thick_part=Composition(water=0.7098, protein=0.2188, fat=0.0745, ash=0.0098),
    edge_ratio=0.8,
    fat_cap_thickness_m=0.002,
    fat_cap_cover=0.8,
    fat=FatKind.POULTRY,
    bone_fraction=0.13,
    tender_conversion=0.0,
)
PORK_SHOULDER = CutShape(
    name="bone-in pork shoulder",
    length_ratio=1.8,
    width_ratio=1.27,
    thickness_profile=(0.72, 0.78, 0.92, 1.0, 1.0),
    thin_part=Composition(water=0.6918, protein=0.1742, fat=0.1236, ash=0.0083),
    thick_part=Composition(water=0.6918, protein=0.1742, fat=0.1236, ash=0.0083),
    edge_ratio=0.8,
    fat_cap_thickness_m=0.006,
    fat_cap_cover=0.7,
    fat=FatKind.PORK,
    bone_fraction=0.09,
    collagen_factor=1.6,
)
WATER_BATH = PitModel(name="water bath", draught_m_s=15.0, response_s=60.0, drift_sd_k=0.0)
BAG = FaceCover(0.0, 0.9, 500.0, retains_juice=True)
IN_BAG = WrapModel(name="bag", upper=BAG, lower=BAG, flank=BAG)


@dataclass(frozen=True, slots=True)
class Check:
    """One row of the validation table.

    ``low``..``high`` is what the source allows (equal where it gives one figure); ``ours`` the engine's
    figure; ``provenance`` is published, practice or computed; ``standing`` is met or missed, with a remark.
    """

    case: str
    figure: str
    what: str
    unit: str
    low: float
    high: float
    ours: float
    tolerance: float
    provenance: str
    source: str
    remark: str

    @property
    def difference(self) -> float:
        """How far ``ours`` lies outside the published range (0 inside), in the row's unit."""
        return max(self.low - self.ours, self.ours - self.high, 0.0) * (-1.0 if self.ours < self.low else 1.0)

    @property
    def met(self) -> bool:
        """Whether the difference lies within the row's tolerance."""
        return abs(self.difference) <= self.tolerance


def load_checks() -> tuple[Check, ...]:
    """Return the rows of the validation table as stored in ``validation.json``."""
    text = files("slowfolio.physics").joinpath("validation.json").read_text(encoding="utf-8")
    return tuple(Check(**row) for row in json.loads(text)["checks"])


def one_cook(joint: Joint, *stages: Stage, start_temp_c: float = 4.0) -> CookResult:
    """Return the nominal member's cook."""
    return simulate(joint, Schedule(tuple(stages), start_temp_c=start_temp_c), nominal_members(1))


def core_hours(result: CookResult, temp_c: float) -> float:
    """Return when the core first passes ``temp_c``, h."""
    line = result.timeline
    first = int(np.argmax(line.core_c[:, 0] >= temp_c))
    part = (temp_c - line.core_c[first - 1, 0]) / (line.core_c[first, 0] - line.core_c[first - 1, 0])
    return float(line.time_h[first - 1] + part * (line.time_h[first] - line.time_h[first - 1]))


def pit_cook_at_99() -> Figures:
    """Return the wood-fired 98.9 °C cook to 85 °C of Harris et al. (2017)."""
    result = one_cook(
        build_joint(PACKER, 5.0),
        Stage("pit", 98.9, until_core(85.0, at_most_s=40 * HOUR), environment=LARGE_PIT),
    )
    return {
        "hours": float(result.finish_h[0]),
        "collagen": float(result.ends.collagen[0, 0]),
        "meat_pct": 100.0 * float(result.yields.meat[0]),
    }


def oven_to_core_and_hold(target_c: float) -> float:
    """Return the yield (%) of a brisket taken to ``target_c`` and held there for three hours (Kerth et
    al.).
    """
    oven = replace(LARGE_PIT, draught_m_s=1.0, smoke=0.0)
    result = one_cook(
        build_joint(PACKER, 5.0),
        Stage("cook", 121.0, until_core(target_c, at_most_s=30 * HOUR), environment=oven),
        Stage(
            "hold", target_c, until_time(3 * HOUR), kind=StageKind.HOLD, environment=oven, wrap=foil_tight()
        ),
    )
    return 100.0 * float(result.yields.meat[0])


def brisket_yields() -> Figures:
    """Return the yields of the 96-brisket study of Kerth et al."""
    return {"meat_85_pct": oven_to_core_and_hold(85.0), "meat_90_pct": oven_to_core_and_hold(90.0)}


def bag_loss_pct(temp_c: float, minutes: float) -> float:
    """Return the loss (%) of a 1.2 kg lean muscle in a bag, ``minutes`` after its core came up."""
    shape = CutShape("supraspinatus", 2.5, 1.3, (0.7, 1.0, 0.7), LEAN, LEAN, edge_ratio=0.8)
    result = one_cook(
        build_joint(shape, 1.2),
        Stage("up", temp_c + 1.5, until_core(temp_c - 1.0), environment=WATER_BATH, wrap=IN_BAG),
        Stage(
            "at heat",
            temp_c,
            until_time(60.0 * minutes),
            kind=StageKind.HOLD,
            environment=WATER_BATH,
            wrap=IN_BAG,
        ),
        start_temp_c=5.0,
    )
    return 100.0 * (1.0 - float(result.yields.meat[0]))


def bag_losses() -> Figures:
    """Return the three losses of beef supraspinatus in a bag."""
    return {
        "loss_61": bag_loss_pct(61.0, 300),
        "loss_71": bag_loss_pct(71.0, 120),
        "loss_76": bag_loss_pct(76.0, 90),
    }


def wet_surface() -> Figures:
    """Return surface and drip of a bare piece while it is wet (Bengtsson et al. 1976)."""
    joint = build_joint(CutShape("lean slab", 4.0, 3.0, (1.0,), LEAN, LEAN), 3.0)
    oven = PitModel(draught_m_s=1.0, vapour_pressure_pa=3000.0)
    result = one_cook(joint, Stage("oven", 175.0, until_core(65.0), environment=oven))
    pit = PitModel(draught_m_s=1.0, vapour_pressure_pa=3000.0)
    line = one_cook(joint, Stage("pit", 107.2, until_time(1.5 * HOUR), environment=pit)).timeline
    wet = (line.time_h > 0.4) & (line.time_h < 0.9)
    lost = 1.0 - float(result.yields.meat[0])
    return {
        "surface_c": float(line.surface_lower_c[wet].mean()),
        "drip_share_pct": 100.0 * float(result.yields.dripped[0]) / lost,
    }


def trade_stages(wrap: WrapModel) -> tuple[Stage, ...]:
    """Return the trade's offset cook: 121 °C for 4 h, then 140 °C; wrapped at 80 °C, finished at 94 °C."""
    return (
        Stage("low", 121.0, until_time(4 * HOUR), environment=OFFSET),
        Stage("hot", 140.0, until_core(80.0), environment=OFFSET, ramp_s=900.0),
        Stage("finish", 140.0, until_core(94.0), environment=OFFSET, wrap=wrap),
    )


def trade_cook() -> Figures:
    """Return what the trade knows about a 6.2 kg packer on an offset, for four ways of finishing."""
    joint = build_joint(PACKER, 6.2)
    out: Figures = {}
    for name, wrap in (
        ("foil", foil_tight()), ("paper", butcher_paper()), ("boat", foil_boat()), ("bare", no_wrap()),
    ):  # fmt: skip
        result = one_cook(joint, *trade_stages(wrap))
        ends = result.ends.time_h[:, 0]
        out[f"{name}_finish_h"] = float(ends[2] - ends[1])
        out[f"{name}_bark"] = float(result.outcomes.bark[0])
        out[f"{name}_rendering"] = float(result.outcomes.rendering[0])
        out[f"{name}_water_kept_pct"] = 100.0 * float(result.outcomes.water_kept[0])
        out[f"{name}_meat_pct"] = 100.0 * float(result.yields.meat[0])
        out[f"{name}_thin_lead_k"] = float(result.ends.thin_c[1, 0] - result.ends.core_c[1, 0])
        out[f"{name}_ring_mm"] = 1000.0 * float(result.outcomes.ring_depth_m[0])
        out["wrap_h"] = float(ends[1])
    return out


def stall() -> Figures:
    """Return how long the core of a bare packer stays between 63 and 77 °C at 113 °C."""
    result = one_cook(
        build_joint(PACKER, 6.2),
        Stage("pit", 113.0, until_core(80.0, at_most_s=40 * HOUR), environment=OFFSET),
    )
    return {"dwell_h": core_hours(result, 77.0) - core_hours(result, 63.0)}


def braised_composition() -> Figures:
    """Return water and fat (%) of the flat cooked to 94 °C in foil, against USDA's braised flat."""
    result = one_cook(build_joint(PACKER, 6.2), *trade_stages(foil_tight()))
    state, joint = result.final_state, result.joint
    flat = (1.0 - joint.thick_part)[:, None]
    parts = [float((m * flat).sum()) for m in (state.water_kg, state.fat_kg, state.dry_kg)]
    return {"water_pct": 100.0 * parts[0] / sum(parts), "fat_pct": 100.0 * parts[1] / sum(parts)}


def held_open() -> Figures:
    """Return what ten hours at 65.6 °C cost a packer finished and vented in a foil boat, by the air's damp.

    Losses in per cent of the weight that went in.
    """
    joint, boat = build_joint(PACKER, 6.2), foil_boat()
    vent = Stage("vent", 21.0, until_core_falls(79.0), kind=StageKind.VENT, environment=BOARD, wrap=boat)
    cooked = one_cook(joint, *trade_stages(boat), vent)
    stages = (held(0.04, boat), held(0.25, boat), held(0.5, boat), held(0.04, foil_tight()))
    result = side_by_side(cooked, stages, np.zeros(1, dtype=np.int64))
    loss = 100.0 * (1.0 - result.ends.mass_kg[np.arange(4), np.arange(4)] / cooked.ends.mass_kg[-1, 0])
    crisp = result.outcomes.crispness
    return {
        "dry_loss_pct": float(loss[0]),
        "quarter_loss_pct": float(loss[1]),
        "half_loss_pct": float(loss[2]),
        "wrapped_loss_pct": float(loss[3]),
        "half_crispness": float(crisp[2]),
        "wrapped_crispness": float(crisp[3]),
    }


def held(humidity: float, wrap: WrapModel) -> Stage:
    """Return ten hours at 65.6 °C in the still air of a holder."""
    vapour_pa = vapour_pressure_from_relative_humidity_pa(humidity, 65.6)
    still = PitModel(name="holder", draught_m_s=0.15, vapour_pressure_pa=vapour_pa, humidity_spread=0.05)
    return Stage("hold", 65.6, until_time(10 * HOUR), kind=StageKind.HOLD, environment=still, wrap=wrap)


def turkey_breast() -> Figures:
    """Return how long a turkey breast takes at 135 °C to 74 °C, and what it yields."""
    stage = Stage("pit", 135.0, until_core(74.0), environment=DRIP_PLATE_PIT)
    small, large = (one_cook(build_joint(TURKEY_BREAST, weight), stage) for weight in (2.5, 3.2))
    return {
        "small_h": float(small.finish_h[0]),
        "large_h": float(large.finish_h[0]),
        "meat_pct": 100.0 * float(large.yields.meat[0]),
    }


def pork_shoulder() -> Figures:
    """Return how long a bare 4 kg pork shoulder takes at 121 °C to 94 °C on an offset."""
    stage = Stage("pit", 121.0, until_core(94.0), environment=OFFSET)
    result = one_cook(build_joint(PORK_SHOULDER, 4.0), stage)
    return {"hours": float(result.finish_h[0]), "meat_pct": 100.0 * float(result.yields.meat[0])}


CASES: dict[str, Callable[[], Figures]] = {
    "pit_cook_at_99": pit_cook_at_99,
    "brisket_yields": brisket_yields,
    "bag_losses": bag_losses,
    "wet_surface": wet_surface,
    "trade_cook": trade_cook,
    "stall": stall,
    "braised_composition": braised_composition,
    "held_open": held_open,
    "turkey_breast": turkey_breast,
    "pork_shoulder": pork_shoulder,
}
