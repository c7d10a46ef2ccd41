"""Humid air of pits, cabinets and kitchens: humidity, dew point, wet bulb, enthalpy, density, diffusion.

Ideal-gas mixing of dry air and water vapour, per kg of dry air; pure water lives in `water`, whose names are
passed on here. Every function takes floats or NumPy arrays that broadcast and returns the like. The cook
engine, the holders' pages and the `air` command call this room; text quantities and heat transfer do not live
here.
"""

# mypy: disable-error-code="overload-overlap"
# Floats in, float out; any array in, array out: mypy objects that a float is also a `FloatOrArray`.

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, overload

import numpy as np

from slowfolio.physics.water import (
    KELVIN_OFFSET,
    STANDARD_PRESSURE_PA,
    WATER_MAX_C,
    WATER_MIN_C,
    Array,
    Value,
    boiling_point_c,
    latent_heat_j_kg,
    require_between,
    saturation_pressure_pa,
    saturation_temperature_c,
)

__all__ = [
    "STANDARD_PRESSURE_PA",
    "AirState",
    "air_state",
    "atmospheric_pressure_pa",
    "boiling_point_c",
    "dew_point_c",
    "dry_air_density_kg_m3",
    "humidity_ratio_kg_kg",
    "latent_heat_j_kg",
    "moist_air_enthalpy_j_kg",
    "relative_humidity",
    "saturation_pressure_pa",
    "saturation_temperature_c",
    "vapour_diffusivity_m2_s",
    "vapour_pressure_from_ratio_pa",
    "vapour_pressure_from_relative_humidity_pa",
    "vapour_pressure_from_wet_bulb_pa",
    "wet_bulb_c",
]

FloatOrArray = float | Array

MOLAR_MASS_RATIO = 0.621945
"""Water to dry air, ASHRAE Fundamentals 2009 and later, ch. 1 Psychrometrics (MEMORY)."""
GAS_CONSTANT_DRY_AIR_J_KG_K = 287.042
"""ASHRAE Fundamentals 2009 and later, ch. 1, eq. 1 (MEMORY)."""

# h = 1.006 T + W (2501 + 1.86 T) kJ/kg, ASHRAE Fundamentals, ch. 1 Psychrometrics (MEMORY).
DRY_AIR_HEAT_J_KG_K = 1006.0
VAPOUR_HEAT_J_KG_K = 1860.0
VAPOUR_ENTHALPY_AT_0_C_J_KG = 2.501e6

MIN_PRESSURE_PA, MAX_PRESSURE_PA = 2e4, 1.2e5
"""Ambient pressures served (CALIBRATED): from the highest mountain to above any weather at sea level."""

_SATURATION_SLACK = 1e-9
_DRYNESS_SLACK = 1e-9
_HALVINGS = 50


def atmospheric_pressure_pa(altitude_m: Value) -> Value:
    """Standard-atmosphere pressure, Pa, at `altitude_m` (any shape) above sea level, -500 to 11,000 m.

    ISO 2533:1975, troposphere: 288.15 K and 6.5 K/km (MEMORY). Weather moves it by about 2 kPa.
    """
    require_between("altitude", altitude_m, -500.0, 11000.0, "m")
    pressure: Value = STANDARD_PRESSURE_PA * (1 - 2.25577e-5 * altitude_m) ** 5.25588
    return pressure


def dew_point_c(vapour_pressure_pa: Value) -> Value:
    """Dew point over liquid water, °C, of air holding `vapour_pressure_pa` (any shape).

    Raises ValueError for air drier than a dew point of -40 °C: perfectly dry air has none.
    """
    require_between(
        "vapour pressure", vapour_pressure_pa, saturation_pressure_pa(WATER_MIN_C), MAX_PRESSURE_PA, "Pa"
    )
    return saturation_temperature_c(vapour_pressure_pa)


