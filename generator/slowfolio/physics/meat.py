"""Thermal properties of meat from what it is made of.

Component polynomials, their enthalpies, the mixing rules and the melting of fat live here. Geometry and time
stepping do not; ``joint`` uses the densities and ``cook`` the enthalpy and conductivity coefficients.

Source of the polynomials: Choi Y., Okos M.R. (1986), "Effects of temperature and composition on the thermal
properties of foods", in Food Engineering and Process Applications vol. 1, 93-101; reprinted in ASHRAE
Handbook, Refrigeration (2006), ch. 9, tables 1-2. Coefficients MEMORY, then checked against CoolProp's
entries of the same table. Validity -40...150 °C (water 0...150 °C). The water specific heat is the
original 4.1762, not the ASHRAE misprint 4.1289.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.errors import PhysicsInputError, require_between

Array = NDArray[np.float64]


class Component(Enum):
    """What meat is made of, as the food tables give it."""

    WATER = "water"
    PROTEIN = "protein"
    FAT = "fat"
    ASH = "ash"


# Quadratics in T (°C): a + b T + c T². READ against CoolProp to 1e-5 except the water specific heat (see
# above).
CONDUCTIVITY_W_M_K: dict[Component, tuple[float, float, float]] = {
    Component.WATER: (0.57109, 1.7625e-3, -6.7036e-6),
    Component.PROTEIN: (0.17881, 1.1958e-3, -2.7178e-6),
    Component.FAT: (0.18071, -2.7604e-4, -1.7749e-7),
    Component.ASH: (0.32962, 1.4011e-3, -2.9069e-6),
}
DENSITY_KG_M3: dict[Component, tuple[float, float, float]] = {
    Component.WATER: (997.18, 3.1439e-3, -3.7574e-3),
    Component.PROTEIN: (1329.9, -0.51840, 0.0),
    Component.FAT: (925.59, -0.41757, 0.0),
    Component.ASH: (2423.8, -0.28063, 0.0),
}
SPECIFIC_HEAT_J_KG_K: dict[Component, tuple[float, float, float]] = {
    Component.WATER: (4176.2, -9.0864e-2, 5.4731e-3),
    Component.PROTEIN: (2008.2, 1.2089, -1.3129e-3),
    Component.FAT: (1984.2, 1.4733, -4.8008e-3),
    Component.ASH: (1092.6, 1.8896, -3.6817e-3),
}


class FatKind(Enum):
    """Whose fat it is; the value is the shift of the melting range against beef tallow, K.

    Beef tallow melts at 40-50 °C, lard 28-40, chicken 30-32, sheep 44-55 (READ, handbook tables); shifts of
    -10, -18 and +4 K are CALIBRATED to the middles of those ranges.
    """

    BEEF = 0.0
    PORK = -10.0
    POULTRY = -18.0
    LAMB = 4.0


# Solid fraction of tallow = 0.59 ((50 - T)/40)^1.5 below 50 °C: COMPUTED fit, within 0.012, of the solid-fat
# contents 0.59 at 10 °C, 0.39 at 20, 0.22 at 30, 0.14 at 35, 0.07 at 40, 0.02 at 45, 0 at 50 (Fats and Oils
# Handbook 1998, table 3.13, READ through a damaged copy, and MEMORY for beef).
SOLID_AT_REFERENCE = 0.59
MELTED_AT_C = 50.0
REFERENCE_SPAN_K = 40.0
MELTING_HEAT_J_KG = 135e3  # MEMORY: 120-150 kJ/kg of fat for the whole melting range


@dataclass(frozen=True, slots=True)
class Composition:
    """Mass fractions of water, protein, fat and ash; they need not add up to one and are normalised in use.

    Raises PhysicsInputError for a fraction outside 0..1 or a sum outside 0.9..1.05 (food tables add up to
    0.98-1.01 because each figure is rounded).
    """

    water: float
    protein: float
    fat: float
    ash: float = 0.01

    def __post_init__(self) -> None:
        """Check the fractions."""
        for name in ("water", "protein", "fat", "ash"):
            require_between(f"{name} fraction", getattr(self, name), low=0.0, high=1.0, unit="of the mass")
        total = self.water + self.protein + self.fat + self.ash
        if not 0.9 <= total <= 1.05:
            raise PhysicsInputError(
                f"the composition adds up to {total:.3f}: water, protein, fat and ash must add up to about 1"
            )

    def fractions(self) -> Array:
        """Return (water, protein, fat, ash) normalised to a sum of one, shape (4,)."""
        raw = np.array([self.water, self.protein, self.fat, self.ash], dtype=np.float64)
        return np.asarray(raw / raw.sum(), dtype=np.float64)


# USDA SR, NDB 13019, beef separable fat (READ).
SEPARABLE_FAT = Composition(water=0.2021, protein=0.0821, fat=0.7089, ash=0.0028)


def quadratic(coefficients: tuple[float, float, float], temp_c: Array | float) -> Array | float:
    """Return a + b T + c T² for T in °C."""
    a, b, c = coefficients
    return a + temp_c * (b + temp_c * c)


def density_kg_m3(composition: Composition, temp_c: float = 20.0) -> float:
    """Return the density of pore-free meat: 1 / sum(x_i / rho_i) (ASHRAE, as above)."""
    specific_volume = sum(
        x / float(quadratic(DENSITY_KG_M3[part], temp_c))
        for part, x in zip(Component, composition.fractions(), strict=True)
    )
    return float(1.0 / specific_volume)


def specific_heat_j_kg_k(composition: Composition, temp_c: float = 20.0) -> float:
    """Return the sensible specific heat, sum(x_i cp_i), without the melting of fat (ASHRAE, as above)."""
    return float(
        sum(
            x * float(quadratic(SPECIFIC_HEAT_J_KG_K[part], temp_c))
            for part, x in zip(Component, composition.fractions(), strict=True)
        )
    )


def volume_fractions(composition: Composition, temp_c: float = 20.0) -> Array:
    """Return the volume fractions of (water, protein, fat, ash), shape (4,)."""
    volumes = np.array(
        [
            x / float(quadratic(DENSITY_KG_M3[part], temp_c))
            for part, x in zip(Component, composition.fractions(), strict=True)
        ]
    )
    return np.asarray(volumes / volumes.sum(), dtype=np.float64)


def conductivity_parallel_w_m_k(composition: Composition, temp_c: float = 20.0) -> float:
    """Return sum(v_i k_i): heat along the fibres, the upper bound (ASHRAE, as above)."""
    return float(
        sum(
            v * float(quadratic(CONDUCTIVITY_W_M_K[part], temp_c))
            for part, v in zip(Component, volume_fractions(composition, temp_c), strict=True)
        )
    )


def conductivity_series_w_m_k(composition: Composition, temp_c: float = 20.0) -> float:
    """Return 1 / sum(v_i / k_i): heat across layers, the lower bound (ASHRAE, as above)."""
    resistance = sum(
        v / float(quadratic(CONDUCTIVITY_W_M_K[part], temp_c))
        for part, v in zip(Component, volume_fractions(composition, temp_c), strict=True)
    )
    return float(1.0 / resistance)


def solid_fat_fraction(temp_c: Array | float, fat: FatKind = FatKind.BEEF) -> Array:
    """Return the solid part (0..1) of the fat at ``temp_c``; see SOLID_AT_REFERENCE for the source."""
    below = np.maximum(MELTED_AT_C + fat.value - np.asarray(temp_c, dtype=np.float64), 0.0)
    reduced = below / REFERENCE_SPAN_K
    return np.minimum(SOLID_AT_REFERENCE * reduced * np.sqrt(reduced), 1.0)


def sensible_enthalpy_j_kg(part: Component, temp_c: Array | float) -> Array | float:
    """Return the integral of the component's specific heat from 0 °C to ``temp_c``."""
    a, b, c = SPECIFIC_HEAT_J_KG_K[part]
    return temp_c * (a + temp_c * (b / 2.0 + temp_c * c / 3.0))


def fat_enthalpy_j_kg(temp_c: Array | float, fat: FatKind = FatKind.BEEF) -> Array:
    """Return the enthalpy of fat above liquid fat at 0 °C; the solid part lies lower by its melting heat."""
    sensible = np.asarray(sensible_enthalpy_j_kg(Component.FAT, temp_c))
    return np.asarray(sensible - MELTING_HEAT_J_KG * solid_fat_fraction(temp_c, fat))
