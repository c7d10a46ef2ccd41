"""Juice and fat on the move: release, films, drip and pool, soaking back, boiling, rendering.

Everything here moves mass and the heat it carries between the nodes, the faces' films, the pool and the
pit, so that water and energy balance; evaporation from the faces lives in ``surfaces``.
"""

from __future__ import annotations

import math

import numpy as np

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.ensemble import Members
from slowfolio.physics.fast_water import fast_latent_heat_j_kg
from slowfolio.physics.grid import Grid
from slowfolio.physics.joint import CutShape, Joint
from slowfolio.physics.kinetics import fast_water_kept, slow_water_kept
from slowfolio.physics.meat import Array, FatKind
from slowfolio.physics.state import (
    CAP,
    FLANK,
    LEAN,
    CookState,
    liquid_fat_heat_j_kg,
    outermost,
    water_heat_j_kg,
)
from slowfolio.physics.surroundings import Surroundings

# A crust in contact with juice soaks up to this moisture, kg/kg dry (CALIBRATED; cooked meat holds 1.4-1.8).
SOAKED_MOISTURE = 1.2
# Permeance at which half the steam inside a wrap still softens the crust, kg/(s m² Pa). CALIBRATED 0.05e-9 to
# 1e-9: paper keeps bark better than foil (common practice, no source).
STEAMY_PERMEANCE = 0.12e-9
STEAM_SHARE = 0.01  # of a cell's water that reaches its crust as steam in one step, at most (numerical)
# Released juice runs off the more the wetter the face, fully from this cover on. CALIBRATED 0.1-1.
RIVULET_COVER = 0.2
# Juice is released above this temperature only: the sigmoids are below 0.4 % there.
RELEASE_FROM_C = 40.0


def held_water(state: CookState, *, members: Members) -> tuple[Array, Array] | None:
    """Return what the heated protein holds, kg by node, at once and after many hours; None while all is cool.

    A member's ``release`` scales the loss. See ``kinetics`` for the two holding curves.
    """
    temp = state.temp_c
    if float(temp.max()) < RELEASE_FROM_C:
        return None
    fast = state.raw_water_kg * (1.0 - members.release * (1.0 - fast_water_kept(temp)))
    slow = state.raw_water_kg * (1.0 - members.release * (1.0 - slow_water_kept(temp)))
    return fast, slow


def release_juice(
    state: CookState, grid: Grid, sky: Surroundings, *, joint: Joint, kept: tuple[Array, Array] | None,
    water_j_kg: Array, step_s: float, calibration: Calibration,
) -> None:  # fmt: skip
    """Let water above what the heated protein holds (``kept``) flow to the faces' films, first order in time.

    Each half of the depth feeds its own face; flanks take a share by area, gravity and a fat cap shift the
    rest. ``water_j_kg`` (N, K, M) is the heat of a kg of water in each node.
    """
    if kept is None:
        return
    released = np.maximum(state.water_kg - kept[0], 0.0)
    released *= -math.expm1(-step_s / calibration.release_time_s)
    slow = np.maximum(state.water_kg - kept[1], 0.0)
    slow *= -math.expm1(-step_s / calibration.slow_release_time_s)
    released += slow
    carried = released * water_j_kg
    state.water_kg -= released
    state.heat_j -= carried
    half = joint.nodes // 2
    flows = (released, carried)
    from_cap_half = np.stack([flow[:half].sum(axis=0) for flow in flows])[:, None]
    from_lean_half = np.stack([flow[half:].sum(axis=0) for flow in flows])[:, None]
    shares = face_shares(grid, sky, joint=joint, calibration=calibration)
    arriving = from_cap_half * shares[0] + from_lean_half * shares[1]
    juice, heat = shared_along(arriving, grid, calibration=calibration)
    state.film_kg += juice
    add_face_heat(state, heat)
    off = run_off_share(sky, calibration=calibration)
    off = off * np.minimum(state.cover * (1.0 / RIVULET_COVER), 1.0) * juice
    shed(state, sky, off, water_j_kg=water_j_kg)


def face_shares(grid: Grid, sky: Surroundings, *, joint: Joint, calibration: Calibration) -> Array:
    """Return how the juice of the two halves is shared, shape (2 halves, 3 faces, K, M); each half adds to
    1.
    """
    plan, flank = grid.face_area_m2[CAP], grid.face_area_m2[FLANK]
    sealed, sealed_aside = seals(joint.shape, calibration=calibration)
    aside = flank / (flank + 2.0 * plan) * (1.0 - sealed_aside)
    sink_cap = calibration.downward_juice * sky.cap_up
    sink_lean = calibration.downward_juice * (1.0 - sky.cap_up)
    shares = np.empty((2, 3, *plan.shape))
    for half, to_cap in ((0, 1.0 - sink_cap), (1, sink_lean)):
        through = to_cap * (1.0 - sealed)
        shares[half, CAP] = (1.0 - aside) * through
        shares[half, LEAN] = (1.0 - aside) * (1.0 - through)
        shares[half, FLANK] = aside
    return shares