@overload
def relative_humidity(vapour_pressure_pa: float, temp_c: float) -> float: ...
@overload
def relative_humidity(vapour_pressure_pa: FloatOrArray, temp_c: FloatOrArray) -> Array: ...
def relative_humidity(vapour_pressure_pa: FloatOrArray, temp_c: FloatOrArray) -> Any:
    """Relative humidity as a fraction: `vapour_pressure_pa` over the saturation pressure at `temp_c`.

    The convention holds above the boiling point too, where saturation pressure exceeds the ambient pressure:
    there even pure steam stays below 1 (at 150 °C and sea level, 0.21). Raises ValueError for supersaturated
    air.
    """
    _require_unsaturated(temp_c, vapour_pressure_pa)
    return _as_given(np.minimum(vapour_pressure_pa / saturation_pressure_pa(_array(temp_c)), 1.0))


@overload
def vapour_pressure_from_relative_humidity_pa(fraction: float, temp_c: float) -> float: ...
@overload
def vapour_pressure_from_relative_humidity_pa(fraction: FloatOrArray, temp_c: FloatOrArray) -> Array: ...
def vapour_pressure_from_relative_humidity_pa(fraction: FloatOrArray, temp_c: FloatOrArray) -> Any:
    """Vapour pressure, Pa, of air at `temp_c` and a relative humidity of `fraction`, 0 to 1."""
    require_between("relative humidity", fraction, 0.0, 1.0, "(a fraction)")
    return _as_given(fraction * saturation_pressure_pa(_array(temp_c)))


@overload
def humidity_ratio_kg_kg(vapour_pressure_pa: float, pressure_pa: float) -> float: ...
@overload
def humidity_ratio_kg_kg(vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray) -> Array: ...
def humidity_ratio_kg_kg(vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray) -> Any:
    """Water vapour per kg of dry air, kg/kg. ASHRAE Fundamentals, ch. 1 Psychrometrics (MEMORY).

    Real-gas air of the same dew point holds 0.4 to 0.8 % more (COMPUTED, CoolProp HAPropsSI): the enhancement
    factor is left out. Raises ValueError when the vapour pressure reaches the ambient pressure: steam.
    """
    _require_air_left(vapour_pressure_pa, pressure_pa)
    vapour = _array(vapour_pressure_pa)
    return _as_given(MOLAR_MASS_RATIO * vapour / (pressure_pa - vapour))


@overload
def vapour_pressure_from_ratio_pa(ratio_kg_kg: float, pressure_pa: float) -> float: ...
@overload
def vapour_pressure_from_ratio_pa(ratio_kg_kg: FloatOrArray, pressure_pa: FloatOrArray) -> Array: ...
def vapour_pressure_from_ratio_pa(ratio_kg_kg: FloatOrArray, pressure_pa: FloatOrArray) -> Any:
    """Vapour pressure, Pa, of air with `ratio_kg_kg`: `humidity_ratio_kg_kg` inverted."""
    require_between("humidity ratio", ratio_kg_kg, 0.0, 1e6, "kg/kg")
    _require_ambient(pressure_pa)
    ratio = _array(ratio_kg_kg)
    return _as_given(pressure_pa * ratio / (MOLAR_MASS_RATIO + ratio))


@overload
def moist_air_enthalpy_j_kg(temp_c: float, vapour_pressure_pa: float, pressure_pa: float) -> float: ...
@overload
def moist_air_enthalpy_j_kg(
    temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray
) -> Array: ...
def moist_air_enthalpy_j_kg(
    temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray
) -> Any:
    """Enthalpy of moist air, J per kg of dry air, zero for dry air and liquid water at 0 °C.

    ASHRAE Fundamentals, ch. 1 Psychrometrics: h = 1.006 T + W (2501 + 1.86 T) kJ/kg (MEMORY).
    """
    _require_unsaturated(temp_c, vapour_pressure_pa)
    ratio = humidity_ratio_kg_kg(_array(vapour_pressure_pa), pressure_pa)
    vapour_heat = VAPOUR_ENTHALPY_AT_0_C_J_KG + VAPOUR_HEAT_J_KG_K * _array(temp_c)
    return _as_given(DRY_AIR_HEAT_J_KG_K * _array(temp_c) + ratio * vapour_heat)


