"""Heat and moisture moving inside the joint over one step, on the grid as it is.

Depth is solved implicitly (theta rule, tridiagonal), exchange between neighbouring cells explicitly. The
grid is made in ``grid``, what happens at the faces lives in ``surfaces``; ``cook`` calls them once a step.
"""

from __future__ import annotations

import numpy as np

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.fast_water import (
    fast_latent_heat_j_kg,
    fast_saturation_pressure_pa,
    saturation_slope_per_k,
)
from slowfolio.physics.grid import Grid, skin_layers
from slowfolio.physics.meat import Array
from slowfolio.physics.sorption import water_activity
from slowfolio.physics.state import FLANK, CookState, outermost

# Weight of the step's end in the fluxes: near the trapezoidal rule's accuracy (0.5), damped enough for the
# thin outermost nodes. 1 would be backward Euler.
IMPLICITNESS = 0.6


def spread_moisture(
    state: CookState, grid: Grid, *, water_j_kg: Array, step_s: float, calibration: Calibration
) -> None:
    """Move water between the outer nodes, conserving water and the heat it carries.

    Liquid goes down the gradient of dry-basis moisture, vapour down that of vapour pressure a_w p_sat,
    taking its latent heat from the node it leaves: so the drying front recedes under the crust and the
    crust throttles it. Implicit, with the vapour pressure held proportional to the moisture over the step:
    no node can run dry. The latent heat waits in ``vapour_heat_w`` for the next ``solve_depth``, which takes
    it implicitly with the conductance ``vapour_link_w_k``: explicit, it would overshoot in thin nodes.
    """
    count = grid.skin_kg_s.shape[1] + 1
    water, temp = skin_layers(state.water_kg, count), skin_layers(state.temp_c, count)
    dry, conductance = grid.skin_dry_kg, grid.skin_kg_s_pa
    about = water.copy()  # the crust as it was before it gave off what last step's flow from within brought
    about[:, 0] += np.maximum(state.crust_inflow_kg, 0.0)
    pressure = water_activity(about / dry, grid.skin_monolayer, calibration=calibration)
    pressure *= fast_saturation_pressure_pa(np.minimum(temp, 115.0))
    ease = pressure / about  # Pa per kg of the node's water
    inward = grid.skin_kg_s / dry[:, 1:]  # outward flux per kg in the inner node
    inward += conductance * ease[:, 1:]
    inward *= step_s
    back = grid.skin_kg_s / dry[:, :-1]  # backward flux per kg in the outer node
    back += conductance * ease[:, :-1]
    back *= step_s
    later = solve_exchange(water, inward, back)
    outward = inward * later[:, 1:]
    outward -= back * later[:, :-1]
    ease *= later
    vapour = ease[:, 1:] - ease[:, :-1]
    vapour *= conductance
    from_within = outward > 0
    latent, heat = fast_latent_heat_j_kg(temp), skin_layers(water_j_kg, count)
    vapour *= np.where(from_within, latent[:, 1:], latent[:, :-1])
    carried = outward * np.where(from_within, heat[:, 1:], heat[:, :-1])
    latent *= pressure
    latent *= saturation_slope_per_k(temp)
    stiffening = conductance * np.maximum(latent[:, 1:], latent[:, :-1])
    state.crust_inflow_kg = outward[:, 0].copy()
    gained = passed_on(vapour)
    for side, order in ((0, slice(None, count)), (1, slice(None, -count - 1, -1))):
        state.water_kg[order] = later[side]
        state.vapour_heat_w[order] = gained[side]
        held = state.heat_j[order]
        held[:-1] += carried[side]
        held[1:] -= carried[side]
    state.vapour_link_w_k[: count - 1] = stiffening[0]
    state.vapour_link_w_k[::-1][: count - 1] = stiffening[1]


def passed_on(flow: Array) -> Array:
    """Return what chains of nodes (2, n, ...) gain where each gets ``flow`` (2, n-1, ...) from the next."""
    gain = np.zeros((2, flow.shape[1] + 1, *flow.shape[2:]))
    gain[:, :-1] = flow
    gain[:, 1:] -= flow
    return gain


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
    ends = face_w_k[:FLANK]
    net = sideways_heat_w(temp, grid)
    flow = temp[1:] - temp[:-1]
    flow *= grid.depth_w_k
    net[:-1] += flow
    net[1:] -= flow
    net += state.vapour_heat_w
    outermost(net)[...] += ends * (outside_c[:FLANK] - outermost(temp))
    link = grid.depth_w_k + state.vapour_link_w_k
    link *= IMPLICITNESS
    diagonal = capacity_j_k * (1.0 / step_s)
    diagonal[:-1] += link
    diagonal[1:] += link
    outermost(diagonal)[...] += IMPLICITNESS * ends
    flank = node_fraction[:, None, None] * face_w_k[FLANK]
    pull = outside_c[FLANK] - temp
    pull *= flank
    net += pull
    flank *= IMPLICITNESS
    diagonal += flank
    return solve_tridiagonal(link, diagonal, net)


def solve_tridiagonal(link: Array, diagonal: Array, right: Array) -> Array:
    """Solve the symmetric tridiagonal systems with off-diagonals ``-link``; overwrites its last two
    arguments.

    Thomas algorithm along the first axis, all other axes at once. ``link`` (N-1, ...), ``diagonal`` and
    ``right`` (N, ...); the systems must be diagonally dominant.
    """
    ratio = np.empty_like(link)
    work = np.empty_like(right[0])
    pivot, known = diagonal[0], right[0]
    for between, part, here, value in zip(link, ratio, diagonal[1:], right[1:], strict=True):
        np.divide(between, pivot, out=part)
        np.multiply(part, between, out=work)
        np.subtract(here, work, out=here)
        np.multiply(part, known, out=work)
        np.add(value, work, out=value)
        pivot, known = here, value
    right /= diagonal
    for part, value in zip(ratio[::-1], right[-2::-1], strict=True):
        np.multiply(part, known, out=work)
        np.add(value, work, out=value)
        known = value
    return right
