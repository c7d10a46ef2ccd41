"""Open water in a holder: how fast it evaporates, how warm a pan settles, how long its water lasts.

Three published equations of pool evaporation and the heat balance of one pan live here. What the vapour does
to the air of the cabinet is ``cabinet_balance``'s matter, which calls ``settled_pan``. All quantities are
floats or arrays that broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

import numpy as np

from slowfolio.physics.arrays import Array, Quantity, as_array, bracketed_root, require_all_between
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import (
    DRY_AIR_HEAT_J_KG_K,
    GAS_CONSTANT_DRY_AIR_J_KG_K,
    MOLAR_MASS_RATIO,
    VAPOUR_HEAT_J_KG_K,
    boiling_point_c,
    latent_heat_j_kg,
    saturation_pressure_pa,
    vapour_diffusivity_m2_s,
)
from slowfolio.physics.pit import STEFAN_BOLTZMANN
from slowfolio.physics.water import KELVIN_OFFSET

WATER_EMISSIVITY = 0.95  # MEMORY: water at 300 K 0.96 (Incropera, table A.11)
LIQUID_HEAT_J_KG_K = 4187.0  # MEMORY: water, 20-90 °C, 4182 to 4205
WATER_DENSITY_KG_M3 = 980.0  # MEMORY: 983 at 60 °C, 972 at 80 °C
CURRENTS_W_M2_K = 2.0
"""Convection by stray air currents. COMPUTED from the least term of Shah's form, 5e-5 kg/(m² h Pa), by the
analogy of heat and mass transfer: it is what still rooms show."""
PAN_LENGTH_M = 0.30  # CALIBRATED: side of a pan; natural convection depends on its fourth root or less
UNDERSIDE_W_M2_K = 3.0
"""Heat that reaches the water through the pan's bottom and sides, per water area. CALIBRATED 0 (standing
on an insulated floor) to 6: natural convection of a cabinet is 3 W/(m²·K), and bright metal hardly
radiates."""
KEPT_BACK = 0.25  # CALIBRATED: refill when a quarter of the depth is left
ELEMENT_COUPLING = 0.5
"""Part of the heat rising from the element's whole floor area that a pan covering that floor takes up.
CALIBRATED 0.2 to 0.8: about half of it passes round the pan to the air and the walls."""

_COLDEST_C = -10.0
_BELOW_BOILING_K = 1e-7
_GRAVITY = 9.81
_UNIT = "a fraction"


class PoolEquation(Enum):
    """Which published form gives the evaporation of open water."""

    CARRIER = "ASHRAE/Carrier, activity factor 1"
    SHAH = "Shah"
    STEFAN = "Stefan flow"


@dataclass(frozen=True, slots=True)
class Pan:
    """Open water: ``area_m2`` in all, ``depth_m`` deep when filled.

    ``element_share``: part of the element's heat that goes straight into the water; 0 for a pan standing
    free. ``held_c``: temperature its own thermostat keeps (a heated bath); None where it settles by itself.
    ``refill_c``: temperature of the water it is topped up with; None for water as hot as the pan's.
    ``underside_w_m2_k``: see ``UNDERSIDE_W_M2_K``. Raises PhysicsInputError for impossible figures.
    """

    area_m2: Quantity
    depth_m: Quantity = 0.04
    element_share: Quantity = 0.0
    held_c: Quantity | None = None
    refill_c: Quantity | None = None
    underside_w_m2_k: Quantity = UNDERSIDE_W_M2_K
    equation: PoolEquation = PoolEquation.STEFAN

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("pan area", self.area_m2, low=0.0, high=5.0, unit="m²")
        require_all_between("pan depth", self.depth_m, low=0.002, high=0.5, unit="m")
        require_all_between("element share of the pan", self.element_share, low=0.0, high=0.95, unit=_UNIT)
        require_all_between("pan underside", self.underside_w_m2_k, low=0.0, high=200.0, unit="W/(m²·K)")
        if self.held_c is not None:
            require_all_between("water temperature", self.held_c, low=0.0, high=100.0, unit="°C")
        if self.refill_c is not None:
            require_all_between("refill water", self.refill_c, low=0.0, high=100.0, unit="°C")

    @property
    def over_element(self) -> bool:
        """Whether any member's pan takes heat straight from the element."""
        return self.held_c is None and bool((as_array(self.element_share) > 0).any())