def seals(shape: CutShape, *, calibration: Calibration) -> tuple[float, float]:
    """Return the parts of the juice that the cover of a cut keeps from its cap face and from its flanks.

    A fat cap lies on one face; the skin of poultry comes down the sides too, and its juice leaves below.
    """
    if shape.fat_cap_thickness_m <= 0.0:
        return 0.0, 0.0
    if shape.fat is FatKind.POULTRY:
        sealed = calibration.skin_seal * shape.fat_cap_cover
        return sealed, sealed
    return calibration.cap_seal * shape.fat_cap_cover, 0.0


def shared_along(flow: Array, grid: Grid, *, calibration: Calibration) -> Array:
    """Return ``flow`` (..., 3, K, M) to the faces with its ``juice_spread`` part shared out by area.

    Juice runs along the grain, which lies lengthwise, and over the face before it dries: parts that have
    none left to give stay wet from those that have.
    """
    part = calibration.juice_spread
    area = grid.face_area_m2
    evenly = flow.sum(axis=-2, keepdims=True) * (part / np.maximum(area.sum(axis=1, keepdims=True), 1e-12))
    return np.asarray((1.0 - part) * flow + evenly * area)


def add_face_heat(state: CookState, heat: Array) -> None:
    """Add heat that arrives with juice at the faces (3, K, M) to the outermost nodes, flanks half to each."""
    outermost(state.heat_j)[...] += heat[:FLANK] + 0.5 * heat[FLANK]


def drain_films(
    state: CookState, grid: Grid, sky: Surroundings, *, water_j_kg: Array, calibration: Calibration
) -> None:
    """Let films above their cap run off, into the pool where the underside is in a tray or wrap, else away.

    A pool keeps the films of the underside and of the flanks in the tray full: they braise.
    """
    room = calibration.film_cap_kg_m2 * grid.face_area_m2
    excess = np.maximum(state.film_kg - room, 0.0)
    if excess.any():
        shed(state, sky, excess, water_j_kg=water_j_kg)
    keeps = tray_below(sky)
    if not float((keeps * state.pool_kg).max()) > 0.0:
        return
    under = np.zeros_like(state.film_kg)
    missing = room - state.film_kg
    under[LEAN] = np.maximum(missing[LEAN], 0.0) * sky.cap_up * keeps
    under[CAP] = np.maximum(missing[CAP], 0.0) * (1.0 - sky.cap_up) * keeps
    under[FLANK] = np.maximum(missing[FLANK], 0.0) * sky.retains[FLANK] * keeps
    need = under.sum(axis=(0, 1))
    under *= np.minimum(1.0, state.pool_kg / np.maximum(need, 1e-12))
    take_from_faces(state, -under, water_j_kg=water_j_kg)
    state.pool_kg -= under.sum(axis=(0, 1))


def run_off_share(sky: Surroundings, *, calibration: Calibration) -> Array:
    """Return the part of newly released juice that runs off at once, (3, 1, M).

    The upper face sheds half as much as underside and flanks.
    """
    upper = np.stack([sky.cap_up, 1.0 - sky.cap_up, np.zeros_like(sky.cap_up)])[:, None, :]
    return np.asarray(calibration.run_off * (1.0 - 0.5 * upper), dtype=np.float64)


def tray_below(sky: Surroundings) -> Array:
    """Return 1 where the underside keeps its juice (tray or wrap), else 0, shape (M,)."""
    return np.asarray(np.where(sky.cap_up > 0.5, sky.retains[LEAN, 0], sky.retains[CAP, 0]))


def shed(state: CookState, sky: Surroundings, mass: Array, *, water_j_kg: Array) -> None:
    """Let ``mass`` (3, K, M) of film run off: into the pool where the underside is wrapped, else away."""
    take_from_faces(state, mass, water_j_kg=water_j_kg)
    total = mass.sum(axis=(0, 1))
    keeps = tray_below(sky)
    state.pool_kg += keeps * total
    state.dripped_kg += (1.0 - keeps) * total


def take_from_faces(state: CookState, mass: Array, *, water_j_kg: Array) -> None:
    """Take ``mass`` (3, K, M) of juice with its heat off the films (negative: add); flanks have the mean."""
    ends = outermost(water_j_kg)
    carried = mass[:FLANK] * ends
    carried += mass[FLANK] * (0.25 * ends.sum(axis=0))
    state.film_kg -= mass
    outermost(state.heat_j)[...] -= carried
    state.heat_out_j += carried.sum(axis=(0, 1))


