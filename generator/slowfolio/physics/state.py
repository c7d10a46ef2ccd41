"""The state of an ensemble of cooks at one moment, and the heat it holds.

Arrays end in the member axis M: nodes are (N, K, M), faces (3, K, M) in the order fat-cap face, lean face,
flanks. ``cook`` advances the state; its enthalpy, not its temperature, is the stored quantity, so that
heat is conserved to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.ensemble import Members
from slowfolio.physics.joint import Joint
from slowfolio.physics.meat import (
    MELTED_AT_C,
    MELTING_HEAT_J_KG,
    REFERENCE_SPAN_K,
    SOLID_AT_REFERENCE,
    SPECIFIC_HEAT_J_KG_K,
    Array,
    Component,
)

CAP, LEAN, FLANK = 0, 1, 2

# Heat above 0 °C as T (a + T (b + T c)): the specific heats, integrated.
_HEAT = {part: (a, b / 2.0, c / 3.0) for part, (a, b, c) in SPECIFIC_HEAT_J_KG_K.items()}


@dataclass(slots=True)
class CookState:
    """Everything that changes during a cook. Masses in kg, heat in J above 0 °C (liquid fat), times in s."""

    temp_c: Array  # (N, K, M)
    heat_j: Array  # (N, K, M), with the juice film in the outermost nodes
    water_kg: Array  # (N, K, M)
    fat_kg: Array  # (N, K, M)
    dry_kg: Array  # (N, K, M) protein and ash
    protein_kg: Array  # (N, K, M)
    raw_water_kg: Array  # (N, K, M)
    raw_fat_kg: Array  # (N, K, M)
    denatured: Array  # (N, K, M) collagen past shrinkage, 0..1
    converted: Array  # (N, K, M) collagen turned to gelatin, 0..1
    film_kg: Array  # (3, K, M) free juice on the faces
    cover: Array  # (3, K, M) wet part of each face, 0..1
    vapour_heat_w: Array  # (N, K, M) latent heat that vapour brings from neighbouring nodes
    vapour_link_w_k: Array  # (N-1, K, M) how it grows with the temperature difference
    surface_c: Array  # (3, K, M)
    hottest_c: Array  # (3, K, M) the hottest each face has been
    crust_inflow_kg: Array  # (2, K, M) water that came to the crust of each face from within, last step
    activity: Array  # (3, K, M) water activity under the film
    browning: Array  # (3, K, M)
    smoke: Array  # (3, K, M) dose, hours of full smoke on a wet face
    ring_m: Array  # (3, K, M)
    pool_kg: Array  # (M,) juice kept by tray or wrap
    evaporated_kg: Array  # (M,)
    dripped_kg: Array  # (M,)
    rendered_kg: Array  # (M,)
    spritzed_kg: Array  # (M,)
    heat_in_j: Array  # (M,) by convection and radiation, net
    heat_out_j: Array  # (M,) with vapour, drip and fat, less what spritzing brought
    start_heat_j: Array  # (M,) in the raw piece
    pit_c: Array  # (M,) air of the pit without drift and swing
    clock_s: Array  # (M,)
    stage: NDArray[np.int64]  # (M,)
    stage_clock_s: Array  # (M,)
    waiting_s: Array  # (M,) time left until the cook acts; inf while the target is not met

    def select(self, keep: NDArray[np.int64]) -> CookState:
        """Return a copy that holds only the members ``keep``."""
        return CookState(
            **{item.name: np.ascontiguousarray(getattr(self, item.name)[..., keep]) for item in fields(self)}
        )

    def store(self, source: CookState, places: NDArray[np.int64], chosen: NDArray[np.int64]) -> None:
        """Write members ``chosen`` of ``source`` to ``places`` of this state."""
        for item in fields(self):
            getattr(self, item.name)[..., places] = getattr(source, item.name)[..., chosen]


def fresh_state(joint: Joint, members: Members, *, start_temp_c: float | Array) -> CookState:
    """Return the raw joint at ``start_temp_c`` (one for all, or one for each member).

    A member's ``fat`` scales its fat; the rest of each node gives way, so that the weight is the same.
    """
    count = members.count
    total = joint.water_kg + joint.protein_kg + joint.fat_kg + joint.ash_kg
    fat = np.minimum(joint.fat_kg[..., None] * members.fat, 0.95 * (total - joint.ash_kg)[..., None])
    lean = joint.water_kg + joint.protein_kg
    rest = (total[..., None] - fat - joint.ash_kg[..., None]) / lean[..., None]
    water = joint.water_kg[..., None] * rest
    protein = joint.protein_kg[..., None] * rest
    dry = protein + joint.ash_kg[..., None]
    nodes = total.shape
    zero = np.zeros((*nodes, count))
    faces = np.zeros((3, nodes[1], count))
    plain = np.zeros(count)
    state = CookState(
        temp_c=zero + start_temp_c,
        heat_j=zero.copy(),
        water_kg=water,
        fat_kg=fat,
        dry_kg=dry,
        protein_kg=protein,
        raw_water_kg=water.copy(),
        raw_fat_kg=fat.copy(),
        denatured=zero.copy(),
        converted=zero.copy(),
        film_kg=faces.copy(),
        cover=faces.copy(),
        vapour_heat_w=zero.copy(),
        vapour_link_w_k=zero[1:].copy(),
        surface_c=faces + start_temp_c,
        hottest_c=faces + start_temp_c,
        crust_inflow_kg=faces[:FLANK].copy(),
        activity=faces + 0.99,
        browning=faces.copy(),
        smoke=faces.copy(),
        ring_m=faces.copy(),
        pool_kg=plain.copy(),
        evaporated_kg=plain.copy(),
        dripped_kg=plain.copy(),
        rendered_kg=plain.copy(),
        spritzed_kg=plain.copy(),
        heat_in_j=plain.copy(),
        heat_out_j=plain.copy(),
        start_heat_j=plain.copy(),
        pit_c=plain.copy(),
        clock_s=plain.copy(),
        stage=np.zeros(count, dtype=np.int64),
        stage_clock_s=plain.copy(),
        waiting_s=plain + np.inf,
    )
    state.heat_j = HeatContent(state, melted_at_c=melted_at_c(joint)).heat_j(state.temp_c)
    state.start_heat_j = state.heat_j.sum(axis=(0, 1))
    return state


def outermost(values: Array) -> Array:
    """Return a view of the outermost nodes of ``values`` (N, ...), that of the cap face first, (2, ...)."""
    return values[:: values.shape[0] - 1]


def melted_at_c(joint: Joint) -> float:
    """Return the temperature above which the joint's fat is all liquid."""
    return MELTED_AT_C + joint.shape.fat.value


