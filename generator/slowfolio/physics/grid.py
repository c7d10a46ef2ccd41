"""The grid of a joint: conductances for heat and moisture between its nodes, as it shrinks and dries.

``cook`` makes it anew every few steps; ``conduction``, ``surfaces`` and ``juice`` move heat and water along
it. The piece itself, raw, is ``joint``'s.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.calibration import Calibration
from slowfolio.physics.ensemble import Members
from slowfolio.physics.joint import Joint, lane_edges, parabola_stretch
from slowfolio.physics.kinetics import KELVIN, arrhenius
from slowfolio.physics.meat import CONDUCTIVITY_W_M_K, DENSITY_KG_M3, Array, Component, quadratic
from slowfolio.physics.sorption import monolayer_kg_kg
from slowfolio.physics.state import FLANK, CookState, outermost

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
    skin_dry_kg: Array  # (2, SKIN, K, M)
    node_m: Array  # (N, K, M) node thickness
    shrink: Array  # (K, M) linear shrinkage, 1 = raw


class GridMaker:
    """What of the grid stays as it is through a cook; ``grid`` adds what shrinking and drying change.

    A given ``conductivity`` (N, K, M) overrides the composition's. A member's ``thickness`` scales the depth
    at constant mass, so that its plan area gives way.
    """

    def __init__(
        self, joint: Joint, state: CookState, members: Members, *, calibration: Calibration,
        conductivity: Array | None = None,
    ) -> None:  # fmt: skip
        """Gather what does not change."""
        self.joint, self.calibration, self.conductivity = joint, calibration, conductivity
        self.shape = (joint.nodes, joint.columns, joint.lanes, members.count)
        self.thickness = members.thickness
        self.raw_node_m = (joint.node_fraction[:, None] * joint.column_thickness_m)[
            ..., None
        ] * self.thickness
        stretch = parabola_stretch(joint.depth_edges, joint.node_fraction[:-1] + joint.node_fraction[1:])
        self.depth_reach = 0.5 * stretch[:, None, None]
        self.face_reach = float((1.0 - joint.depth_moments[0]) / (2.0 * joint.node_fraction[0])) * 0.5
        self.length_part = 0.5 * joint.lane_width_m[:, None] / joint.pitch_m
        self.lane_part = joint.pitch_m / lane_reach_m(joint)[:, None]
        ash = state.dry_kg - state.protein_kg
        protein_m3, ash_m3 = (
            state.protein_kg / _DENSITY_60[Component.PROTEIN],
            ash / _DENSITY_60[Component.ASH],
        )
        per_m3 = zip(CONDUCTIVITY_W_M_K[Component.PROTEIN], CONDUCTIVITY_W_M_K[Component.ASH], strict=True)
        self.dry_m3 = protein_m3 + ash_m3
        self.dry_carries = [protein_m3 * protein + ash_m3 * mineral for protein, mineral in per_m3]
        self.raw_fluid_m3 = fluid_m3(state.raw_water_kg, state.raw_fat_kg)
        self.raw_m3 = self.raw_fluid_m3 + state.dry_kg.sum(axis=0) / _DENSITY_60[Component.PROTEIN]
        self.skin = skin_count(joint)
        self.skin_dry_kg = skin_layers(state.dry_kg, self.skin)

    def grid(self, state: CookState) -> Grid:
        """Return the grid for the state as it is."""
        joint = self.joint
        k = self.conductivity_w_m_k(state) if self.conductivity is None else self.conductivity
        shrink = self.linear_shrinkage(state)
        wide = shrink / np.sqrt(self.thickness)
        plan = joint.plan_area_m2[:, None] * wide * wide
        flank_area = joint.flank_area_m2[:, None] * (self.thickness * shrink) * wide
        mean_k = np.einsum("n,nkm->km", joint.node_fraction, k)
        flank = flank_area * mean_k / (joint.flank_distance_m[:, None] * wide)
        node = self.raw_node_m * shrink
        resistance = node / k  # (N, K, M)
        k4, node4 = k.reshape(self.shape), node.reshape(self.shape)
        length = (k4[:, 1:] + k4[:, :-1]) * np.minimum(node4[:, 1:], node4[:, :-1]) * self.length_part
        lane = (k4[:, :, 1:] + k4[:, :, :-1]) * np.minimum(node4[:, :, 1:], node4[:, :, :-1]) * self.lane_part
        temp, depth = skin_layers(state.temp_c, self.skin), skin_layers(node, self.skin)
        liquid = self.skin_resistance(state, temp, depth, plan)
        vapour = self.skin_vapour_resistance(state, temp, depth)
        return Grid(
            face_area_m2=np.stack([plan, plan, flank_area]),
            depth_w_k=plan / (self.depth_reach * (resistance[:-1] + resistance[1:])),
            face_w_k=np.concatenate([plan / (self.face_reach * outermost(resistance)), flank[None]]),
            length_w_k=length,
            lane_w_k=lane,
            skin_kg_s=plan / (0.5 * (liquid[:, 1:] + liquid[:, :-1])),
            skin_kg_s_pa=plan / (0.5 * (vapour[:, 1:] + vapour[:, :-1])),
            crust_kg_s=plan / (MEAN_DEPTH * liquid[:, 0]),
            crust_kg_s_pa=plan / (MEAN_DEPTH * vapour[:, 0]),
            skin_monolayer=monolayer_kg_kg(temp, calibration=self.calibration),
            skin_dry_kg=self.skin_dry_kg,
            node_m=node,
            shrink=shrink,
        )

    def conductivity_w_m_k(self, state: CookState) -> Array:
        """Return the conductivity of every node: parallel model times its factor, lower where dried and
        porous.
        """
        temp = state.temp_c
        water = state.water_kg * (1.0 / _DENSITY_60[Component.WATER])
        fat = state.fat_kg * (1.0 / _DENSITY_60[Component.FAT])
        a, b, c = self.dry_carries
        carried = temp * c
        carried += b
        carried *= temp
        carried += a
        carried += water * quadratic(CONDUCTIVITY_W_M_K[Component.WATER], temp)
        carried += fat * quadratic(CONDUCTIVITY_W_M_K[Component.FAT], temp)
        water += fat
        water += self.dry_m3
        carried /= water
        dryness = np.maximum(1.0 - state.water_kg / state.dry_kg, 0.0)
        dryness *= self.calibration.dry_conductivity_factor - 1.0
        dryness += 1.0
        carried *= dryness
        carried *= self.calibration.conductivity_factor
        return carried

    def linear_shrinkage(self, state: CookState) -> Array:
        """Return each cell's length scale over the raw one, shape (K, M): the cube root of its volume
        ratio.
        """
        lost = self.raw_fluid_m3 - fluid_m3(state.water_kg, state.fat_kg)
        return np.asarray(np.cbrt(1.0 - lost / self.raw_m3), dtype=np.float64)

    def skin_resistance(self, state: CookState, temp: Array, depth: Array, plan: Array) -> Array:
        """Return each outer node's resistance to moisture, m² s/kg per kg/kg, shape (2, SKIN, K, M).

        Fick in the dry-basis moisture, D = D60 exp(-Ea/R (1/T - 1/333.15 K)), falling towards
        ``dry_diffusivity_factor`` below 0.15 kg/kg.
        """
        moisture = skin_layers(state.water_kg, self.skin) / self.skin_dry_kg
        low = self.calibration.dry_diffusivity_factor
        slowed = low + (1.0 - low) * np.minimum(moisture / 0.15, 1.0)
        activation = self.calibration.moisture_activation_j_mol
        diffusivity = slowed * arrhenius(np.minimum(temp, 110.0), activation, 60.0)
        diffusivity *= self.calibration.moisture_diffusivity_m2_s
        return np.asarray(depth * depth * plan / (diffusivity * self.skin_dry_kg), dtype=np.float64)

    def skin_vapour_resistance(self, state: CookState, temp: Array, depth: Array) -> Array:
        """Return each outer node's resistance to vapour, m² s Pa/kg, shape (2, SKIN, K, M).

        D_v/(Rv T) of vapour in air, D_v = 2.26e-5 (T/273.15 K)^1.81 m²/s (MEMORY), times
        ``crust_vapour_factor`` for the pores' share and winding (CALIBRATED).
        """
        opening = crust_opening(state, calibration=self.calibration)[:, None]
        pores = np.minimum(self.calibration.crust_vapour_factor * opening, WIDEST_PORES)
        permeability = pores * (2.26e-5 / 461.5 / KELVIN**1.81) * (temp + KELVIN) ** 0.81
        return np.asarray(depth / permeability, dtype=np.float64)


def build_grid(
    joint: Joint,
    state: CookState,
    members: Members,
    *,
    calibration: Calibration,
    conductivity: Array | None = None,
) -> Grid:
    """Return the grid for a single state; see ``GridMaker``."""
    maker = GridMaker(joint, state, members, calibration=calibration, conductivity=conductivity)
    return maker.grid(state)


def fluid_m3(water_kg: Array, fat_kg: Array) -> Array:
    """Return the volume of each cell's water and fat, from (N, K, M) to (K, M)."""
    water = water_kg.sum(axis=0) / _DENSITY_60[Component.WATER]
    return np.asarray(water + fat_kg.sum(axis=0) / _DENSITY_60[Component.FAT], dtype=np.float64)


