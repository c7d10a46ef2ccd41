"""An unheated insulated box: wrapped meat, hot water bottles, lining and air cooling towards the room.

A network of heat capacities and conductances, solved exactly by its eigenvectors, so no time step is in it.
``boxed_hold`` says how long the meat stays above a floor and what a litre more of hot water adds;
``forecast`` calls it for holders without an element. Humidity inside is ``cabinet_state``'s matter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.arrays import Array, Quantity, as_array, bracketed_root, require_all_between
from slowfolio.physics.cabinet import lining_area_m2
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.pan import LIQUID_HEAT_J_KG_K

LONGEST_S = 72.0 * 3600.0
AIR_HEAT_J_M3_K = 1050.0  # COMPUTED: dry air at 60 °C, 1.06 kg/m³ · 1006 J/(kg·K), less some for moisture
BOTTLE_AREA_M2_L = 0.052  # COMPUTED: a 2 L bottle is about 11 cm across and 30 cm tall
BOTTLE_KG_L = 0.975  # MEMORY: water at 75 °C
LAYERS = 5  # CALIBRATED: half the thickness in five layers cools as the exact slab does to 2 % (tested)
_SAMPLES = 721


@dataclass(frozen=True, slots=True)
class ThermalNetwork:
    """Heat capacities joined by conductances, to each other and to a room of fixed temperature.

    ``capacity_j_k`` (..., N), ``links_w_k`` (..., N, N) symmetric with a zero diagonal, ``to_room_w_k``
    (..., N); leading axes are an ensemble. Raises PhysicsInputError for figures that are not of this kind.
    """

    capacity_j_k: Array
    links_w_k: Array
    to_room_w_k: Array

    def __post_init__(self) -> None:
        """Check signs and symmetry."""
        require_all_between("heat capacity", self.capacity_j_k, low=1e-6, high=1e9, unit="J/K")
        require_all_between("conductance", self.links_w_k, low=0.0, high=1e6, unit="W/K")
        require_all_between("conductance to the room", self.to_room_w_k, low=0.0, high=1e6, unit="W/K")
        if not np.allclose(self.links_w_k, np.swapaxes(self.links_w_k, -1, -2)):
            raise PhysicsInputError("the conductances are not symmetric: give each link in both directions")

    def modes(self) -> tuple[Array, Array]:
        """Return decay rates (..., N), per s, and the orthonormal shapes (..., N, N) of C^½ T."""
        root = np.sqrt(self.capacity_j_k)
        total = self.links_w_k.sum(axis=-1) + self.to_room_w_k
        size = self.capacity_j_k.shape[-1]
        stiffness = total[..., None] * np.eye(size) - self.links_w_k
        rates, shapes = np.linalg.eigh(stiffness / (root[..., :, None] * root[..., None, :]))
        return np.maximum(rates, 0.0), as_array(shapes)

    def widened(self, shape: tuple[int, ...]) -> ThermalNetwork:
        """Return the same network for an ensemble of ``shape``."""
        size = self.capacity_j_k.shape[-1]
        return ThermalNetwork(
            np.broadcast_to(self.capacity_j_k, (*shape, size)),
            np.broadcast_to(self.links_w_k, (*shape, size, size)),
            np.broadcast_to(self.to_room_w_k, (*shape, size)),
        )

    def temperatures_c(self, start_c: Array, *, room_c: Quantity, time_s: Array) -> Array:
        """Return the temperatures (K, ..., N) at the times ``time_s`` (K,) or (K, ...).

        ``start_c`` (..., N) and ``room_c`` (...) must not be wider than the network; see ``widened``.
        """
        rates, shapes = self.modes()
        root = np.sqrt(self.capacity_j_k)
        room = as_array(room_c)[..., None]
        amplitude = np.einsum("...ij,...i->...j", shapes, root * (as_array(start_c) - room))
        times = as_array(time_s)
        times = times.reshape(times.shape + (1,) * (rates.ndim - times.ndim + 1))
        decayed = amplitude * np.exp(-rates * times)
        return as_array(room + np.einsum("...ij,k...j->k...i", shapes, decayed) / root)


@dataclass(frozen=True, slots=True)
class InsulatedBox:
    """The box. ``heat_loss_w_k``: from the air inside to the room, lid shut, air exchange apart.

    ``lining_j_m2_k``: heat the inner skin, the inner part of the foam and the towels take up, per inner area
    (CALIBRATED 3000 to 12000: 2.5 mm of plastic alone is 4800). ``lining_w_m2_k``: air to lining (MEMORY: ISO
    6946, 1/0.13).
    """

    volume_m3: Quantity
    heat_loss_w_k: Quantity
    air_exchange_per_s: Quantity = 0.5 / 3600.0
    lining_j_m2_k: Quantity = 6000.0
    lining_w_m2_k: Quantity = 7.7

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("volume of the box", self.volume_m3, low=2e-3, high=2.0, unit="m³")
        require_all_between("heat loss", self.heat_loss_w_k, low=1e-3, high=50.0, unit="W/K")
        require_all_between("air exchange", self.air_exchange_per_s, low=0.0, high=0.1, unit="per second")
        require_all_between("heat of the lining", self.lining_j_m2_k, low=10.0, high=1e5, unit="J/(m²·K)")
        require_all_between("film at the lining", self.lining_w_m2_k, low=1.0, high=50.0, unit="W/(m²·K)")
        inner = as_array(self.lining_w_m2_k) * lining_area_m2(self.volume_m3)
        if (as_array(self.heat_loss_w_k) >= 0.95 * inner).any():
            raise PhysicsInputError(
                "the box loses more heat than still air brings to its lining: lower heat_loss_w_k"
            )


@dataclass(frozen=True, slots=True)
class BoxedMeat:
    """The wrapped load as a slab of ``thickness_m``, warmest in its core when it goes in.

    ``skin_w_m2_k``: from the skin through wrap and towel to the air (CALIBRATED 2 to 8: still air and
    radiation 8, behind 1 cm of towel 4). ``specific_heat_j_kg_k``, ``conductivity_w_m_k``, ``density_kg_m3``:
    cooked beef of 55 % water at 60 to 80 °C (COMPUTED with ``meat``).
    """

    mass_kg: Quantity
    thickness_m: Quantity
    core_c: Quantity
    skin_c: Quantity
    skin_w_m2_k: Quantity = 4.0
    specific_heat_j_kg_k: Quantity = 3230.0
    conductivity_w_m_k: Quantity = 0.46
    density_kg_m3: Quantity = 1035.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("mass of the meat", self.mass_kg, low=0.05, high=200.0, unit="kg")
        require_all_between("thickness of the meat", self.thickness_m, low=0.005, high=0.4, unit="m")
        require_all_between("core of the meat", self.core_c, low=0.0, high=100.0, unit="°C")
        require_all_between("skin of the meat", self.skin_c, low=0.0, high=110.0, unit="°C")
        require_all_between("film at the meat", self.skin_w_m2_k, low=0.1, high=1e4, unit="W/(m²·K)")
        require_all_between(
            "specific heat", self.specific_heat_j_kg_k, low=1000.0, high=5000.0, unit="J/(kg·K)"
        )
        require_all_between("conductivity", self.conductivity_w_m_k, low=0.05, high=5.0, unit="W/(m·K)")
        require_all_between("density", self.density_kg_m3, low=500.0, high=1500.0, unit="kg/m³")


@dataclass(frozen=True, slots=True)
class HotWater:
    """Bottles of hot water beside the meat; ``film_w_m2_k`` from the water through a towel to the air
    (CALIBRATED 2 to 8).
    """

    litres: Quantity = 0.0
    temp_c: Quantity = 77.0
    film_w_m2_k: Quantity = 4.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("hot water", self.litres, low=0.0, high=100.0, unit="L")
        require_all_between("temperature of the bottles", self.temp_c, low=0.0, high=100.0, unit="°C")
        require_all_between("film at the bottles", self.film_w_m2_k, low=0.1, high=50.0, unit="W/(m²·K)")


@dataclass(frozen=True, slots=True)
class BoxHold:
    """How a boxed hold goes; shapes: (...) for one figure a member, (K, ...) for courses.

    ``coldest_s`` and ``core_s``: until the coldest layer and the core fall to the floor; ``LONGEST_S`` where
    they do not (``falls`` and ``core_falls`` say so). ``per_litre_s``: what one litre more adds to
    ``coldest_s``, ``core_per_litre_s`` to ``core_s``.
    """

    coldest_s: Array
    core_s: Array
    falls: NDArray[np.bool_]
    core_falls: NDArray[np.bool_]
    per_litre_s: Array
    core_per_litre_s: Array
    time_s: Array
    core_c: Array
    coldest_c: Array
    bottle_c: Array
    lining_c: Array
    air_c: Array


_BOTTLES, _LINING, _AIR = LAYERS, LAYERS + 1, LAYERS + 2


def boxed_hold(
    box: InsulatedBox,
    meat: BoxedMeat,
    water: HotWater,
    *,
    floor_c: Quantity = 60.0,
    room_c: Quantity = 20.0,
    lining_c: Quantity | None = None,
) -> BoxHold:
    """Return how long the meat stays above ``floor_c`` and the course of all temperatures.

    ``lining_c``: temperature of lining and air at the start; the room's unless the box was warmed first.
    """
    floor = require_all_between("floor", floor_c, low=0.0, high=95.0, unit="°C")
    room = require_all_between("room temperature", room_c, low=-30.0, high=50.0, unit="°C")
    warmed = (
        room
        if lining_c is None
        else require_all_between("lining", lining_c, low=-30.0, high=100.0, unit="°C")
    )
    network, start = box_network(box, meat, water), _start_c(meat, water, lining_c=warmed)
    more = replace(water, litres=as_array(water.litres) + 1.0)
    richer = box_network(box, meat, more)
    coldest_s, falls = time_to_floor_s(network, start, room_c=room, floor_c=floor, nodes=slice(0, LAYERS))
    core_s, core_falls = time_to_floor_s(network, start, room_c=room, floor_c=floor, nodes=slice(0, 1))
    longer_s, _ = time_to_floor_s(richer, start, room_c=room, floor_c=floor, nodes=slice(0, LAYERS))
    core_longer_s, _ = time_to_floor_s(richer, start, room_c=room, floor_c=floor, nodes=slice(0, 1))
    until = float(np.clip(1.2 * np.max(core_s), 3600.0, LONGEST_S))
    time_s = np.linspace(0.0, until, 200)
    course = network.widened(coldest_s.shape).temperatures_c(start, room_c=room, time_s=time_s)
    return BoxHold(
        coldest_s=coldest_s,
        core_s=core_s,
        falls=falls,
        core_falls=core_falls,
        per_litre_s=longer_s - coldest_s,
        core_per_litre_s=core_longer_s - core_s,
        time_s=time_s,
        core_c=course[..., 0],
        coldest_c=course[..., :LAYERS].min(axis=-1),
        bottle_c=course[..., _BOTTLES],
        lining_c=course[..., _LINING],
        air_c=course[..., _AIR],
    )


def box_network(box: InsulatedBox, meat: BoxedMeat, water: HotWater) -> ThermalNetwork:
    """Return the network: layers of the meat from core to skin, bottles, lining, air."""
    mass, thick = as_array(meat.mass_kg), as_array(meat.thickness_m)
    faces = 2.0 * mass / (as_array(meat.density_kg_m3) * thick)
    layer_m = 0.5 * thick / LAYERS
    between = as_array(meat.conductivity_w_m_k) * faces / layer_m
    outwards = faces / (0.5 * layer_m / as_array(meat.conductivity_w_m_k) + 1.0 / as_array(meat.skin_w_m2_k))
    litres = as_array(water.litres)
    bottled = as_array(water.film_w_m2_k) * BOTTLE_AREA_M2_L * litres
    area, volume = lining_area_m2(box.volume_m3), as_array(box.volume_m3)
    inner, whole = as_array(box.lining_w_m2_k) * area, as_array(box.heat_loss_w_k)
    beyond = whole / (1.0 - whole / inner)
    leak = as_array(box.air_exchange_per_s) * volume * AIR_HEAT_J_M3_K
    layers = mass * as_array(meat.specific_heat_j_kg_k) / LAYERS
    bottles_j_k = np.maximum(litres * BOTTLE_KG_L * LIQUID_HEAT_J_KG_K, 1e-3)
    flows = (between, outwards, layers, litres, bottled, beyond, leak)
    shape = np.broadcast_shapes(*(flow.shape for flow in flows))
    capacity = np.zeros((*shape, LAYERS + 3))
    links = np.zeros((*shape, LAYERS + 3, LAYERS + 3))
    to_room = np.zeros((*shape, LAYERS + 3))
    capacity[..., :LAYERS] = layers[..., None]
    capacity[..., _BOTTLES], capacity[..., _AIR] = bottles_j_k, volume * AIR_HEAT_J_M3_K
    capacity[..., _LINING] = area * as_array(box.lining_j_m2_k)
    to_room[..., _LINING], to_room[..., _AIR] = beyond, leak
    for i in range(LAYERS - 1):
        links[..., i, i + 1] = links[..., i + 1, i] = between
    for node, conductance in ((LAYERS - 1, outwards), (_BOTTLES, bottled), (_LINING, inner)):
        links[..., node, _AIR] = links[..., _AIR, node] = conductance
    return ThermalNetwork(capacity, links, to_room)


def time_to_floor_s(
    network: ThermalNetwork, start_c: Array, *, room_c: Quantity, floor_c: Quantity, nodes: slice
) -> tuple[Array, NDArray[np.bool_]]:
    """Return when the coldest of ``nodes`` first falls to ``floor_c``, and whether it does by LONGEST_S."""
    floor = as_array(floor_c)
    network = network.widened(
        np.broadcast_shapes(
            network.capacity_j_k.shape[:-1], start_c.shape[:-1], np.shape(room_c), floor.shape
        )
    )

    def above(time_s: Array) -> Array:
        course = network.temperatures_c(start_c, room_c=room_c, time_s=time_s)
        return as_array(course[..., nodes].min(axis=-1) - floor)

    times = np.linspace(0.0, LONGEST_S, _SAMPLES)
    margin = above(times)
    below = margin <= 0.0
    falls = np.asarray(below.any(axis=0))
    first = np.where(falls, below.argmax(axis=0), _SAMPLES - 1)
    low, high = times[np.maximum(first - 1, 0)], times[first]
    crossing = bracketed_root(lambda time_s: above(time_s[None])[0], low, high)
    return np.where(falls, np.where(first == 0, 0.0, crossing), LONGEST_S), falls


def _start_c(meat: BoxedMeat, water: HotWater, *, lining_c: Array) -> Array:
    """Temperatures when the lid is shut: a parabola through core and skin, bottles, lining and air."""
    depth = (np.arange(LAYERS) + 0.5) / LAYERS
    core, skin = as_array(meat.core_c), as_array(meat.skin_c)
    shape = np.broadcast_shapes(core.shape, skin.shape, np.shape(water.temp_c), lining_c.shape)
    start = np.zeros((*shape, LAYERS + 3))
    start[..., :LAYERS] = core[..., None] + (skin - core)[..., None] * depth**2
    start[..., _BOTTLES] = as_array(water.temp_c)
    start[..., _LINING] = start[..., _AIR] = lining_c
    return start
