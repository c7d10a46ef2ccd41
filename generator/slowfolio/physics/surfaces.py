"""Exchange at the faces: convection, radiation, evaporation, the juice film, the drying crust.

Each face balances heat without storing any; the balance is linearised in its surface temperature so that
it can join the implicit depth solve, and afterwards yields what evaporated. ``cook`` calls ``exchange``
before and ``settle`` after the solve.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.conduction import IMPLICITNESS
from slowfolio.physics.fast_water import (
    fast_latent_heat_j_kg,
    fast_saturation_pressure_pa,
    saturation_slope_per_k,
)
from slowfolio.physics.grid import Grid
from slowfolio.physics.meat import Array
from slowfolio.physics.pit import STEFAN_BOLTZMANN, natural_convection_w_m2_k
from slowfolio.physics.sorption import moisture_at_activity, monolayer_kg_kg, water_activity
from slowfolio.physics.state import CAP, FLANK, LEAN, CookState, outermost, water_heat_j_kg
from slowfolio.physics.surroundings import Surroundings

KELVIN = 273.15
# Lewis relation k_p = h_c / (cp Le^(2/3) P Rv/Ra), Le = 0.83: 6.9e-9 h_c at 101.325 kPa (COMPUTED).
LEWIS_KG_K_J = 1.0 / (1007.0 * 0.883 * 1.6078)
# A face at boiling vents its steam through this conductance (numerical: holds it within 0.1 K of boiling).
VENT_W_M2_K = 3000.0
# Surface temperatures stay within this range whatever the linearisation says.
COLDEST_C, HOTTEST_C = -30.0, 260.0
# At most this part of a crust node's water leaves in one step.
CRUST_SHARE = 0.9
# Evaporation of a film, its steam and that of a crust climb with temperature no faster than would use them up
# within one step over these spans: what is nearly dry cannot cool what it has no water to cool (numerical).
SLOPE_SPAN_K, VENT_SPAN_K = 10.0, 2.0
# Part of a tray's sides that lies in its juice and stays moist; the rest dries as the free faces do.
# CALIBRATED 0.3-1: set with ``crust_cracking`` by what an open hold loses.
TRAY_SIDE_MOIST = 0.5


@dataclass(slots=True)
class FaceExchange:
    """The linearised face balances of one step, each (3, K, M); per area where the unit says so."""

    conductance_w_k: Array  # from outermost node to the effective outside
    outside_c: Array  # effective outside temperature (heat and evaporation together)
    steepness_w_m2_k: Array  # fall of the net heat flux with surface temperature
    heat_w_m2_k: Array  # convection and radiation conductance to ``sky_c``
    sky_c: Array
    latent_j_kg: Array
    film_flux: Array  # kg/(m² s) evaporating from the juice film at the old surface temperature
    film_slope: Array
    crust_flux: Array  # kg/(m² s) from the crust between
    crust_slope: Array
    cover: Array  # 0..1 of the face that is wet


def exchange(
    state: CookState, grid: Grid, sky: Surroundings, *, pressure_pa: float, boiling_c: float, step_s: float,
    calibration: Calibration,
) -> FaceExchange:  # fmt: skip
    """Return the face balances linearised about the present surface temperatures.

    Evaporation is by mass transfer with the Stefan correction, E = k P ln((P - p_air)/(P - a_w p_sat)); a
    wrap's vapour resistance is in series. What a step can evaporate from film and crust is bounded by what
    they hold.
    """
    surface = state.surface_c
    natural = natural_convection_w_m2_k(sky.air_c - surface)
    convection = np.cbrt(cubed(sky.forced_w_m2_k) + cubed(natural))
    hot, warm = sky.wall_c + KELVIN, surface + KELVIN
    radiation = sky.emissivity * STEFAN_BOLTZMANN * (hot * hot + warm * warm) * (hot + warm)
    outer = convection + radiation
    sky_c = (convection * sky.air_c + radiation * sky.wall_c) / outer
    heat = outer / (1.0 + outer * sky.gap_m2_k_w)
    transfer = 1.0 / (pressure_pa / (LEWIS_KG_K_J * convection) + sky.vapour_resistance)
    saturation = fast_saturation_pressure_pa(surface)
    climb = saturation * saturation_slope_per_k(surface)
    latent = fast_latent_heat_j_kg(surface)
    area = np.maximum(grid.face_area_m2, 1e-12)
    wet, wet_slope = stefan_flux(transfer, saturation, climb, sky.vapour_pa, pressure_pa)
    film = state.film_kg / area
    cover = np.minimum(film / (calibration.film_full_kg_m2 + np.maximum(wet, 0.0) * step_s), 1.0)
    dry, dry_slope = stefan_flux(
        transfer, state.activity * saturation, state.activity * climb, sky.vapour_pa, pressure_pa
    )
    damping = crust_damping(
        state, grid, dry, sky.vapour_pa / saturation, saturation, step_s=step_s, calibration=calibration
    )
    most = film / step_s
    vent = np.minimum(cover * VENT_W_M2_K / latent, most / VENT_SPAN_K) * (surface > boiling_c)
    wanted = cover * wet + vent * (surface - boiling_c)
    bare = 1.0 - cover
    film_flux = np.minimum(wanted, most)
    film_slope = np.minimum(cover * wet_slope, most / SLOPE_SPAN_K) + vent
    film_slope *= wanted < most
    crust_flux = bare * dry * damping
    # Both limits are of the form E S/(E + S), whose slope is the square of the factor.
    crust_slope = bare * dry_slope * (damping * damping)
    held = outermost(state.water_kg) / (area[:FLANK] * (SLOPE_SPAN_K * step_s))
    crust_slope[:FLANK] = np.minimum(crust_slope[:FLANK], held)
    # Flanks are as dry as the faces, weighed by how freely these dry: a face in a tray tells nothing of them.
    open_flux = np.maximum(bare[:FLANK] * wet[:FLANK], 0.0)
    wetness = np.maximum(crust_flux[:FLANK], 0.0).sum(axis=0) / np.maximum(open_flux.sum(axis=0), 1e-12)
    skin = bare[FLANK] * np.minimum(wetness, 1.0)
    crust_flux[FLANK] = skin * wet[FLANK]
    crust_slope[FLANK] = skin * wet_slope[FLANK]
    lying = TRAY_SIDE_MOIST * (sky.retains[FLANK] > 0.5)
    if lying.any():
        # The lower part of sides that are wrapped with the underside shares its juice: as moist as it is.
        under = np.where(sky.cap_up > 0.5, state.activity[LEAN], state.activity[CAP])
        moist, moist_slope = stefan_flux(
            transfer[FLANK], under * saturation[FLANK], under * climb[FLANK], sky.vapour_pa[0], pressure_pa
        )
        crust_flux[FLANK] += lying * (bare[FLANK] * moist - crust_flux[FLANK])
        crust_slope[FLANK] += lying * (bare[FLANK] * moist_slope - crust_slope[FLANK])
    steepness = heat + latent * (film_slope + crust_slope)
    net = heat * (sky_c - surface) - latent * (film_flux + crust_flux)
    through = steepness * grid.face_area_m2
    return FaceExchange(
        conductance_w_k=through * grid.face_w_k / (through + grid.face_w_k + 1e-30),
        outside_c=surface + net / steepness,
        steepness_w_m2_k=steepness,
        heat_w_m2_k=heat,
        sky_c=sky_c,
        latent_j_kg=latent,
        film_flux=film_flux,
        film_slope=film_slope,
        crust_flux=crust_flux,
        crust_slope=crust_slope,
        cover=cover,
    )


def cubed(values: Array) -> Array:
    """Return the third power; ``**`` would ask the library's general one."""
    return np.asarray(values * values * values, dtype=np.float64)