def soak_crust(
    state: CookState, sky: Surroundings, *, cover: Array, water_j_kg: Array, step_s: float,
    calibration: Calibration,
) -> None:  # fmt: skip
    """Let juice soak back into outermost nodes drier than SOAKED_MOISTURE: bark softens.

    Where the face carries a film it takes that; under a wrap steam reaches it too, the more the tighter
    the wrap, 1/(1 + permeance/STEAMY_PERMEANCE), from the pool while there is one, then from the moist
    meat of the cell.
    """
    part = -math.expm1(-step_s / calibration.rewetting_time_s)
    steam = 1.0 - 1.0 / (1.0 + sky.vapour_resistance * STEAMY_PERMEANCE)
    steamy = float(steam.max()) > 0.0
    for face, node in ((CAP, 0), (LEAN, -1)):
        missing = np.maximum(SOAKED_MOISTURE * state.dry_kg[node] - state.water_kg[node], 0.0) * part
        soaked = np.minimum(missing * cover[face], state.film_kg[face])
        state.film_kg[face] -= soaked
        state.water_kg[node] += soaked
        if steamy:
            wanted = np.maximum(missing * steam[face] - soaked, 0.0)
            steam_crust(state, node, wanted, water_j_kg=water_j_kg)


def steam_crust(state: CookState, node: int, wanted: Array, *, water_j_kg: Array) -> None:
    """Bring ``wanted`` (K, M) kg of water as steam to an outermost node, from the pool, then from the
    cell.
    """
    from_pool = wanted * np.minimum(1.0, 0.5 * state.pool_kg / np.maximum(wanted.sum(axis=0), 1e-12))
    pool_heat = from_pool * water_j_kg[node]
    cell_kg = state.water_kg.sum(axis=0)
    share = np.minimum((wanted - from_pool) / np.maximum(cell_kg, 1e-12), STEAM_SHARE)
    given = state.water_kg * share
    state.water_kg -= given
    state.water_kg[node] += from_pool + share * cell_kg
    given *= water_j_kg
    state.heat_j -= given
    state.heat_j[node] += given.sum(axis=0) + pool_heat
    state.heat_out_j -= pool_heat.sum(axis=0)
    state.pool_kg -= from_pool.sum(axis=0)


def boil_nodes(
    state: CookState, capacity_j_k: Array, *, boiling_c: float, water_j_kg: Array, calibration: Calibration
) -> None:
    """Turn heat above the boiling point into steam wherever free water is left."""
    depth = state.temp_c.shape[0]
    hot = np.flatnonzero(state.temp_c.reshape(depth, -1).max(axis=1) > boiling_c)
    if not hot.size:
        return
    temp = state.temp_c[hot]
    free = np.maximum(state.water_kg[hot] - calibration.bound_water_kg_kg * state.dry_kg[hot], 0.0)
    surplus = np.maximum(temp - boiling_c, 0.0) * capacity_j_k[hot]
    steam = np.minimum(surplus / float(fast_latent_heat_j_kg(np.array(boiling_c))), 0.5 * free)
    heat = steam * (fast_latent_heat_j_kg(temp) + water_j_kg[hot])
    state.water_kg[hot] -= steam
    state.heat_j[hot] -= heat
    state.evaporated_kg += steam.sum(axis=(0, 1))
    state.heat_out_j += heat.sum(axis=(0, 1))


def spray_faces(state: CookState, grid: Grid, sky: Surroundings, *, room_temp_c: float) -> None:
    """Add spritzed water at room temperature to bare faces; the underside is out of reach."""
    if not float(sky.spritz_kg_m2.max()) > 0.0:
        return
    reach = sky.bare * np.stack([sky.cap_up, 1.0 - sky.cap_up, np.ones_like(sky.cap_up)])[:, None, :]
    water = sky.spritz_kg_m2 * grid.face_area_m2 * reach
    heat = water * float(water_heat_j_kg(np.array(room_temp_c)))
    state.film_kg += water
    add_face_heat(state, heat)
    state.spritzed_kg += water.sum(axis=(0, 1))
    state.heat_out_j -= heat.sum(axis=(0, 1))


def render_fat(state: CookState, *, rate_per_s: Array, renderable: Array, step_s: float) -> None:
    """Let fat leave the nodes, first order towards its ``renderable`` part (N, K, 1), with its heat."""
    rendered = 1.0 - state.fat_kg / np.maximum(state.raw_fat_kg, 1e-12)
    step = np.maximum(renderable - rendered, 0.0) * -np.expm1(-rate_per_s * step_s)
    leaving = step * state.raw_fat_kg
    heat = leaving * liquid_fat_heat_j_kg(state.temp_c)
    state.fat_kg -= leaving
    state.heat_j -= heat
    state.rendered_kg += leaving.sum(axis=(0, 1))
    state.heat_out_j += heat.sum(axis=(0, 1))
