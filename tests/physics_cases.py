"""Pieces, pits and plain conduction runs that the physics tests share.

The packer and pits here are the tests' own, not cards of the book.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.calibration import DEFAULT_CALIBRATION
from slowfolio.physics.conduction import solve_depth
from slowfolio.physics.ensemble import nominal_members
from slowfolio.physics.grid import build_grid
from slowfolio.physics.joint import CutShape, Joint, build_joint
from slowfolio.physics.meat import Composition, density_kg_m3
from slowfolio.physics.state import FLANK, fresh_state

Array = NDArray[np.float64]
LEAN = Composition(water=0.7376, protein=0.2157, fat=0.0384, ash=0.0105)


def brick(
    length_m: float, width_m: float, thickness_m: float, *, columns: int, lanes: int, nodes: int = 16
) -> Joint:
    """Return an even, square-edged piece of the given size."""
    shape = CutShape("brick", length_m / thickness_m, width_m / thickness_m, (1.0,), LEAN, LEAN)
    weight = length_m * width_m * thickness_m * density_kg_m3(LEAN)
    return build_joint(shape, weight, thickness_m, columns=columns, lanes=lanes, nodes=nodes)


def slab(thickness_m: float, *, nodes: int = 16) -> Joint:
    """Return a piece without flanks, so that heat flows through its depth alone."""
    piece = brick(0.2, 0.2, thickness_m, columns=1, lanes=1, nodes=nodes)
    return replace(piece, flank_area_m2=np.zeros(1))


def conduct(
    joint: Joint, *, k: float, heat_capacity: float, h: float, start_c: float, air_c: float,
    times_s: list[float], step_s: float,
) -> list[tuple[Array, Array]]:  # fmt: skip
    """Return node and face temperatures of constant-property conduction at ``times_s``, by the engine's
    solver.

    ``heat_capacity`` is rho c in J/(m³ K); ``h`` W/(m² K) on all faces.
    """
    members = nominal_members(1)
    state = fresh_state(joint, members, start_temp_c=start_c)
    conductivity = np.full(state.temp_c.shape, k)
    grid = build_grid(joint, state, members, calibration=DEFAULT_CALIBRATION, conductivity=conductivity)
    volume = joint.node_fraction[:, None, None] * grid.face_area_m2[0] * joint.column_thickness_m[:, None]
    capacity = heat_capacity * volume
    outer = h * grid.face_area_m2
    through = outer * grid.face_w_k / np.maximum(outer + grid.face_w_k, 1e-30)
    air = np.full_like(outer, air_c)
    out: list[tuple[Array, Array]] = []
    clock = 0.0
    for moment in times_s:
        steps = round((moment - clock) / step_s)
        for _ in range(steps):
            change = solve_depth(
                state, grid, capacity, face_w_k=through, outside_c=air, node_fraction=joint.node_fraction,
                step_s=step_s,
            )  # fmt: skip
            state.temp_c += change
        clock += steps * step_s
        inside = np.stack([state.temp_c[0], state.temp_c[-1], state.temp_c.mean(axis=0)])
        flow = through * (air - inside)
        face = np.where(outer > 0, air - flow / np.maximum(outer, 1e-30), inside)
        out.append((state.temp_c[..., 0].copy(), face[:FLANK, :, 0].copy()))
    return out
