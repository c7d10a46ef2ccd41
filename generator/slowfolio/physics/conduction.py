"""Heat and moisture moving inside the joint: conductances of the shrinking grid and the implicit depth solve.

Depth is solved implicitly (theta rule, tridiagonal), exchange between neighbouring cells explicitly. What
happens at the faces lives in ``surfaces``; ``cook`` calls both once a step.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.ensemble import Members
from slowfolio.physics.fast_water import (
    fast_latent_heat_j_kg,
    fast_saturation_pressure_pa,
    saturation_slope_per_k,
)
from slowfolio.physics.joint import Joint, lane_edges, parabola_stretch
from slowfolio.physics.kinetics import KELVIN, arrhenius
from slowfolio.physics.meat import CONDUCTIVITY_W_M_K, DENSITY_KG_M3, Array, Component, quadratic
from slowfolio.physics.sorption import monolayer_kg_kg, water_activity
from slowfolio.physics.state import FLANK, CookState, water_heat_j_kg

# Weight of the step's end in the fluxes: near the trapezoidal rule's accuracy (0.5), damped enough for the
# thin outermost nodes. 1 would be backward Euler.
IMPLICITNESS = 0.6
# Moisture spreads through this part of the depth from each face: beyond it, it is slower than the cook is
# long.
SKIN_PART = 0.18
# Cooling at which a crust starts to open, and over which it opens fully. CALIBRATED: beyond what a door, fuel
# or thermostat makes a surface swing; reached within the first hour off the pit.
CRACK_FROM_K, CRACK_SPAN_K = 15.0, 15.0
WIDEST_PORES = 0.5  # of still air: porosity over winding of the loosest dried foods (MEMORY)
# Distance from a drying node's face to where its moisture is the mean, over its thickness: 1/3 for a
# parabolic profile, less where diffusivity falls with dryness. CALIBRATED 0.1-0.5: with 0.2 sixteen and
# thirty-two nodes agree (numerical; it matters less the finer the grid).
MEAN_DEPTH = 0.2
# Densities at 60 °C serve the volume fractions throughout: within 2 % from 0 to 100 °C.
_DENSITY_60 = {part: float(quadratic(DENSITY_KG_M3[part], 60.0)) for part in Component}


@dataclass(slots=True)
class Grid:
    """Geometry and conductances of all members; refreshed every few steps as the meat shrinks and dries."""

    face_area_m2: Array  # (3, K, M)
    depth_w_k: Array  # (N-1, K, M) between neighbouring nodes
    face_w_k: Array  # (3, K, M) from the outermost node (flank: cell middle) to the surface
    length_w_k: Array  # (N, C-1, L, M)
    lane_w_k: Array  # (N, C, L-1, M)
    skin_kg_s: Array  # (2, SKIN-1, K, M) moisture conductance per unit of dry-basis moisture
    skin_kg_s_pa: Array  # (2, SKIN-1, K, M) vapour conductance
    crust_kg_s: Array  # (2, K, M) moisture conductance from the middle of the outermost node to its face
    crust_kg_s_pa: Array  # (2, K, M) vapour conductance over the same
    skin_monolayer: Array  # (2, SKIN, K, M) of the sorption isotherm
    node_m: Array  # (N, K, M) node thickness
    shrink: Array  # (K, M) linear shrinkage, 1 = raw


def conductivity_w_m_k(state: CookState, *, calibration: Calibration) -> Array:
    """Return the conductivity of every node: parallel model times its factor, lower where dried and
    porous.
    """
    temp = state.temp_c
    ash = state.dry_kg - state.protein_kg
    masses = (state.water_kg, state.protein_kg, state.fat_kg, ash)
    volume = np.zeros_like(temp)
    carried = np.zeros_like(temp)
    for part, mass in zip(Component, masses, strict=True):
        share = mass * (1.0 / _DENSITY_60[part])
        volume += share
        carried += share * quadratic(CONDUCTIVITY_W_M_K[part], temp)
    moisture = state.water_kg / state.dry_kg
    porous = calibration.dry_conductivity_factor
    dryness = np.clip(1.0 - moisture, 0.0, 1.0)
    return np.asarray(
        calibration.conductivity_factor * carried / volume * (1.0 - (1.0 - porous) * dryness),
        dtype=np.float64,
    )


def linear_shrinkage(state: CookState) -> Array:
    """Return each cell's length scale over the raw one, shape (K, M): the cube root of its volume ratio."""
    lost = (state.raw_water_kg - state.water_kg).sum(axis=0) / _DENSITY_60[Component.WATER]
    lost += (state.raw_fat_kg - state.fat_kg).sum(axis=0) / _DENSITY_60[Component.FAT]
    raw = state.raw_water_kg.sum(axis=0) / _DENSITY_60[Component.WATER]
    raw += state.raw_fat_kg.sum(axis=0) / _DENSITY_60[Component.FAT]
    raw += state.dry_kg.sum(axis=0) / _DENSITY_60[Component.PROTEIN]
    return np.asarray(np.cbrt(1.0 - lost / raw), dtype=np.float64)


