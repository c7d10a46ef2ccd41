"""The engine's constants that no source fixes, each with its tag, reason and believable range.

Physical constants with a firm source stay beside their equations; what is here may be bent, within its
range, to meet measured cooks. The page on how the numbers are made lists this table; ``cook`` reads
``Calibration``.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import Enum

from slowfolio.physics.errors import require_between


class Standing(Enum):
    """Where a constant comes from: read at the source, recalled, worked out here, or calibrated."""

    READ = "READ"
    MEMORY = "MEMORY"
    COMPUTED = "COMPUTED"
    CALIBRATED = "CALIBRATED"


@dataclass(frozen=True, slots=True)
class Constant:
    """Unit, believable range, standing and reason of one field of ``Calibration``."""

    unit: str
    low: float
    high: float
    standing: Standing
    reason: str


@dataclass(frozen=True, slots=True)
class Calibration:
    """Bendable constants of the engine; ``CONSTANTS`` holds unit, range, standing and reason of each.

    Raises PhysicsInputError for a value outside its range.
    """

    conductivity_factor: float = 0.93
    dry_conductivity_factor: float = 0.60
    release_time_s: float = 1800.0
    slow_release_time_s: float = 5400.0
    film_full_kg_m2: float = 0.03
    film_cap_kg_m2: float = 0.10
    run_off: float = 0.6
    downward_juice: float = 0.15
    juice_spread: float = 0.7
    cap_seal: float = 0.40
    skin_seal: float = 0.75
    moisture_diffusivity_m2_s: float = 0.5e-10
    moisture_activation_j_mol: float = 30.0e3
    dry_diffusivity_factor: float = 0.05
    crust_vapour_factor: float = 0.009
    crust_cracking: float = 20.0
    rewetting_time_s: float = 2400.0
    bound_water_kg_kg: float = 0.30
    gab_monolayer: float = 0.06
    gab_c: float = 10.0
    gab_k: float = 0.98
    gelatinisation_per_s: float = 3.1e-5
    gelatinisation_activation_j_mol: float = 82.0e3
    rendering_per_h: float = 0.20
    rendering_activation_j_mol: float = 110.0e3
    cap_renderable: float = 0.70
    seam_renderable: float = 0.50
    browning_per_h: float = 0.12
    browning_activation_j_mol: float = 80.0e3
    dry_smoke_uptake: float = 0.15
    ring_diffusivity_m2_s: float = 4.0e-9
    ring_limit_c: float = 63.0

    def __post_init__(self) -> None:
        """Check each constant against its range."""
        for item in fields(self):
            known = CONSTANTS[item.name]
            value = getattr(self, item.name)
            require_between(item.name, value, low=known.low, high=known.high, unit=known.unit)


def _calibrated(unit: str, low: float, high: float, reason: str) -> Constant:
    return Constant(unit, low, high, Standing.CALIBRATED, reason)


CONSTANTS: dict[str, Constant] = {
    "conductivity_factor": _calibrated(
        "-",
        0.85,
        1.0,
        "part of the parallel (upper-bound) conductivity that meat shows; measured meat lies at 0.9-1",
    ),
    "dry_conductivity_factor": _calibrated(
        "-", 0.3, 1.0, "a dried crust is porous: its conductivity over that of pore-free dry meat"
    ),
    "release_time_s": _calibrated(
        "s",
        300.0,
        14400.0,
        "first-order time of juice release; 300-1200 s suits small cubes, 1800 s a whole muscle and still "
        "meets the measured losses",
    ),
    "slow_release_time_s": _calibrated(
        "s",
        3600.0,
        28800.0,
        "long times at 55-65 °C expel more juice than the fast sigmoid: 21.7 % measured at 61 °C",
    ),
    "film_full_kg_m2": _calibrated("kg/m²", 0.01, 0.08, "juice that wets the surface all over"),
    "film_cap_kg_m2": _calibrated("kg/m²", 0.05, 0.30, "juice a face carries before it drips"),
    "run_off": _calibrated(
        "-",
        0.0,
        1.0,
        "part of the juice reaching wet spots of underside and flanks that drips instead of spreading",
    ),
    "downward_juice": _calibrated(
        "-", 0.0, 0.6, "part of the juice bound for the upper face that gravity takes down"
    ),
    "cap_seal": _calibrated("-", 0.1, 0.95, "part of the juice that a full fat cap keeps from its face"),
    "juice_spread": _calibrated(
        "-",
        0.0,
        0.9,
        "part of the juice that runs along the grain and over the face before it dries, from thick to thin",
    ),
    "skin_seal": _calibrated(
        "-",
        0.3,
        0.98,
        "part of the juice that whole poultry skin keeps from the face and sides it covers; skin bastes and "
        "browns while the flesh under it stays wet (common practice, no source)",
    ),
    "moisture_diffusivity_m2_s": _calibrated(
        "m²/s", 0.4e-10, 6e-10, "effective, at 60 °C; thin-layer beef 0.4e-10 to 5.6e-10 at 30-60 °C (READ)"
    ),
    "moisture_activation_j_mol": _calibrated(
        "J/mol", 17e3, 59e3, "17.7-59 kJ/mol published (READ); 25-33 usual"
    ),
    "dry_diffusivity_factor": _calibrated(
        "-", 0.01, 0.2, "diffusivity falls 10-100 fold below about 0.15 kg/kg dry"
    ),
    "crust_vapour_factor": _calibrated(
        "-", 0.002, 0.05, "vapour through crust and cooked meat over that through still air"
    ),
    "crust_cracking": _calibrated(
        "-",
        0.0,
        30.0,
        "how many times more vapour a crust lets through once it has cooled and cracked; set by what "
        "the trade loses in a ten-hour hold (common practice, no source)",
    ),
    "rewetting_time_s": _calibrated(
        "s", 600.0, 7200.0, "time in which a crust under juice or steam soaks it up"
    ),
    "bound_water_kg_kg": _calibrated("kg/kg", 0.2, 0.5, "water per dry lean that boiling does not drive off"),
    "gab_monolayer": _calibrated(
        "kg/kg", 0.04, 0.10, "GAB monolayer; no beef isotherm at 60-80 °C was found"
    ),
    "gab_c": _calibrated("-", 2.0, 30.0, "GAB C; as above"),
    "gab_k": _calibrated("-", 0.90, 0.995, "GAB K; as above"),
    "gelatinisation_per_s": _calibrated(
        "1/s",
        2.0e-5,
        4.6e-5,
        "collagen to gelatin at 80 °C; no published rate in muscle, good to a factor 1.5",
    ),
    "gelatinisation_activation_j_mol": _calibrated(
        "J/mol", 70e3, 100e3, "48 h at 60 °C equals 24 h at 68 °C (common practice) forces 82 kJ/mol"
    ),
    "rendering_per_h": _calibrated(
        "1/h",
        0.1,
        0.5,
        "fat leaving its cells and the piece at 90 °C",
    ),
    "rendering_activation_j_mol": _calibrated(
        "J/mol",
        70e3,
        130e3,
        "cell walls are collagen (82 kJ/mol), and what they free is pressed out by the shrinking of hot "
        "meat; set higher as a wrapped hold at 65 °C loses about a hundredth (common practice, no source)",
    ),
    "cap_renderable": _calibrated("-", 0.4, 0.9, "part of the cap's fat that can leave"),
    "seam_renderable": _calibrated("-", 0.3, 0.8, "part of the fat within the muscle that can leave"),
    "browning_per_h": _calibrated(
        "1/h", 0.05, 0.3, "browning rate at 100 °C; chicken browns above 88 °C (READ)"
    ),
    "browning_activation_j_mol": _calibrated(
        "J/mol",
        31e3,
        110e3,
        "31.5-64 kJ/mol for fish and bread crusts (READ/MEMORY), 80 chosen for a dry rub",
    ),
    "dry_smoke_uptake": _calibrated("-", 0.05, 0.5, "smoke taken by a dry crust over that of a wet surface"),
    "ring_diffusivity_m2_s": _calibrated(
        "m²/s", 3e-10, 6e-9, "nitrite inward; chosen so that the ring comes to the published 8-10 mm"
    ),
    "ring_limit_c": _calibrated("°C", 55.0, 70.0, "myoglobin sets from 60-65 °C: the ring grows no deeper"),
}

DEFAULT_CALIBRATION = Calibration()