@dataclass(frozen=True, slots=True)
class Warming:
    """Water on its way to rest: temperature before a step in time, heat stored per kelvin and time of it."""

    from_c: Quantity
    storage_w_k: Quantity


AT_REST = Warming(0.0, 0.0)


@dataclass(frozen=True, slots=True)
class PanAir:
    """The air and walls a pan meets; arrays broadcast."""

    temp_c: Quantity
    vapour_pressure_pa: Quantity
    wall_temp_c: Quantity
    pressure_pa: Quantity
    draught_m_s: Quantity


class SettledPan(NamedTuple):
    """A pan at rest in its air: water temperature, evaporation, and heat its own thermostat must add."""

    water_c: Array
    evaporation_kg_s: Array
    own_heat_w: Array


def element_share_over(pan_area_m2: Quantity, *, volume_m3: Quantity) -> Array:
    """Return the element's share of a pan standing over it on the floor of a cabinet of ``volume_m3``.

    ``ELEMENT_COUPLING`` times the part of the floor it covers; the floor is taken as that of a cube.
    """
    floor_m2 = as_array(volume_m3) ** (2.0 / 3.0)
    return ELEMENT_COUPLING * np.minimum(as_array(pan_area_m2) / floor_m2, 1.0)


def carrier_evaporation_kg_m2_s(
    water_c: Quantity, vapour_pressure_pa: Quantity, *, air_speed_m_s: Quantity = 0.0
) -> Array:
    """Return evaporation of a pool, kg/(m² s), negative where vapour condenses on it.

    ASHRAE Handbook, HVAC Applications, natatoriums, after Carrier (1918): (p_w - p_a)(0.089 + 0.0782 V)/Y
    with kPa, m/s and kJ/kg (MEMORY); Y is taken at the water's temperature. Activity factor 1, a busy pool:
    the same chapter halves it for a quiet one (MEMORY), which a pan is.
    """
    difference_kpa = (saturation_pressure_pa(as_array(water_c)) - as_array(vapour_pressure_pa)) / 1e3
    return (
        difference_kpa
        * (0.089 + 0.0782 * as_array(air_speed_m_s))
        / (latent_heat_j_kg(as_array(water_c)) / 1e3)
    )


def shah_evaporation_kg_m2_s(
    water_c: Quantity, vapour_pressure_pa: Quantity, *, air_temp_c: Quantity, pressure_pa: Quantity
) -> Array:
    """Return evaporation of an undisturbed pool, kg/(m² s), negative where vapour condenses on it.

    Shah (2014), "Methods for calculation of evaporation from swimming pools and other water surfaces", ASHRAE
    Trans. 120(2) (MEMORY): the larger of 35 rho_w (rho_r - rho_w)^(1/3) (W_w - W_r) and 5e-5 (p_w - p_r)
    kg/(m² h); densities are those of the dry air. Valid for water of 7-94 °C in air of 6-35 °C.
    """
    water, air_c = as_array(water_c), as_array(air_temp_c)
    vapour, ambient = as_array(vapour_pressure_pa), as_array(pressure_pa)
    at_water = saturation_pressure_pa(water)
    dry_w = (ambient - at_water) / (GAS_CONSTANT_DRY_AIR_J_KG_K * (water + KELVIN_OFFSET))
    dry_r = (ambient - vapour) / (GAS_CONSTANT_DRY_AIR_J_KG_K * (air_c + KELVIN_OFFSET))
    vapour_w = MOLAR_MASS_RATIO * at_water / (GAS_CONSTANT_DRY_AIR_J_KG_K * (water + KELVIN_OFFSET))
    ratio_r = MOLAR_MASS_RATIO * vapour / (ambient - vapour)
    buoyant = 35.0 * np.cbrt(np.maximum(dry_r - dry_w, 0.0)) * (vapour_w - dry_w * ratio_r)
    return np.maximum(buoyant, 5e-5 * (at_water - vapour)) / 3600.0