def build_grid(
    joint: Joint,
    state: CookState,
    members: Members,
    *,
    calibration: Calibration,
    conductivity: Array | None = None,
) -> Grid:
    """Return the grid for the state as it is; a given ``conductivity`` (N, K, M) overrides the composition's.

    A member's ``thickness`` scales the depth at constant mass, so that its plan area gives way.
    """
    k = conductivity_w_m_k(state, calibration=calibration) if conductivity is None else conductivity
    shrink = linear_shrinkage(state)
    deep = members.thickness * shrink  # (K, M)
    wide = shrink / np.sqrt(members.thickness)
    plan = joint.plan_area_m2[:, None] * wide * wide
    node = joint.node_fraction[:, None, None] * (joint.column_thickness_m[:, None] * deep)
    resistance = node / k  # (N, K, M)
    stretch = parabola_stretch(joint.depth_edges, joint.node_fraction[:-1] + joint.node_fraction[1:])[
        :, None, None
    ]
    depth = plan / (0.5 * stretch * (resistance[:-1] + resistance[1:]))
    reach = float((1.0 - joint.depth_moments[0]) / (2.0 * joint.node_fraction[0])) * 0.5
    flank_area = joint.flank_area_m2[:, None] * deep * wide
    mean_k = (joint.node_fraction[:, None, None] * k).sum(axis=0)
    flank = flank_area * mean_k / (joint.flank_distance_m[:, None] * wide)
    face = np.stack([plan / (reach * resistance[0]), plan / (reach * resistance[-1]), flank])
    shape = (joint.nodes, joint.columns, joint.lanes, members.count)
    k4, node4 = k.reshape(shape), node.reshape(shape)
    length = (
        0.5 * (k4[:, 1:] + k4[:, :-1]) * np.minimum(node4[:, 1:], node4[:, :-1])
        * (joint.lane_width_m[:, None] / joint.pitch_m)
    )  # fmt: skip
    lane = (
        0.5 * (k4[:, :, 1:] + k4[:, :, :-1]) * np.minimum(node4[:, :, 1:], node4[:, :, :-1])
        * (2.0 * joint.pitch_m / lane_reach_m(joint)[:, None])
    )  # fmt: skip
    count = skin_count(joint)
    liquid = skin_resistance(state, node, plan, count=count, calibration=calibration)
    vapour = skin_vapour_resistance(state, node, count=count, calibration=calibration)
    return Grid(
        face_area_m2=np.stack([plan, plan, flank_area]),
        depth_w_k=depth,
        face_w_k=face,
        length_w_k=length,
        lane_w_k=lane,
        skin_kg_s=plan / (0.5 * (liquid[:, 1:] + liquid[:, :-1])),
        skin_kg_s_pa=plan / (0.5 * (vapour[:, 1:] + vapour[:, :-1])),
        crust_kg_s=plan / (MEAN_DEPTH * liquid[:, 0]),
        crust_kg_s_pa=plan / (MEAN_DEPTH * vapour[:, 0]),
        skin_monolayer=monolayer_kg_kg(skin_layers(state.temp_c, count), calibration=calibration),
        node_m=node,
        shrink=shrink,
    )


def lane_reach_m(joint: Joint) -> Array:
    """Return the conduction distances between lanes, shape (L-1,); see ``parabola_stretch``."""
    if joint.lanes == 1:
        return joint.lane_distance_m
    edges = lane_edges(joint.lanes)
    plain = joint.lane_distance_m / (joint.width_m / 2.0)
    return np.asarray(joint.lane_distance_m * parabola_stretch(edges, plain), dtype=np.float64)


def skin_layers(values: Array, count: int) -> Array:
    """Return the outer ``count`` nodes of both faces, outermost first, shape (2, count, K, M) (a copy)."""
    return np.stack([values[:count], values[::-1][:count]])


