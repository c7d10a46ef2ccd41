"""Water on the line between liquid and vapour: saturation pressure, boiling point, latent heat.

Nothing here knows of air; `humid_air` builds on this room and passes its names on, so other rooms import from
there. Below 0 °C the liquid is supercooled, as in a meteorologist's dew point: ice is not modelled.
"""

from __future__ import annotations

from typing import Any, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Value = TypeVar("Value", float, Array)

STANDARD_PRESSURE_PA = 101325.0
"""Standard atmosphere, ISO 2533:1975 (MEMORY)."""

KELVIN_OFFSET = 273.15
WATER_MIN_C = -40.0
WATER_MAX_C = 300.0
"""Range of this room (CALIBRATED): the lower end is where the extrapolation below 0 °C starts to drift (0.24
% from Murphy & Koop 2005 at -40 °C, 0.05 % at -30 °C, COMPUTED); the upper end lies above any pit of this
trade."""

# IAPWS-IF97, region 4, coefficients n1 to n10. Release on the Industrial Formulation 1997, Table 34
# (MEMORY; equal to the iapws package to rounding, COMPUTED).
_N1, _N2, _N3, _N4, _N5, _N6, _N7, _N8, _N9, _N10 = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_PA_PER_MPA = 1e6

_CRITICAL_TEMP_K = 647.096
"""Critical temperature of water, IAPWS R2-83 (MEMORY)."""


def saturation_pressure_pa(temp_c: Value) -> Value:
    """Vapour pressure over liquid water, Pa, at `temp_c` (any shape).

    Wagner et al. (2000), "The IAPWS Industrial Formulation 1997", J. Eng. Gas Turbines Power 122, eq. 30
    (region 4; MEMORY). Within 0.007 % of IAPWS-95 from 0.01 to 100 °C and 0.013 % to 150 °C (COMPUTED).
    Raises ValueError outside `WATER_MIN_C` to `WATER_MAX_C`.
    """
    require_between("water temperature", temp_c, WATER_MIN_C, WATER_MAX_C, "°C")
    temp_k = temp_c + KELVIN_OFFSET
    theta = temp_k + _N9 / (temp_k - _N10)
    a = theta**2 + _N1 * theta + _N2
    b = _N3 * theta**2 + _N4 * theta + _N5
    c = _N6 * theta**2 + _N7 * theta + _N8
    pressure: Value = _PA_PER_MPA * (2 * c / (-b + (b**2 - 4 * a * c) ** 0.5)) ** 4
    return pressure


def saturation_temperature_c(pressure_pa: Value) -> Value:
    """Temperature, °C, at which water's vapour pressure is `pressure_pa` (any shape).

    The exact inverse of `saturation_pressure_pa`: IAPWS-IF97, eq. 31 (region 4; MEMORY).
    Raises ValueError for a pressure that no temperature in `WATER_MIN_C` to `WATER_MAX_C` gives.
    """
    lowest_pa, highest_pa = saturation_pressure_pa(WATER_MIN_C), saturation_pressure_pa(WATER_MAX_C)
    require_between("vapour pressure", pressure_pa, lowest_pa, highest_pa, "Pa")
    beta = (pressure_pa / _PA_PER_MPA) ** 0.25
    e = beta**2 + _N3 * beta + _N6
    f = _N1 * beta**2 + _N4 * beta + _N7
    g = _N2 * beta**2 + _N5 * beta + _N8
    d = 2 * g / (-f - (f**2 - 4 * e * g) ** 0.5)
    temp_k: Value = 0.5 * (_N10 + d - ((_N10 + d) ** 2 - 4 * (_N9 + _N10 * d)) ** 0.5)
    return temp_k - KELVIN_OFFSET


@overload
def boiling_point_c(pressure_pa: float = STANDARD_PRESSURE_PA) -> float: ...
@overload
def boiling_point_c(pressure_pa: Array) -> Array: ...
def boiling_point_c(pressure_pa: Any = STANDARD_PRESSURE_PA) -> Any:
    """Boiling point of water, °C, under the ambient `pressure_pa`: see `saturation_temperature_c`."""
    return saturation_temperature_c(pressure_pa)


def latent_heat_j_kg(temp_c: Value) -> Value:
    """Latent heat of vaporisation, J/kg, at `temp_c` (any shape).

    Series in 1 - T/Tc, the form of Watson (1943), Ind. Eng. Chem. 35, 398 (MEMORY), fitted to IAPWS-95 by
    relative least squares from 0.01 to 300 °C: within 0.008 % (COMPUTED).
    Raises ValueError outside `WATER_MIN_C` to `WATER_MAX_C`.
    """
    require_between("water temperature", temp_c, WATER_MIN_C, WATER_MAX_C, "°C")
    tau = 1 - (temp_c + KELVIN_OFFSET) / _CRITICAL_TEMP_K
    heat: Value = 1e6 * (
        2.299584 * tau ** (1 / 3)
        + 2.713235 * tau ** (5 / 6)
        - 1.058826 * tau
        - 2.981409 * tau**2
        + 2.462123 * tau**3
    )
    return heat


def require_between(name: str, values: float | Array, low: float, high: float, unit: str) -> None:
    """Raise a ValueError naming the first of `values` outside `low` to `high`, or not finite."""
    numbers = np.asarray(values, dtype=np.float64)
    bad = ~((numbers >= low) & (numbers <= high))
    if bad.any():
        worst = float(numbers[bad].flat[0])
        raise ValueError(f"{name} {worst:.6g} {unit} is outside {low:.6g} to {high:.6g} {unit}")