def lewis_number(film_temp_c: Quantity) -> Array:
    """Return air's thermal diffusivity over water vapour's; free of pressure."""
    film_k = as_array(film_temp_c) + KELVIN_OFFSET
    density = 101_325.0 / (GAS_CONSTANT_DRY_AIR_J_KG_K * film_k)
    diffusivity = vapour_diffusivity_m2_s(as_array(film_temp_c), 101_325.0)
    return as_array(_conductivity_w_m_k(film_k) / (density * DRY_AIR_HEAT_J_KG_K * diffusivity))


def stefan_flow_kg_m2_s(
    surface_pressure_pa: Quantity,
    vapour_pressure_pa: Quantity,
    *,
    film_temp_c: Quantity,
    pressure_pa: Quantity,
    convection_w_m2_k: Quantity,
) -> Array:
    """Return the vapour flow from a wet surface, kg/(m² s), negative where it condenses there.

    h_m P/(Rv T) ln((P - p_a)/(P - p_s)) with h_m = h/(rho cp Le^(2/3)): Stefan (1874) diffusion through still
    air and Chilton & Colburn (1934), Ind. Eng. Chem. 26, 1183 (MEMORY). rho, cp and P cancel to h Rd/(Rv cp).
    """
    ambient = as_array(pressure_pa)
    conductance = as_array(convection_w_m2_k) * MOLAR_MASS_RATIO
    conductance = conductance / (DRY_AIR_HEAT_J_KG_K * lewis_number(film_temp_c) ** (2.0 / 3.0))
    return as_array(
        conductance
        * np.log((ambient - as_array(vapour_pressure_pa)) / (ambient - as_array(surface_pressure_pa)))
    )


def stefan_evaporation_kg_m2_s(
    water_c: Quantity,
    vapour_pressure_pa: Quantity,
    *,
    air_temp_c: Quantity,
    pressure_pa: Quantity,
    convection_w_m2_k: Quantity,
) -> Array:
    """Return evaporation of open water by Stefan flow, kg/(m² s); see ``stefan_flow_kg_m2_s``.

    Raises PhysicsInputError for water at its boiling point, where heat and not air limits evaporation.
    """
    if (as_array(water_c) >= boiling_point_c(as_array(pressure_pa))).any():
        raise PhysicsInputError("the water is at its boiling point: give it a temperature below, or its heat")
    return stefan_flow_kg_m2_s(
        saturation_pressure_pa(as_array(water_c)),
        vapour_pressure_pa,
        film_temp_c=0.5 * (as_array(water_c) + as_array(air_temp_c)),
        pressure_pa=pressure_pa,
        convection_w_m2_k=convection_w_m2_k,
    )


def plate_convection_w_m2_k(
    draught_m_s: Quantity, *, film_temp_c: Quantity, length_m: float = PAN_LENGTH_M
) -> Array:
    """Return h of a draught along a plate: Nu = 0.664 Re^½ Pr^⅓, laminar (Pohlhausen 1921; MEMORY)."""
    film_k = as_array(film_temp_c) + KELVIN_OFFSET
    reynolds = as_array(draught_m_s) * length_m / _viscosity_m2_s(film_k)
    return as_array(0.664 * np.sqrt(reynolds) * 0.70 ** (1.0 / 3.0) * _conductivity_w_m_k(film_k) / length_m)


