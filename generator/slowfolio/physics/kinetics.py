"""Rates of what heat does to meat: juice release, collagen, fat, browning, smoke.

Rate laws and their constants live here as functions of temperature and state; ``cook`` integrates them and
``outcomes`` turns the results into scales.
"""

from __future__ import annotations

import math

import numpy as np

from slowfolio.physics.calibration import DEFAULT_CALIBRATION, Calibration
from slowfolio.physics.meat import Array

GAS_CONSTANT = 8.314462
KELVIN = 273.15

# Fast release: van der Sman (2007), AIChE J. 53, 2986, as used by Feyissa, Gernaey & Adler-Nissen (2013),
# Meat Sci. 93, 810: C_eq = 0.745 - 0.345/(1 + 30 exp(-0.25 (T - 52))) (MEMORY), divided by the raw 0.745.
FAST_LOSS = 0.345 / 0.745
# Slow release, below it: 12 %/(1+exp(-(T-52)/3)) + 22.5 %/(1+exp(-(T-68)/3.5)) of raw lean (the same 34.5
# % in the end), CALIBRATED to
# measured losses of 21.7 % at 61 °C for 5 h, 24.8 % at 71 °C for 2 h, 34.1 % at 76 °C for 1.5 h (beef
# supraspinatus, Cienc. Tecnol. Aliment. 25(2), 2005, READ).
SLOW_FIRST = 0.12 / 0.745
SLOW_SECOND = 0.225 / 0.745


def fast_water_kept(temp_c: Array) -> Array:
    """Return the part (0..1) of the raw water that meat keeps at ``temp_c`` once the fast release is over."""
    return np.asarray(1.0 - FAST_LOSS / (1.0 + 30.0 * np.exp(-0.25 * (temp_c - 52.0))), dtype=np.float64)


def slow_water_kept(temp_c: Array) -> Array:
    """Return the part (0..1) of the raw water that meat keeps at ``temp_c`` after many hours."""
    first = SLOW_FIRST / (1.0 + np.exp(-(temp_c - 52.0) / 3.0))
    second = SLOW_SECOND / (1.0 + np.exp(-(temp_c - 68.0) / 3.5))
    return np.asarray(1.0 - first - second, dtype=np.float64)


def arrhenius(temp_c: Array, activation_j_mol: float, reference_c: float) -> Array:
    """Return the rate at ``temp_c`` over that at ``reference_c``."""
    inverse = 1.0 / (temp_c + KELVIN) - 1.0 / (reference_c + KELVIN)
    return np.asarray(np.exp(-activation_j_mol / GAS_CONSTANT * inverse), dtype=np.float64)


# Machlik & Draudt (1963), J. Food Sci. 28, 711: half complete in 11 min at 58 °C (READ); activation 500
# kJ/mol after Miles et al. (1995), J. Mol. Biol. 245, 437 (MEMORY).
DENATURATION_PER_S = math.log(2.0) / (11.0 * 60.0)
DENATURATION_ACTIVATION = 500.0e3


def denaturation_rate_per_s(temp_c: Array) -> Array:
    """Return the rate of collagen denaturation (shrinkage), 1/s; doubles about every 0.9 K near 58 °C."""
    return DENATURATION_PER_S * arrhenius(np.minimum(temp_c, 75.0), DENATURATION_ACTIVATION, 58.0)


def gelatinisation_rate_per_s(temp_c: Array, *, calibration: Calibration = DEFAULT_CALIBRATION) -> Array:
    """Return the rate at which denatured collagen turns to gelatin, 1/s (CALIBRATED, see ``Calibration``)."""
    return calibration.gelatinisation_per_s * arrhenius(
        temp_c, calibration.gelatinisation_activation_j_mol, 80.0
    )


def rendering_rate_per_s(temp_c: Array, *, calibration: Calibration = DEFAULT_CALIBRATION) -> Array:
    """Return the rate at which fat leaves its cells and the piece, 1/s (CALIBRATED, see ``Calibration``)."""
    return (
        calibration.rendering_per_h / 3600.0 * arrhenius(temp_c, calibration.rendering_activation_j_mol, 90.0)
    )


def browning_rate_per_s(
    temp_c: Array, activity: Array, *, calibration: Calibration = DEFAULT_CALIBRATION
) -> Array:
    """Return the rate of the browning index, 1/s: Arrhenius in the surface temperature times a moisture hump.

    The hump is 0 above a water activity of 0.97, 1 from 0.5 to 0.8 and 0.3 at 0.2 (CALIBRATED).
    """
    hump = np.interp(activity, [0.0, 0.2, 0.5, 0.8, 0.97, 1.0], [0.15, 0.3, 1.0, 1.0, 0.0, 0.0])
    rate = arrhenius(temp_c, calibration.browning_activation_j_mol, 100.0)
    return np.asarray(calibration.browning_per_h / 3600.0 * rate * hump, dtype=np.float64)


def smoke_uptake_efficiency(cover: Array, *, calibration: Calibration = DEFAULT_CALIBRATION) -> Array:
    """Return smoke uptake over that of a wet surface (1 = juice all over, ``dry_smoke_uptake`` = dry
    crust).
    """
    dry = calibration.dry_smoke_uptake
    return np.asarray(dry + (1.0 - dry) * cover, dtype=np.float64)