def lane_reach_m(joint: Joint) -> Array:
    """Return the conduction distances between lanes, shape (L-1,); see ``parabola_stretch``."""
    if joint.lanes == 1:
        return joint.lane_distance_m
    edges = lane_edges(joint.lanes)
    plain = joint.lane_distance_m / (joint.width_m / 2.0)
    return np.asarray(joint.lane_distance_m * parabola_stretch(edges, plain), dtype=np.float64)


def skin_layers(values: Array, count: int) -> Array:
    """Return the outer ``count`` nodes of both faces, outermost first, shape (2, count, K, M) (a copy)."""
    layers = values.take(skin_nodes(values.shape[0], count), axis=0)
    return layers.reshape(2, count, *values.shape[1:])


@cache
def skin_nodes(nodes: int, count: int) -> NDArray[np.int64]:
    """Return the places of the outer ``count`` of ``nodes`` from the cap face inward, then from the lean."""
    inward = np.arange(count)
    return np.concatenate([inward, nodes - 1 - inward])


def skin_count(joint: Joint) -> int:
    """Return how many nodes from a face take part in the spreading of moisture."""
    reach = np.cumsum(joint.node_fraction)
    return int(np.clip(np.searchsorted(reach, SKIN_PART) + 1, 2, joint.nodes // 2))


def crust_opening(state: CookState, *, calibration: Calibration) -> Array:
    """Return how many times more vapour each crust passes than while it formed, shape (2, K, M), 1 or more.

    A crust forms hot, its pores filled by the fat and juice that the shrinking meat presses out. Once it is
    CRACK_FROM_K cooler than it has been, the meat relaxes under a stiff shell, the pressing ends, cracks and
    pores open; fully after CRACK_SPAN_K more (CALIBRATED, see ``crust_cracking``).
    """
    cooled = (state.hottest_c - state.surface_c)[:FLANK] - CRACK_FROM_K
    return np.asarray(1.0 + calibration.crust_cracking * np.clip(cooled / CRACK_SPAN_K, 0.0, 1.0))