def skin_count(joint: Joint) -> int:
    """Return how many nodes from a face take part in the spreading of moisture."""
    reach = np.cumsum(joint.node_fraction)
    return int(np.clip(np.searchsorted(reach, SKIN_PART) + 1, 2, joint.nodes // 2))


def skin_resistance(
    state: CookState, node: Array, plan: Array, *, count: int, calibration: Calibration
) -> Array:
    """Return each outer node's resistance to moisture, m² s/kg per kg/kg, shape (2, SKIN, K, M).

    Fick in the dry-basis moisture, D = D60 exp(-Ea/R (1/T - 1/333.15 K)), falling towards
    ``dry_diffusivity_factor`` below 0.15 kg/kg.
    """
    temp, depth = skin_layers(state.temp_c, count), skin_layers(node, count)
    dry = skin_layers(state.dry_kg, count)
    moisture = skin_layers(state.water_kg, count) / dry
    low = calibration.dry_diffusivity_factor
    slowed = low + (1.0 - low) * np.clip(moisture / 0.15, 0.0, 1.0)
    diffusivity = (
        calibration.moisture_diffusivity_m2_s
        * slowed
        * arrhenius(np.minimum(temp, 110.0), calibration.moisture_activation_j_mol, 60.0)
    )
    return np.asarray(depth / (diffusivity * (dry / (depth * plan))), dtype=np.float64)


def skin_vapour_resistance(state: CookState, node: Array, *, count: int, calibration: Calibration) -> Array:
    """Return each outer node's resistance to vapour, m² s Pa/kg, shape (2, SKIN, K, M).

    D_v/(Rv T) of vapour in air, D_v = 2.26e-5 (T/273.15 K)^1.81 m²/s (MEMORY), times
    ``crust_vapour_factor`` for the pores' share and winding (CALIBRATED).
    """
    absolute = skin_layers(state.temp_c, count) + KELVIN
    pores = calibration.crust_vapour_factor * crust_opening(state, calibration=calibration)[:, None]
    pores = np.minimum(pores, WIDEST_PORES)
    permeability = pores * (2.26e-5 / 461.5) * (absolute / KELVIN) ** 1.81 / absolute
    return np.asarray(skin_layers(node, count) / permeability, dtype=np.float64)


def crust_opening(state: CookState, *, calibration: Calibration) -> Array:
    """Return how many times more vapour each crust passes than while it formed, shape (2, K, M), 1 or more.

    A crust forms hot, its pores filled by the fat and juice that the shrinking meat presses out. Once it is
    CRACK_FROM_K cooler than it has been, the meat relaxes under a stiff shell, the pressing ends, cracks and
    pores open; fully after CRACK_SPAN_K more (CALIBRATED, see ``crust_cracking``).
    """
    cooled = (state.hottest_c - state.surface_c)[:FLANK] - CRACK_FROM_K
    return np.asarray(1.0 + calibration.crust_cracking * np.clip(cooled / CRACK_SPAN_K, 0.0, 1.0))


def spread_moisture(state: CookState, grid: Grid, *, step_s: float, calibration: Calibration) -> None:
    """Move water between the outer nodes, conserving water and the heat it carries.

    Liquid goes down the gradient of dry-basis moisture, vapour down that of vapour pressure a_w p_sat,
    taking its latent heat from the node it leaves: so the drying front recedes under the crust and the
    crust throttles it. Implicit, with the vapour pressure held proportional to the moisture over the step:
    no node can run dry. The latent heat waits in ``vapour_heat_w`` for the next ``solve_depth``, which takes
    it implicitly with the conductance ``vapour_link_w_k``: explicit, it would overshoot in thin nodes.
    """
    count = grid.skin_kg_s.shape[1] + 1
    water, dry = skin_layers(state.water_kg, count), skin_layers(state.dry_kg, count)
    temp = skin_layers(state.temp_c, count)
    activity = water_activity(water / dry, grid.skin_monolayer, calibration=calibration)
    pressure = activity * fast_saturation_pressure_pa(np.minimum(temp, 115.0))
    latent = fast_latent_heat_j_kg(temp)
    vapour_pull = grid.skin_kg_s_pa * step_s
    liquid_pull = grid.skin_kg_s * step_s
    ease = pressure / water  # Pa per kg of the node's water
    inward = liquid_pull / dry[:, 1:] + vapour_pull * ease[:, 1:]  # outward flux per kg in the inner node
    back = liquid_pull / dry[:, :-1] + vapour_pull * ease[:, :-1]  # backward flux per kg in the outer node
    later = solve_exchange(water, inward, back)
    outward = inward * later[:, 1:] - back * later[:, :-1]
    vapour = vapour_pull * (ease[:, 1:] * later[:, 1:] - ease[:, :-1] * later[:, :-1])
    from_within = outward > 0
    source = np.where(from_within, temp[:, 1:], temp[:, :-1])
    carried = outward * water_heat_j_kg(source)
    vapour *= np.where(from_within, latent[:, 1:], latent[:, :-1]) / step_s
    heat_slope = latent * pressure * saturation_slope_per_k(temp)
    stiffening = grid.skin_kg_s_pa * np.maximum(heat_slope[:, 1:], heat_slope[:, :-1])
    state.vapour_heat_w[:] = 0.0
    state.crust_inflow_kg = np.ascontiguousarray(outward[:, 0])
    for side, order in ((0, slice(None, count)), (1, slice(None, -count - 1, -1))):
        held, heat = state.water_kg[order], state.heat_j[order]
        held[:-1] += outward[side]
        held[1:] -= outward[side]
        heat[:-1] += carried[side]
        heat[1:] -= carried[side]
        gained = state.vapour_heat_w[order]
        gained[:-1] += vapour[side]
        gained[1:] -= vapour[side]
    state.vapour_link_w_k[: count - 1] = stiffening[0]
    state.vapour_link_w_k[::-1][: count - 1] = stiffening[1]


def solve_exchange(held: Array, inward: Array, back: Array) -> Array:
    """Return what chains of nodes hold after an implicit exchange with their neighbours, shape of ``held``.

    ``held`` (2, n, ...); node i gains ``inward[i]`` times what node i+1 will hold and loses ``back[i]``
    times what it will hold itself. The matrix is an M-matrix: nothing turns negative whatever the step.
    """
    count = held.shape[1]
    diagonal = np.ones_like(held)
    diagonal[:, :-1] += back
    diagonal[:, 1:] += inward
    later = held.copy()
    for i in range(1, count):
        ratio = back[:, i - 1] / diagonal[:, i - 1]
        diagonal[:, i] -= ratio * inward[:, i - 1]
        later[:, i] += ratio * later[:, i - 1]
    later[:, -1] /= diagonal[:, -1]
    for i in range(count - 2, -1, -1):
        later[:, i] += inward[:, i] * later[:, i + 1]
        later[:, i] /= diagonal[:, i]
    return later


def sideways_heat_w(temp_c: Array, grid: Grid) -> Array:
    """Return the heat each node gains from neighbouring cells, W, shape (N, K, M); it adds up to zero."""
    nodes, _, members = temp_c.shape
    columns, lanes = grid.lane_w_k.shape[1], grid.length_w_k.shape[2]
    temp = temp_c.reshape(nodes, columns, lanes, members)
    gain = np.zeros_like(temp)
    if columns > 1:
        flow = grid.length_w_k * (temp[:, 1:] - temp[:, :-1])
        gain[:, :-1] += flow
        gain[:, 1:] -= flow
    if lanes > 1:
        flow = grid.lane_w_k * (temp[:, :, 1:] - temp[:, :, :-1])
        gain[:, :, :-1] += flow
        gain[:, :, 1:] -= flow
    return gain.reshape(temp_c.shape)


def solve_depth(
    state: CookState,
    grid: Grid,
    capacity_j_k: Array,
    *,
    face_w_k: Array,
    outside_c: Array,
    node_fraction: Array,
    step_s: float,
) -> Array:
    """Return the temperature change of every node over one step, shape (N, K, M).

    ``face_w_k`` (3, K, M) are the conductances from the outermost node (flanks: every node by its share)
    to the effective outside temperature ``outside_c`` (3, K, M).
    """
    temp = state.temp_c
    share = node_fraction[:, None, None]
    net = sideways_heat_w(temp, grid)
    flow = grid.depth_w_k * (temp[1:] - temp[:-1])
    net[:-1] += flow
    net[1:] -= flow
    net += state.vapour_heat_w
    net[0] += face_w_k[0] * (outside_c[0] - temp[0])
    net[-1] += face_w_k[1] * (outside_c[1] - temp[-1])
    link = IMPLICITNESS * (grid.depth_w_k + state.vapour_link_w_k)
    diagonal = capacity_j_k * (1.0 / step_s)
    diagonal[:-1] += link
    diagonal[1:] += link
    diagonal[0] += IMPLICITNESS * face_w_k[0]
    diagonal[-1] += IMPLICITNESS * face_w_k[1]
    flank = share * face_w_k[FLANK]
    diagonal += IMPLICITNESS * flank
    flank *= outside_c[FLANK] - temp
    net += flank
    return solve_tridiagonal(link, diagonal, net)


def solve_tridiagonal(link: Array, diagonal: Array, right: Array) -> Array:
    """Solve the symmetric tridiagonal systems with off-diagonals ``-link``; overwrites its last two
    arguments.

    Thomas algorithm along the first axis, all other axes at once. ``link`` (N-1, ...), ``diagonal`` and
    ``right`` (N, ...); the systems must be diagonally dominant.
    """
    count = diagonal.shape[0]
    ratio = np.empty_like(link)
    work = np.empty_like(right[0])
    for i in range(1, count):
        np.divide(link[i - 1], diagonal[i - 1], out=ratio[i - 1])
        np.multiply(ratio[i - 1], link[i - 1], out=work)
        diagonal[i] -= work
        np.multiply(ratio[i - 1], right[i - 1], out=work)
        right[i] += work
    right[-1] /= diagonal[-1]
    for i in range(count - 2, -1, -1):
        right[i] /= diagonal[i]
        np.multiply(ratio[i], right[i + 1], out=work)
        right[i] += work
    return right