def pan_convection_w_m2_k(water_c: Quantity, air: PanAir, *, length_m: float = PAN_LENGTH_M) -> Array:
    """Return h over the water: stray currents, natural convection and draught, joined as the sum of cubes.

    Natural convection by the difference of the moist air's density, warm water's vapour being light: upward
    0.54 Ra^¼, 0.15 Ra^⅓ from 1e7 (Lloyd & Moran 1974, J. Heat Transfer 96, 443), and 0.27 Ra^¼ where the air
    at the water is the heavier (McAdams 1954); length = area over perimeter (all MEMORY).
    """
    water, air_c, ambient = as_array(water_c), as_array(air.temp_c), as_array(air.pressure_pa)
    film_k = 0.5 * (water + air_c) + KELVIN_OFFSET
    at_water = _density_kg_m3(water, saturation_pressure_pa(water), ambient)
    away = _density_kg_m3(air_c, as_array(air.vapour_pressure_pa), ambient)
    lift = (away - at_water) / (0.5 * (away + at_water))
    viscosity = _viscosity_m2_s(film_k) * 101_325.0 / ambient
    size = length_m / 4.0
    rayleigh = _GRAVITY * np.abs(lift) * size**3 / viscosity**2 * 0.70
    rising = np.where(rayleigh < 1e7, 0.54 * rayleigh**0.25, 0.15 * np.cbrt(rayleigh))
    nusselt = np.where(lift > 0, rising, 0.27 * rayleigh**0.25)
    natural = nusselt * _conductivity_w_m_k(film_k) / size
    forced = plate_convection_w_m2_k(air.draught_m_s, film_temp_c=film_k - KELVIN_OFFSET, length_m=length_m)
    return as_array(np.cbrt(CURRENTS_W_M2_K**3 + natural**3 + forced**3))


def pan_evaporation_kg_m2_s(equation: PoolEquation, water_c: Array, air: PanAir) -> Array:
    """Return the evaporation of a pan's water, kg/(m² s), by the chosen equation."""
    if equation is PoolEquation.CARRIER:
        return carrier_evaporation_kg_m2_s(water_c, air.vapour_pressure_pa, air_speed_m_s=air.draught_m_s)
    if equation is PoolEquation.SHAH:
        return shah_evaporation_kg_m2_s(
            water_c, air.vapour_pressure_pa, air_temp_c=air.temp_c, pressure_pa=air.pressure_pa
        )
    return stefan_evaporation_kg_m2_s(
        water_c,
        air.vapour_pressure_pa,
        air_temp_c=air.temp_c,
        pressure_pa=air.pressure_pa,
        convection_w_m2_k=pan_convection_w_m2_k(water_c, air),
    )


def pan_heat_w_m2(pan: Pan, water_c: Array, air: PanAir) -> Array:
    """Return the heat that air and walls give to a pan, per water area: convection, radiation, underside."""
    warmer_k = as_array(air.temp_c) - water_c
    wall_k, water_k = as_array(air.wall_temp_c) + KELVIN_OFFSET, water_c + KELVIN_OFFSET
    radiation = WATER_EMISSIVITY * STEFAN_BOLTZMANN * (wall_k**4 - water_k**4)
    convection = (pan_convection_w_m2_k(water_c, air) + as_array(pan.underside_w_m2_k)) * warmer_k
    return as_array(convection + radiation)


def settled_pan(
    pan: Pan,
    air: PanAir,
    *,
    base_heat_w: Quantity = 0.0,
    power_w: Quantity = np.inf,
    warming: Warming = AT_REST,
) -> SettledPan:
    """Return the pan where the heat it takes up equals the heat its evaporation takes.

    ``base_heat_w``: what the element must give for everything but this pan; it also pays for the evaporation
    itself, up to ``power_w``, and ``pan.element_share`` of all that goes into the water. The evaporation is
    worked out from that heat, which stays exact up to and at the boiling point, where the pool equations run
    away. ``warming``: one implicit step in time instead of rest. Raises PhysicsInputError for bath water held
    at or above boiling.
    """
    if pan.held_c is not None:
        return _held_pan(pan, air)
    area, share = as_array(pan.area_m2), as_array(pan.element_share)
    base, power = as_array(base_heat_w), as_array(power_w)

    def stored_w(water_c: Array) -> Array:
        return as_array(as_array(warming.storage_w_k) * (water_c - as_array(warming.from_c)))

    def surplus_w(water_c: Array) -> Array:
        flow = area * pan_evaporation_kg_m2_s(pan.equation, water_c, air)
        element = base + stored_w(water_c) + flow * _heat_from_air_j_kg(pan, water_c, air)
        taken = share * np.clip(element, 0.0, power) + area * pan_heat_w_m2(pan, water_c, air)
        return as_array(taken - stored_w(water_c) - flow * _heat_into_water_j_kg(pan, water_c))

    hottest = boiling_point_c(as_array(air.pressure_pa)) - _BELOW_BOILING_K
    water_c = bracketed_root(surplus_w, _COLDEST_C, hottest)
    stored = stored_w(water_c)
    given = area * pan_heat_w_m2(pan, water_c, air) - stored
    into, from_air = _heat_into_water_j_kg(pan, water_c), _heat_from_air_j_kg(pan, water_c, air)
    kept = into - share * from_air
    with np.errstate(divide="ignore", invalid="ignore"):
        unlimited = np.where(kept > 1e-3 * into, (share * (base + stored) + given) / kept, np.inf)
    flow = np.clip(unlimited, given / into, (share * np.minimum(power, 1e9) + given) / into)
    return SettledPan(water_c, flow, np.zeros_like(flow))


