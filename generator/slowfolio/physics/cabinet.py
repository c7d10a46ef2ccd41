"""A holder as its air feels it: volume, air exchange, cold surfaces, power, pans, and what a cook can set.

Frozen data with guards, and the surfaces that follow from volume and heat loss. ``forecast`` fills it from a
holder card; ``cabinet_state`` works out the humidity, ``cabinet_reach`` the settings. Every quantity is one
number or an array that broadcasts with the others (an ensemble).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

from slowfolio.physics.arrays import Array, Quantity, as_array, require_all_between
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import boiling_point_c, saturation_pressure_pa
from slowfolio.physics.pan import Pan
from slowfolio.physics.water import STANDARD_PRESSURE_PA

BOX_FACTOR = 1.05  # COMPUTED: surface of a 1:1:2 box over that of the cube of the same volume
SINGLE_GLASS_W_M2_K = 5.8  # MEMORY: EN 673, one 4 mm pane
DOUBLE_GLASS_W_M2_K = 2.8  # MEMORY: EN 673, two panes and 12 mm of air
LEAST_EXCHANGE_PER_S = (
    1e-3 / 3600.0
)  # CALIBRATED: a closed jar; with no exchange at all humidity is arbitrary
DRIEST_ROOM_PA = 25.0  # CALIBRATED: a dew point of -37 °C, drier than any kitchen


class Control(Enum):
    """What sets the humidity inside, in the words of the holder cards."""

    NONE = "none"
    PAN = "pan"
    VAPOUR_TEMPERATURE = "vapour temperature"
    PER_CENT = "per cent"
    SEALED = "sealed"


@dataclass(frozen=True, slots=True)
class Room:
    """The air round the holder, which replaces what leaks out of it; 20 °C and 50 % unless given."""

    temp_c: Quantity = 20.0
    vapour_pressure_pa: Quantity = 1169.6
    pressure_pa: Quantity = STANDARD_PRESSURE_PA

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("room temperature", self.temp_c, low=-30.0, high=50.0, unit="°C")
        require_all_between("air pressure", self.pressure_pa, low=5e4, high=1.1e5, unit="Pa")
        vapour = require_all_between(
            "vapour pressure of the room", self.vapour_pressure_pa, low=DRIEST_ROOM_PA, high=2e4, unit="Pa"
        )
        if (vapour > saturation_pressure_pa(as_array(self.temp_c)) * (1 + 1e-9)).any():
            raise PhysicsInputError("the room is more than saturated: give at most 100 % humidity")


def room_air(
    temp_c: Quantity = 20.0,
    *,
    relative_humidity: Quantity = 0.5,
    pressure_pa: Quantity = STANDARD_PRESSURE_PA,
) -> Room:
    """Return the room from its temperature and relative humidity (a fraction)."""
    require_all_between("room temperature", temp_c, low=-30.0, high=50.0, unit="°C")
    fraction = require_all_between("room humidity", relative_humidity, low=0.0, high=1.0, unit="(a fraction)")
    vapour = np.maximum(fraction * saturation_pressure_pa(as_array(temp_c)), DRIEST_ROOM_PA)
    return Room(temp_c, vapour, pressure_pa)


@dataclass(frozen=True, slots=True)
class Surface:
    """An inner surface on which water may condense: a lining, a door glass.

    Its temperature follows from ``loss_w_k``, the heat it passes for each kelvin between air inside and room,
    unless ``offset_k`` fixes it against the air (a lining warmed by an element, or a measured one).
    """

    area_m2: Quantity
    loss_w_k: Quantity
    offset_k: Quantity | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("surface area", self.area_m2, low=1e-4, high=200.0, unit="m²")
        require_all_between("heat loss of a surface", self.loss_w_k, low=0.0, high=500.0, unit="W/K")
        if self.offset_k is not None:
            require_all_between("wall offset", self.offset_k, low=-60.0, high=100.0, unit="K")


def lining_area_m2(volume_m3: Quantity) -> Array:
    """Return the inner surface of a cabinet twice as tall as wide."""
    return 6.0 * BOX_FACTOR * as_array(volume_m3) ** (2.0 / 3.0)


def lining(volume_m3: Quantity, *, heat_loss_w_k: Quantity) -> tuple[Surface, ...]:
    """Return the lining of a cabinet as one surface whose temperature follows from the heat loss."""
    return (Surface(lining_area_m2(volume_m3), heat_loss_w_k),)


def lining_at_offset(
    volume_m3: Quantity, *, heat_loss_w_k: Quantity, wall_offset_k: Quantity
) -> tuple[Surface, ...]:
    """Return the lining as one surface at a fixed offset from the air (negative where colder)."""
    return (Surface(lining_area_m2(volume_m3), heat_loss_w_k, wall_offset_k),)


def lining_and_glass(
    volume_m3: Quantity,
    *,
    heat_loss_w_k: Quantity,
    glass_m2: Quantity,
    glass_w_m2_k: float = DOUBLE_GLASS_W_M2_K,
) -> tuple[Surface, ...]:
    """Return lining and door glass; the lining loses what the glass leaves of ``heat_loss_w_k``."""
    glass = require_all_between("door glass", glass_m2, low=1e-4, high=5.0, unit="m²")
    through_glass = glass * glass_w_m2_k
    rest = as_array(heat_loss_w_k) - through_glass
    if (rest < 0).any():
        raise PhysicsInputError(
            f"the door glass alone loses {float(np.max(through_glass)):.2g} W/K, more than the whole holder:"
            " give a smaller or better glass, or a larger heat loss"
        )
    return (Surface(lining_area_m2(volume_m3) - glass, rest), Surface(glass, through_glass))


@dataclass(frozen=True, slots=True)
class PanFit:
    """The pans a holder takes: water areas in all, and the largest single pan (None: half of the largest
    area, two equal pans). ``over_element``: the part of the element's heat the first pan catches is worked
    out from the floor it covers; a second pan stands free.
    """

    smallest_m2: float
    largest_m2: float
    one_pan_m2: float | None = None
    over_element: bool = False
    depth_m: float = 0.04

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("smallest pan area", self.smallest_m2, low=1e-4, high=5.0, unit="m²")
        require_all_between("largest pan area", self.largest_m2, low=self.smallest_m2, high=5.0, unit="m²")
        if self.one_pan_m2 is not None:
            require_all_between("area of one pan", self.one_pan_m2, low=1e-4, high=5.0, unit="m²")

    @property
    def single_m2(self) -> float:
        """Area of the largest single pan."""
        return min(self.largest_m2, self.one_pan_m2 or max(0.5 * self.largest_m2, self.smallest_m2))


@dataclass(frozen=True, slots=True)
class Cabinet:
    """A holder's air side.

    ``air_exchange_per_s``: air replaced, in volumes of the cabinet at its own conditions. ``power_w``: all
    elements together; infinite where it never limits, 0 without an element. ``steam_power_w``: the part a
    boiler or bath may take; infinite lets it take what the air leaves over. ``vent_per_s``: further air
    exchange that a humidity control opens when it is too damp. ``bath_m2``: water surface of a bath whose
    *water* is kept at the vapour temperature; None where the vapour itself is regulated. ``air_range_c``,
    ``vapour_range_c`` and ``humidity_range`` are those of the dials; None where there is none.
    """

    control: Control
    volume_m3: Quantity
    air_exchange_per_s: Quantity
    heat_loss_w_k: Quantity
    surfaces: tuple[Surface, ...] = ()
    draught_m_s: Quantity = 0.1
    power_w: Quantity = np.inf
    steam_power_w: Quantity = np.inf
    vent_per_s: Quantity = 0.0
    bath_m2: Quantity | None = None
    pans: PanFit | None = None
    air_range_c: tuple[float, float] | None = None
    vapour_range_c: tuple[float, float] | None = None
    humidity_range: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("volume", self.volume_m3, low=1e-3, high=50.0, unit="m³")
        require_all_between(
            "air exchange", self.air_exchange_per_s, low=1e-3 / 3600, high=1.0, unit="per second"
        )
        require_all_between("heat loss", self.heat_loss_w_k, low=0.0, high=500.0, unit="W/K")
        require_all_between("draught", self.draught_m_s, low=0.0, high=15.0, unit="m/s")
        require_all_between("power", self.power_w, low=0.0, high=np.inf, unit="W")
        require_all_between("steam power", self.steam_power_w, low=0.0, high=np.inf, unit="W")
        require_all_between("vent", self.vent_per_s, low=0.0, high=1.0, unit="per second")
        if self.bath_m2 is not None:
            require_all_between("bath area", self.bath_m2, low=1e-4, high=5.0, unit="m²")
        through = sum((as_array(surface.loss_w_k) for surface in self.surfaces), start=np.zeros(()))
        if (through > as_array(self.heat_loss_w_k) * (1 + 1e-9)).any():
            raise PhysicsInputError("the surfaces lose more heat than the whole holder: raise heat_loss_w_k")


@dataclass(frozen=True, slots=True)
class Load:
    """Meat that gives moisture to the air: a surface, or a flow already known.

    ``area_m2`` at ``temp_c`` with ``water_activity``; ``permeance_kg_s_m2_pa`` of its wrap (infinite: bare).
    ``given_kg_s`` is added to what the surface gives. A surface below the dew point takes moisture up.
    """

    area_m2: Quantity = 0.0
    temp_c: Quantity = 60.0
    water_activity: Quantity = 0.98
    permeance_kg_s_m2_pa: Quantity = np.inf
    given_kg_s: Quantity = 0.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("meat surface", self.area_m2, low=0.0, high=100.0, unit="m²")
        require_all_between("surface temperature of the meat", self.temp_c, low=0.0, high=98.0, unit="°C")
        require_all_between("water activity", self.water_activity, low=0.05, high=1.0, unit="(a fraction)")
        require_all_between(
            "wrap permeance", self.permeance_kg_s_m2_pa, low=0.0, high=np.inf, unit="kg/(s·m²·Pa)"
        )
        require_all_between("moisture from the meat", self.given_kg_s, low=0.0, high=1.0, unit="kg/s")


@dataclass(frozen=True, slots=True)
class Setting:
    """What the cook sets: air temperature, pans put in, the humidity dial, a mean flow of sprayed water.

    ``vapour_temp_c`` for a cabinet set by vapour temperature, ``relative_humidity`` (a fraction) for one set
    in per cent. ``feed_c``: temperature of the water a boiler is fed with.
    """

    air_temp_c: Quantity
    pans: tuple[Pan, ...] = ()
    vapour_temp_c: Quantity | None = None
    relative_humidity: Quantity | None = None
    spray_kg_s: Quantity = 0.0
    feed_c: Quantity = 20.0

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("air temperature", self.air_temp_c, low=5.0, high=260.0, unit="°C")
        require_all_between("sprayed water", self.spray_kg_s, low=0.0, high=0.1, unit="kg/s")
        require_all_between("boiler feed water", self.feed_c, low=0.0, high=100.0, unit="°C")
        if self.vapour_temp_c is not None:
            require_all_between("vapour temperature", self.vapour_temp_c, low=0.0, high=120.0, unit="°C")
        if self.relative_humidity is not None:
            require_all_between(
                "humidity setting", self.relative_humidity, low=0.0, high=1.0, unit="(a fraction)"
            )
        if sum(pan.over_element for pan in self.pans) > 1:
            raise PhysicsInputError(
                "two pans stand over the element: give them as one pan of their joint area"
            )


def require_fitting(cabinet: Cabinet, setting: Setting) -> None:
    """Raise PhysicsInputError where the setting has no dial on this holder, or its dial is not set."""
    by = cabinet.control
    if (setting.vapour_temp_c is not None) != (by is Control.VAPOUR_TEMPERATURE):
        raise PhysicsInputError(
            "set a vapour temperature for this holder: its humidity is set by it"
            if by is Control.VAPOUR_TEMPERATURE
            else f"this holder has no vapour temperature to set: its humidity is set by {by.value}"
        )
    if (setting.relative_humidity is not None) != (by is Control.PER_CENT):
        raise PhysicsInputError(
            "set a humidity in per cent for this holder: its humidity is set by it"
            if by is Control.PER_CENT
            else f"this holder has no humidity to set in per cent: its humidity is set by {by.value}"
        )


def highest_vapour_pressure_pa(air_temp_c: Quantity, *, pressure_pa: Quantity) -> Array:
    """Return the vapour pressure of saturated air, or of nearly pure steam above the boiling point."""
    saturated = saturation_pressure_pa(as_array(air_temp_c))
    steam = as_array(pressure_pa) * (1 - 1e-6)
    return as_array(np.minimum(saturated, steam))


def require_below_boiling(vapour_temp_c: Quantity, *, pressure_pa: Quantity) -> None:
    """Raise PhysicsInputError for a vapour temperature at or above the boiling point."""
    boiling = boiling_point_c(as_array(pressure_pa))
    if (as_array(vapour_temp_c) >= boiling).any():
        raise PhysicsInputError(
            f"water boils at {float(np.min(boiling)):.1f} °C here: set the vapour temperature below that"
        )