@overload
def dry_air_density_kg_m3(temp_c: float, vapour_pressure_pa: float, pressure_pa: float) -> float: ...
@overload
def dry_air_density_kg_m3(
    temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray
) -> Array: ...
def dry_air_density_kg_m3(
    temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray
) -> Any:
    """Dry air in a cubic metre of moist air, kg/m³: the inverse of the psychrometric chart's specific volume.

    Ideal gas at the air's own partial pressure; ASHRAE Fundamentals, ch. 1 (MEMORY). Raises ValueError as
    above.
    """
    _require_unsaturated(temp_c, vapour_pressure_pa)
    _require_air_left(vapour_pressure_pa, pressure_pa)
    temp_k = _array(temp_c) + KELVIN_OFFSET
    return _as_given((pressure_pa - _array(vapour_pressure_pa)) / (GAS_CONSTANT_DRY_AIR_J_KG_K * temp_k))


@overload
def vapour_diffusivity_m2_s(temp_c: float, pressure_pa: float) -> float: ...
@overload
def vapour_diffusivity_m2_s(temp_c: FloatOrArray, pressure_pa: FloatOrArray) -> Array: ...
def vapour_diffusivity_m2_s(temp_c: FloatOrArray, pressure_pa: FloatOrArray) -> Any:
    """Diffusivity of water vapour in air, m²/s.

    Marrero & Mason (1972), "Gaseous diffusion coefficients", J. Phys. Chem. Ref. Data 1, 3–118:
    D = 1.87e-10 T^2.072 / p[atm], 282 to 450 K (MEMORY); used, without change, from -40 to 300 °C.
    """
    require_between("air temperature", temp_c, WATER_MIN_C, WATER_MAX_C, "°C")
    _require_ambient(pressure_pa)
    atmospheres = _array(pressure_pa) / STANDARD_PRESSURE_PA
    return _as_given(1.87e-10 * (_array(temp_c) + KELVIN_OFFSET) ** 2.072 / atmospheres)


@overload
def wet_bulb_c(temp_c: float, vapour_pressure_pa: float, pressure_pa: float) -> float: ...
@overload
def wet_bulb_c(
    temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray
) -> Array: ...
def wet_bulb_c(temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray) -> Any:
    """Thermodynamic wet bulb (adiabatic saturation), °C, of air at dry bulb `temp_c`; arguments broadcast.

    ASHRAE Fundamentals, ch. 1 (MEMORY): air and its vapour cool to the wet bulb and so evaporate water until
    saturated. Multiplied through by both dry-air pressures, the balance stays finite up to the boiling point
    and falls steadily between the dew point and the lower of dry bulb and boiling point, so halving that
    bracket always converges. Ideal gas is enough: within 0.035 K of real-gas humid air for dry bulbs from 40
    to 150 °C and every dew point from 5 °C to just below the boiling point, at 62 to 106 kPa (COMPUTED,
    CoolProp HAPropsSI). Below 0 °C the bulb is wet, not iced. Raises ValueError for supersaturated air and
    for vapour at ambient pressure.
    """
    _require_unsaturated(temp_c, vapour_pressure_pa)
    _require_air_left(vapour_pressure_pa, pressure_pa)
    air_c, vapour, ambient = np.broadcast_arrays(
        _array(temp_c), _array(vapour_pressure_pa), _array(pressure_pa)
    )
    driest_pa = saturation_pressure_pa(WATER_MIN_C)
    high = np.minimum(air_c, boiling_point_c(ambient))
    low = np.minimum(saturation_temperature_c(np.maximum(vapour, driest_pa)), high)
    if ((vapour < driest_pa) & (_wet_bulb_heat_surplus(low, air_c, vapour, ambient) < 0)).any():
        raise ValueError(f"this cold, dry air has a wet bulb below {WATER_MIN_C:g} °C, which is not modelled")
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        too_cold = _wet_bulb_heat_surplus(middle, air_c, vapour, ambient) > 0
        low, high = np.where(too_cold, middle, low), np.where(too_cold, high, middle)
    return _as_given(0.5 * (low + high))