def stefan_flux(
    transfer: Array, at_surface_pa: Array, climb_pa_k: Array, in_air_pa: Array, pressure_pa: float
) -> tuple[Array, Array]:
    """Return the evaporation flux, kg/(m² s), and its slope with surface temperature (Stefan flow)."""
    left = np.maximum(pressure_pa - at_surface_pa, 0.03 * pressure_pa)
    strength = transfer * pressure_pa
    return strength * np.log((pressure_pa - in_air_pa) / left), strength * climb_pa_k / left


def crust_damping(
    state: CookState,
    grid: Grid,
    flux: Array,
    air_activity: Array,
    saturation: Array,
    *,
    step_s: float,
    calibration: Calibration,
) -> Array:
    """Return the factor (0..1) by which one step's crust evaporation falls short of a wet crust's rate.

    Water must first come from the middle of the outermost node to its face, at most at the rate S that a
    face in balance with the air would draw: E S/(E + S) evaporates.

    The outermost node relaxes towards its equilibrium with the air, X_eq, while the flow q from within feeds
    it as in the last step: implicitly, it gives up (m (X - X_eq) + q) r/(1 + r) with r = E dt A / (m (X -
    X_eq)), which neither overshoots nor dries below X_eq and is exact where evaporation and q balance.
    """
    dry = outermost(state.dry_kg)
    moisture = outermost(state.water_kg) / dry
    monolayer = monolayer_kg_kg(state.surface_c[:FLANK], calibration=calibration)
    balance = moisture_at_activity(
        np.minimum(air_activity[:FLANK], 0.985), monolayer, calibration=calibration
    )
    away = np.abs(moisture - balance)
    room = away * dry + 1e-9
    inside = np.minimum(outermost(state.temp_c), 115.0)
    pressure = state.activity[:FLANK] * fast_saturation_pressure_pa(inside)
    drawn = grid.crust_kg_s * away
    drawn += grid.crust_kg_s_pa * np.abs(pressure - air_activity[:FLANK] * saturation[:FLANK])
    wanted = np.abs(flux[:FLANK]) * grid.face_area_m2[:FLANK]
    supplied = drawn / (drawn + wanted + 1e-30)
    fed = 1.0 + np.maximum(state.crust_inflow_kg, 0.0) / room
    damping = np.empty_like(flux)
    part = wanted * supplied * step_s / room
    most = CRUST_SHARE * moisture * dry
    given = np.minimum(fed / (1.0 + part), most / np.maximum(part * room, most))
    damping[:FLANK] = supplied * given
    damping[FLANK] = 0.5 * (damping[CAP] + damping[LEAN])
    return damping


