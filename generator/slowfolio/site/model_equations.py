"""The model in equations: what each law says, with the figures the engine uses, and where it comes from.

The words lie in `equations.yaml` beside this module; figures are filled in from the engine's own constants,
so that the page cannot drift from what is computed. `numbers_page` shows them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from slowfolio.physics import kinetics, meat, outcomes
from slowfolio.physics.calibration import Calibration
from slowfolio.physics.humid_air import atmospheric_pressure_pa, boiling_point_c
from slowfolio.safety.lethality import ROAST_ENVELOPE

LAWS_FILE = Path(__file__).with_name("equations.yaml")
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True)
class Equation:
    """One law of the model: its name, the formulas, what they say, and where they come from."""

    name: str
    formulas: tuple[str, ...]
    words: str
    source: str


def equations(calibration: Calibration) -> tuple[Equation, ...]:
    """The laws of the model with these constants, from the air inwards, then the hold and the rules."""
    laws: list[Mapping[str, Any]] = yaml.load(LAWS_FILE.read_text("utf-8"), Loader=_LOADER)
    figures = engine_figures(calibration)
    return tuple(
        Equation(
            law["name"],
            tuple(formula.format(**figures) for formula in law["formulas"]),
            law["words"].format(**figures),
            law["source"].format(**figures),
        )
        for law in laws
    )


def engine_figures(calibration: Calibration) -> dict[str, float]:
    """The figures that `equations.yaml` names."""
    ours = calibration
    return {
        "boiling_at_1000_m_c": float(boiling_point_c(atmospheric_pressure_pa(1000.0))),
        "conductivity_factor": ours.conductivity_factor,
        "solid_at_reference": meat.SOLID_AT_REFERENCE,
        "melted_at_c": meat.MELTED_AT_C,
        "reference_span_k": meat.REFERENCE_SPAN_K,
        "melting_heat_kj_kg": meat.MELTING_HEAT_J_KG / 1000.0,
        "release_min": ours.release_time_s / 60.0,
        "slow_release_min": ours.slow_release_time_s / 60.0,
        "fast_loss": kinetics.FAST_LOSS,
        "slow_first": kinetics.SLOW_FIRST,
        "slow_second": kinetics.SLOW_SECOND,
        "denaturation_kj_mol": kinetics.DENATURATION_ACTIVATION / 1000.0,
        "gelatinisation_per_h": ours.gelatinisation_per_s * 3600.0,
        "gelatinisation_kj_mol": ours.gelatinisation_activation_j_mol / 1000.0,
        "rendering_per_h": ours.rendering_per_h,
        "rendering_kj_mol": ours.rendering_activation_j_mol / 1000.0,
        "crust_cracking": ours.crust_cracking,
        "cap_renderable": ours.cap_renderable,
        "seam_renderable": ours.seam_renderable,
        "browning_per_h": ours.browning_per_h,
        "browning_kj_mol": ours.browning_activation_j_mol / 1000.0,
        "full_crust_mm": outcomes.FULL_CRUST_M * 1000.0,
        "smoke_scale_h": outcomes.SMOKE_SCALE_H,
        "dry_smoke_uptake": ours.dry_smoke_uptake,
        "envelope_d60_min": ROAST_ENVELOPE.d_ref_s / 60.0,
        "envelope_z_k": ROAST_ENVELOPE.z_k,
    }