def water_heat_j_kg(temp_c: Array) -> Array:
    """Return the enthalpy of liquid water above 0 °C (Choi-Okos specific heat, integrated)."""
    a, b, c = _HEAT[Component.WATER]
    return np.asarray(temp_c * (a + temp_c * (b + temp_c * c)), dtype=np.float64)


def liquid_fat_heat_j_kg(temp_c: Array) -> Array:
    """Return the enthalpy of liquid fat above 0 °C (Choi-Okos specific heat, integrated)."""
    a, b, c = _HEAT[Component.FAT]
    return np.asarray(temp_c * (a + temp_c * (b + temp_c * c)), dtype=np.float64)


class HeatContent:
    """Heat of every node as a function of temperature, for the masses of ``state`` as they are now.

    H(T) = T (c1 + T (c2 + T c3)) - melting heat of the solid fat; film juice counts with the outermost
    nodes.
    """

    def __init__(self, state: CookState, *, melted_at_c: float) -> None:
        """Gather the coefficients from the masses."""
        ash = state.dry_kg - state.protein_kg
        per_kg = zip(_HEAT[Component.PROTEIN], _HEAT[Component.ASH], strict=True)
        self._dry = [state.protein_kg * protein + ash * mineral for protein, mineral in per_kg]
        self._melted_at_c = melted_at_c
        self.take_fat(state)
        self.refresh(state)

    def take_fat(self, state: CookState) -> None:
        """Take over the masses of fat; ``refresh`` afterwards."""
        self._fat_kg = state.fat_kg
        per_kg = zip(self._dry, _HEAT[Component.FAT], strict=True)
        self._without_water = [dry + state.fat_kg * fat for dry, fat in per_kg]

    def refresh(self, state: CookState) -> None:
        """Take over the masses of water and film."""
        film = state.film_kg[:FLANK] + 0.5 * state.film_kg[FLANK]
        self._parts = []
        for rest, water in zip(self._without_water, _HEAT[Component.WATER], strict=True):
            part = state.water_kg * water
            part += rest
            outermost(part)[...] += water * film
            self._parts.append(part)

    def heat_j(self, temp_c: Array) -> Array:
        """Return the heat of each node at ``temp_c``."""
        return self.heat_and_capacity(temp_c)[0]

    def capacity_j_k(self, temp_c: Array) -> Array:
        """Return the heat capacity of each node at ``temp_c``, the melting of fat included."""
        return self.heat_and_capacity(temp_c)[1]

    def heat_and_capacity(self, temp_c: Array) -> tuple[Array, Array]:
        """Return heat (J) and heat capacity (J/K) of each node at ``temp_c``."""
        # Horner's rule for T (c1 + T (c2 + T c3)) and, beside it, for its derivative.
        c1, c2, c3 = self._parts
        last = c3 * temp_c
        middle = last + c2
        last += middle
        last *= temp_c
        middle *= temp_c
        middle += c1
        last += middle
        middle *= temp_c
        heat, capacity = middle, last
        if float(temp_c.min()) < self._melted_at_c:
            below = np.maximum(self._melted_at_c - temp_c, 0.0) * (1.0 / REFERENCE_SPAN_K)
            melting = self._fat_kg * np.sqrt(below) * (MELTING_HEAT_J_KG * SOLID_AT_REFERENCE)
            capacity += (1.5 / REFERENCE_SPAN_K) * melting
            heat -= below * melting
        return heat, capacity


def settled_temperature_c(state: CookState, heat: HeatContent, *, steps: int) -> Array:
    """Return the temperatures that hold the stored heat after ``steps`` Newton steps from the present
    ones.
    """
    temp = state.temp_c
    for _ in range(steps):
        content, capacity = heat.heat_and_capacity(temp)
        temp = temp - (content - state.heat_j) / capacity
    return temp