def refresh_activity(state: CookState, *, calibration: Calibration) -> None:
    """Set the water activity of the crust from the outermost nodes; flanks take the mean of both faces."""
    moisture = np.maximum(outermost(state.water_kg) / outermost(state.dry_kg), 0.0)
    monolayer = monolayer_kg_kg(state.surface_c[:FLANK], calibration=calibration)
    state.activity[:FLANK] = water_activity(moisture, monolayer, calibration=calibration)
    state.activity[FLANK] = 0.5 * (state.activity[CAP] + state.activity[LEAN])


def settle(
    state: CookState, grid: Grid, faces: FaceExchange, *, change_k: Array, node_fraction: Array, step_s: float
) -> None:
    """Take the evaporated water, its latent heat and the new surface temperatures into the state.

    ``change_k`` (N, K, M) is the solved temperature change; ``state.temp_c`` is still the old one. Where less
    water was there than the linearised flux wanted, the heat it would have taken goes back to the meat.
    """
    ends = outermost(state.temp_c) + IMPLICITNESS * outermost(change_k)
    middle = over_depth(state.temp_c, node_fraction) + IMPLICITNESS * over_depth(change_k, node_fraction)
    inside = np.concatenate([ends, middle[None]])
    inflow = faces.conductance_w_k * (faces.outside_c - inside)
    area = grid.face_area_m2
    through = np.maximum(area, 1e-12) * faces.steepness_w_m2_k
    surface = np.where(area > 0, faces.outside_c - inflow / through, inside)
    shift = surface - state.surface_c
    span = area * step_s
    wanted_film = (faces.film_flux + faces.film_slope * shift) * span
    wanted_crust = (faces.crust_flux + faces.crust_slope * shift) * span
    from_film = np.minimum(wanted_film, state.film_kg)
    cell_kg = state.water_kg.sum(axis=0)
    from_crust = np.empty_like(wanted_crust)
    np.minimum(wanted_crust[:FLANK], CRUST_SHARE * outermost(state.water_kg), out=from_crust[:FLANK])
    np.minimum(wanted_crust[FLANK], 0.1 * cell_kg, out=from_crust[FLANK])
    gone = from_film + from_crust
    returned = (wanted_film + wanted_crust - gone) * faces.latent_j_kg
    state.film_kg -= from_film
    outermost(state.water_kg)[...] -= from_crust[:FLANK]
    half_film = 0.5 * from_film[FLANK]  # film of the flanks belongs, thermally, half to each outermost node
    carried = (gone[:FLANK] + half_film) * water_heat_j_kg(ends)
    outermost(state.heat_j)[...] += returned[:FLANK] - carried
    if returned[FLANK].any():
        state.heat_j += node_fraction[:, None, None] * returned[FLANK]
    # Crust water of the flanks comes from all nodes of the cell; its sensible heat is taken at the cell's
    # mean.
    cell_kg -= from_crust[CAP] + from_crust[LEAN]
    part = from_crust[FLANK] / np.maximum(cell_kg, 1e-12)
    sensible = part * water_heat_j_kg(middle)
    state.heat_j -= state.water_kg * sensible
    state.water_kg *= 1.0 - part
    received = faces.heat_w_m2_k * (faces.sky_c - surface) * span
    state.heat_in_j += received.sum(axis=(0, 1))
    state.heat_out_j += (gone * faces.latent_j_kg).sum(axis=(0, 1)) + carried.sum(axis=(0, 1))
    state.heat_out_j += (sensible * cell_kg).sum(axis=0)
    state.evaporated_kg += gone.sum(axis=(0, 1))
    state.surface_c = np.minimum(np.maximum(surface, COLDEST_C), HOTTEST_C)


def over_depth(values: Array, node_fraction: Array) -> Array:
    """Return ``values`` (N, K, M) averaged over the depth of each cell, shape (K, M)."""
    return np.asarray(np.einsum("n,nkm->km", node_fraction, values), dtype=np.float64)