@overload
def vapour_pressure_from_wet_bulb_pa(temp_c: float, bulb_c: float, pressure_pa: float) -> float: ...
@overload
def vapour_pressure_from_wet_bulb_pa(
    temp_c: FloatOrArray, bulb_c: FloatOrArray, pressure_pa: FloatOrArray
) -> Array: ...
def vapour_pressure_from_wet_bulb_pa(
    temp_c: FloatOrArray, bulb_c: FloatOrArray, pressure_pa: FloatOrArray
) -> Any:
    """Vapour pressure, Pa, of air at dry bulb `temp_c` whose wet bulb is `bulb_c`: `wet_bulb_c` inverted.

    The balance of `wet_bulb_c` is linear in the vapour pressure, so this is its closed solution. Raises
    ValueError for a wet bulb above the dry bulb or at the boiling point, and for one so low that not even dry
    air would have it.
    """
    _require_ambient(pressure_pa)
    require_between("dry-bulb temperature", temp_c, WATER_MIN_C, WATER_MAX_C, "°C")
    air_c, wet_c, ambient = np.broadcast_arrays(_array(temp_c), _array(bulb_c), _array(pressure_pa))
    if (wet_c > air_c).any():
        raise ValueError(
            "the wet bulb is above the dry bulb; swap them, or check the wick and the thermometers"
        )
    if (wet_c >= boiling_point_c(ambient)).any():
        raise ValueError(
            "the wet bulb is at or above the boiling point at this pressure, where no air is left"
        )
    saturated_pa = saturation_pressure_pa(wet_c)
    at_dry = _wet_bulb_heat_surplus(wet_c, air_c, np.zeros_like(air_c), ambient)
    at_saturated = _wet_bulb_heat_surplus(wet_c, air_c, saturated_pa, ambient)
    vapour = -at_dry / (at_saturated - at_dry) * saturated_pa
    if (vapour < -_DRYNESS_SLACK * ambient).any():
        raise ValueError("the wet bulb is too low for this dry bulb: even dry air would keep it warmer")
    return _as_given(np.maximum(vapour, 0.0))


@dataclass(frozen=True, slots=True)
class AirState:
    """All figures of one parcel of humid air. SI units as the names say; humidity is a fraction of 1.

    `boiling_point_c` and `vapour_diffusivity_m2_s` are those at `pressure_pa`; `latent_heat_j_kg` is taken at
    the wet bulb, where a wet surface in this air would evaporate.
    """

    temp_c: float
    pressure_pa: float
    vapour_pressure_pa: float
    saturation_pressure_pa: float
    relative_humidity: float
    dew_point_c: float
    wet_bulb_c: float
    boiling_point_c: float
    humidity_ratio_kg_kg: float
    enthalpy_j_kg: float
    dry_air_density_kg_m3: float
    vapour_diffusivity_m2_s: float
    latent_heat_j_kg: float