def pan_feed_heat_w(pan: Pan, settled: SettledPan, *, air_temp_c: Quantity) -> Array:
    """Return all heat that the pan's vapour carries into the air, W: warming, evaporating, superheating."""
    superheat = VAPOUR_HEAT_J_KG_K * (as_array(air_temp_c) - settled.water_c)
    return settled.evaporation_kg_s * (_heat_into_water_j_kg(pan, settled.water_c) + superheat)


def refill_interval_s(pan: Pan, evaporation_kg_s: Array) -> Array:
    """Return the time until ``KEPT_BACK`` of the depth is left, s; infinite where nothing evaporates."""
    usable_kg = as_array(pan.area_m2) * as_array(pan.depth_m) * WATER_DENSITY_KG_M3 * (1.0 - KEPT_BACK)
    with np.errstate(divide="ignore", invalid="ignore"):
        return as_array(np.where(evaporation_kg_s > 0, usable_kg / evaporation_kg_s, np.inf))


def stored_heat_j_k(pan: Pan) -> Array:
    """Return the heat a full pan of water stores, J/K."""
    return as_array(pan.area_m2) * as_array(pan.depth_m) * WATER_DENSITY_KG_M3 * LIQUID_HEAT_J_KG_K


def _held_pan(pan: Pan, air: PanAir) -> SettledPan:
    assert pan.held_c is not None
    shape = np.broadcast_shapes(np.shape(pan.held_c), np.shape(air.temp_c), np.shape(air.vapour_pressure_pa))
    water_c = np.broadcast_to(as_array(pan.held_c), shape)
    flow = as_array(pan.area_m2) * pan_evaporation_kg_m2_s(pan.equation, water_c, air)
    taken = as_array(pan.area_m2) * pan_heat_w_m2(pan, water_c, air)
    return SettledPan(water_c, flow, np.maximum(flow * _heat_into_water_j_kg(pan, water_c) - taken, 0.0))


def _heat_into_water_j_kg(pan: Pan, water_c: Array) -> Array:
    """Heat a kg of refill takes to leave the pan as vapour at the water's temperature."""
    refill_c = water_c if pan.refill_c is None else as_array(pan.refill_c)
    return as_array(latent_heat_j_kg(water_c) + LIQUID_HEAT_J_KG_K * (water_c - refill_c))


def _heat_from_air_j_kg(pan: Pan, water_c: Array, air: PanAir) -> Array:
    """Heat a kg of refill takes to become vapour as warm as the air."""
    return _heat_into_water_j_kg(pan, water_c) + VAPOUR_HEAT_J_KG_K * (as_array(air.temp_c) - water_c)


def _conductivity_w_m_k(film_k: Array) -> Array:
    """Dry air: a power law of tables, within 2 % from 20 to 150 °C (MEMORY, as in ``pit``)."""
    return as_array(0.0241 * (film_k / 273.15) ** 0.81)


def _viscosity_m2_s(film_k: Array) -> Array:
    """Dry air at one atmosphere: a power law of tables (MEMORY, as in ``pit``)."""
    return as_array(13.3e-6 * (film_k / 273.15) ** 1.76)


def _density_kg_m3(temp_c: Array, vapour_pa: Array, ambient_pa: Array) -> Array:
    """Density of moist air, vapour included (ideal gas)."""
    dry_like_pa = ambient_pa - (1.0 - MOLAR_MASS_RATIO) * vapour_pa
    return as_array(dry_like_pa / (GAS_CONSTANT_DRY_AIR_J_KG_K * (temp_c + KELVIN_OFFSET)))