def air_state(
    temp_c: float, vapour_pressure_pa: float, pressure_pa: float = STANDARD_PRESSURE_PA
) -> AirState:
    """The full state of air at `temp_c` holding `vapour_pressure_pa`, under `pressure_pa`.

    From a dew point, give `saturation_pressure_pa(dew_point)`; from relative humidity, a humidity ratio or a
    wet bulb, the `vapour_pressure_from_...` functions. Raises ValueError for supersaturated air, vapour at or
    above the ambient pressure, air too dry to have a dew point, and temperatures or pressures out of range.
    """
    wet_c = wet_bulb_c(temp_c, vapour_pressure_pa, pressure_pa)
    return AirState(
        temp_c=temp_c,
        pressure_pa=pressure_pa,
        vapour_pressure_pa=vapour_pressure_pa,
        saturation_pressure_pa=saturation_pressure_pa(temp_c),
        relative_humidity=relative_humidity(vapour_pressure_pa, temp_c),
        dew_point_c=dew_point_c(vapour_pressure_pa),
        wet_bulb_c=wet_c,
        boiling_point_c=boiling_point_c(pressure_pa),
        humidity_ratio_kg_kg=humidity_ratio_kg_kg(vapour_pressure_pa, pressure_pa),
        enthalpy_j_kg=moist_air_enthalpy_j_kg(temp_c, vapour_pressure_pa, pressure_pa),
        dry_air_density_kg_m3=dry_air_density_kg_m3(temp_c, vapour_pressure_pa, pressure_pa),
        vapour_diffusivity_m2_s=vapour_diffusivity_m2_s(temp_c, pressure_pa),
        latent_heat_j_kg=latent_heat_j_kg(wet_c),
    )


def _wet_bulb_heat_surplus(wet_c: Array, air_c: Array, vapour_pa: Array, ambient_pa: Array) -> Array:
    """Heat given by the cooling air less heat taken to saturate it, J·Pa² per kg dry air: 0 at the wet
    bulb."""
    saturated_pa = saturation_pressure_pa(wet_c)
    air_left_pa = ambient_pa - saturated_pa
    cooling = (
        DRY_AIR_HEAT_J_KG_K * (ambient_pa - vapour_pa) + MOLAR_MASS_RATIO * VAPOUR_HEAT_J_KG_K * vapour_pa
    ) * (air_c - wet_c)
    evaporation = MOLAR_MASS_RATIO * ambient_pa * (saturated_pa - vapour_pa) * latent_heat_j_kg(wet_c)
    return cooling * air_left_pa - evaporation


def _array(values: FloatOrArray) -> Array:
    return np.asarray(values, dtype=np.float64)


def _as_given(result: Array) -> float | Array:
    """A float for what was computed from floats, the array otherwise."""
    return float(result) if result.ndim == 0 else result


def _require_ambient(pressure_pa: FloatOrArray) -> None:
    require_between("air pressure", pressure_pa, MIN_PRESSURE_PA, MAX_PRESSURE_PA, "Pa")


def _require_air_left(vapour_pressure_pa: FloatOrArray, pressure_pa: FloatOrArray) -> None:
    _require_ambient(pressure_pa)
    require_between("vapour pressure", vapour_pressure_pa, 0.0, MAX_PRESSURE_PA, "Pa")
    vapour, ambient = np.broadcast_arrays(_array(vapour_pressure_pa), _array(pressure_pa))
    full = vapour >= ambient
    if full.any():
        worst, limit = float(vapour[full].flat[0]), float(ambient[full].flat[0])
        raise ValueError(
            f"vapour pressure {worst:.0f} Pa reaches the air pressure {limit:.0f} Pa: the dew point must stay"
            f" below the boiling point, {boiling_point_c(limit):.2f} °C here"
        )


def _require_unsaturated(temp_c: FloatOrArray, vapour_pressure_pa: FloatOrArray) -> None:
    require_between("air temperature", temp_c, WATER_MIN_C, WATER_MAX_C, "°C")
    require_between("vapour pressure", vapour_pressure_pa, 0.0, np.inf, "Pa")
    air_c, vapour = np.broadcast_arrays(_array(temp_c), _array(vapour_pressure_pa))
    wet = vapour > saturation_pressure_pa(air_c) * (1 + _SATURATION_SLACK)
    if wet.any():
        air, pressure = float(air_c[wet].flat[0]), float(vapour[wet].flat[0])
        raise ValueError(
            f"air at {air:.2f} °C cannot hold a vapour pressure of {pressure:.0f} Pa, only"
            f" {saturation_pressure_pa(air):.0f} Pa: the dew point must not be above the air temperature"
        )
