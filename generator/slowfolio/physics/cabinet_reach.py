"""What a holder can do: lowest and highest humidity at an air temperature, and how to set it for a target.

``reach`` draws the bounds of the chart, ``setting_for`` gives the dial, the pan or the spray, or says why
not. Both rest on ``cabinet_state``; a reading fed back lives in ``cabinet_reading``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from slowfolio.physics.arrays import Array, Quantity, as_array, bracketed_root, require_all_between
from slowfolio.physics.cabinet import (
    Cabinet,
    Control,
    Load,
    PanFit,
    Room,
    Setting,
    highest_vapour_pressure_pa,
)
from slowfolio.physics.cabinet_balance import VapourBalance
from slowfolio.physics.cabinet_state import KG_H, CabinetState, steady_state
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import boiling_point_c, saturation_pressure_pa, saturation_temperature_c
from slowfolio.physics.pan import Pan, element_share_over

NEAR_ENOUGH = 0.005  # CALIBRATED: half a per cent of humidity, below what any hygrometer of the trade reads
WET_WALL_SHARE = 0.2  # CALIBRATED: the walls are to blame where they take a fifth of the water put in
MOST_SPRAY_KG_S = 0.1  # CALIBRATED: 360 kg/h, a shower
_UNDER_BOILING_K = 0.1


class Limit(Enum):
    """Why a holder cannot give the humidity asked of it, in plain words."""

    REACHED = "within reach"
    NO_WATER = "nothing here gives water but the meat and the room"
    PAN_TOO_SMALL = "the largest pans that fit do not evaporate enough"
    WALLS_RUN = "the walls are colder than the dew point and take the water out again"
    TOO_LITTLE_POWER = "the power left over does not make enough steam"
    DIAL_TOO_LOW = "the humidity dial ends below it"
    DIAL_TOO_HIGH = "the humidity dial begins above it"
    TOO_DAMP = "meat and room give more moisture than the air exchange takes away"
    ROOM_TOO_DAMP = "the room's own air is damper than that once warmed"
    AIR_TEMPERATURE = "the holder cannot be set to this air temperature"
    HEAT_TOO_WEAK = "the humidity is within reach but the elements cannot keep the air this warm"
    ABOVE_BOILING = "it would take steam above the air's own pressure"


@dataclass(frozen=True, slots=True)
class Reach:
    """Lowest and highest steady air of a holder over air temperatures (any shape)."""

    air_temp_c: Array
    lowest: CabinetState
    highest: CabinetState

    @property
    def lowest_humidity(self) -> Array:
        """Lowest relative humidity, a fraction."""
        return self.lowest.relative_humidity

    @property
    def highest_humidity(self) -> Array:
        """Highest relative humidity, a fraction."""
        return self.highest.relative_humidity


@dataclass(frozen=True, slots=True)
class Advice:
    """How to set one holder for one target, or what stands against it; ``None`` where it does not apply.

    ``setting`` and ``state``: the target where it is reached, otherwise the nearest the holder comes.
    ``pan_area_m2`` and ``pan_count``: water surface and number of pans to put in. ``pan_water_c``: what its
    water settles at. ``spray_kg_h``: mean flow of sprayed water that would make up what is missing.
    ``air_exchange_per_s``: what opening a vent would have to reach where the air is too damp.
    """

    limit: Limit
    words: str
    setting: Setting
    state: CabinetState
    vapour_temp_c: float | None = None
    relative_humidity: float | None = None
    pan_area_m2: float | None = None
    pan_count: int | None = None
    pan_water_c: float | None = None
    spray_kg_h: float | None = None
    air_exchange_per_s: float | None = None

    @property
    def reached(self) -> bool:
        """Whether the holder gives the target."""
        return self.limit is Limit.REACHED


def reach(
    cabinet: Cabinet, *, air_temp_c: Quantity, room: Room | None = None, load: Load | None = None
) -> Reach:
    """Return the lowest and highest humidity of ``cabinet`` at ``air_temp_c`` (any shape).

    With a pan: none at all, and the largest pans that fit. With a dial: its two ends, the vapour temperature
    no higher than the air or the boiling point.
    """
    around = room or Room()
    air_c = require_all_between("air temperature", air_temp_c, low=5.0, high=260.0, unit="°C")
    low, high = _end_settings(cabinet, air_c, around)
    return Reach(
        air_temp_c=air_c,
        lowest=steady_state(cabinet, low, room=around, load=load),
        highest=steady_state(cabinet, high, room=around, load=load),
    )


def pans_of_area(fit: PanFit, area_m2: Quantity, *, volume_m3: Quantity) -> tuple[Pan, ...]:
    """Return pans of ``area_m2`` in all: the first up to the largest single pan, the rest standing free."""
    area = as_array(area_m2)
    first = np.minimum(area, fit.single_m2)
    share = element_share_over(first, volume_m3=volume_m3) if fit.over_element else np.zeros_like(first)
    pans: tuple[Pan, ...] = (Pan(first, depth_m=fit.depth_m, element_share=share),)
    if (area > fit.single_m2).any():
        pans += (Pan(area - first, depth_m=fit.depth_m),)
    return pans


def setting_for(
    cabinet: Cabinet,
    target_humidity: float,
    *,
    air_temp_c: float,
    room: Room | None = None,
    load: Load | None = None,
) -> Advice:
    """Return how to set ``cabinet`` for ``target_humidity`` (a fraction) at ``air_temp_c``.

    One holder at a time. Raises PhysicsInputError for a humidity outside 0 to 1.
    """
    require_all_between("humidity asked for", target_humidity, low=0.0, high=1.0, unit="(a fraction)")
    around, meat = room or Room(), load or Load()
    bounds = reach(cabinet, air_temp_c=air_temp_c, room=around, load=meat)
    if bounds.highest.vapour_pressure_pa.ndim:
        raise PhysicsInputError("settings are worked out for one holder at a time: give single numbers")
    target_pa = target_humidity * saturation_pressure_pa(float(air_temp_c))
    low, high = _end_settings(cabinet, as_array(air_temp_c), around)
    if cabinet.air_range_c is not None and not cabinet.air_range_c[0] <= air_temp_c <= cabinet.air_range_c[1]:
        coldest, hottest = cabinet.air_range_c
        nearest = high if target_humidity > float(bounds.lowest_humidity) else low
        words = f"it keeps {coldest:.0f} to {hottest:.0f} °C: choose an air temperature between them"
        return _advice(Limit.AIR_TEMPERATURE, words, cabinet, nearest, around, meat)
    if target_pa > float(highest_vapour_pressure_pa(air_temp_c, pressure_pa=around.pressure_pa)) * (1 + 1e-9):
        words = f"above boiling even pure steam stays below {100 * float(bounds.highest_humidity):.0f} %"
        return _advice(Limit.ABOVE_BOILING, words, cabinet, high, around, meat)
    if target_humidity > float(bounds.highest_humidity) + NEAR_ENOUGH:
        return _too_dry(cabinet, target_pa, bounds, high, room=around, load=meat)
    if target_humidity < float(bounds.lowest_humidity) - NEAR_ENOUGH:
        return _too_damp(cabinet, target_pa, bounds, low, room=around, load=meat)
    setting = _reaching(cabinet, target_pa, low, high, room=around, load=meat)
    return _advice(Limit.REACHED, Limit.REACHED.value, cabinet, setting, around, meat)


def water_temperature_for(
    cabinet: Cabinet,
    target_humidity: Quantity,
    *,
    area_m2: Quantity,
    air_temp_c: Quantity,
    room: Room | None = None,
    load: Load | None = None,
) -> Array:
    """Return the temperature at which open water of ``area_m2`` must be kept to hold ``target_humidity``.

    Any shape; infinite where not even water just below boiling does it. For a holder with pans.
    """
    around, meat = room or Room(), load or Load()
    target = require_all_between(
        "humidity asked for", target_humidity, low=0.0, high=1.0, unit="(a fraction)"
    )
    target_pa = as_array(target * saturation_pressure_pa(as_array(air_temp_c)))
    hottest = as_array(boiling_point_c(as_array(around.pressure_pa))) - _UNDER_BOILING_K

    def surplus(water_c: Array) -> Array:
        setting = Setting(air_temp_c, pans=(Pan(area_m2, held_c=np.minimum(water_c, 100.0)),))
        return VapourBalance(cabinet, setting, room=around, load=meat).flows(target_pa).surplus

    found = bracketed_root(surplus, 0.0, hottest)
    return np.where(surplus(np.broadcast_to(hottest, found.shape)) < 0, np.inf, found)


def _end_settings(cabinet: Cabinet, air_c: Array, room: Room) -> tuple[Setting, Setting]:
    """The settings of least and most humidity at ``air_c``."""
    if cabinet.control is Control.PAN:
        if cabinet.pans is None:
            raise PhysicsInputError(
                "this holder is moistened by pans but no pan area is known: give its pans"
            )
        most = pans_of_area(cabinet.pans, cabinet.pans.largest_m2, volume_m3=cabinet.volume_m3)
        return Setting(air_c), Setting(air_c, pans=most)
    if cabinet.control is Control.VAPOUR_TEMPERATURE:
        first, last = cabinet.vapour_range_c or (0.0, 120.0)
        boiling = as_array(boiling_point_c(as_array(room.pressure_pa))) - _UNDER_BOILING_K
        top = np.minimum(air_c, boiling)
        return (
            Setting(air_c, vapour_temp_c=np.minimum(first, top)),
            Setting(air_c, vapour_temp_c=np.minimum(last, top)),
        )
    if cabinet.control is Control.PER_CENT:
        least, greatest = cabinet.humidity_range or (0.0, 1.0)
        return Setting(air_c, relative_humidity=least), Setting(air_c, relative_humidity=greatest)
    return Setting(air_c), Setting(air_c)


def _reaching(
    cabinet: Cabinet, target_pa: float, low: Setting, high: Setting, *, room: Room, load: Load
) -> Setting:
    if cabinet.control is Control.VAPOUR_TEMPERATURE:
        if cabinet.bath_m2 is None:
            lowest, highest = _dial_ends(low, high)
            dial = np.clip(saturation_temperature_c(max(target_pa, 20.0)), lowest, highest)
            return replace(low, vapour_temp_c=float(dial))
        return replace(low, vapour_temp_c=_bath_dial_c(cabinet, target_pa, low, high, room=room, load=load))
    if cabinet.control is Control.PER_CENT:
        assert low.relative_humidity is not None
        assert high.relative_humidity is not None
        asked = target_pa / saturation_pressure_pa(float(low.air_temp_c))
        return replace(
            low, relative_humidity=float(np.clip(asked, low.relative_humidity, high.relative_humidity))
        )
    if cabinet.control is Control.PAN:
        assert cabinet.pans is not None
        area = pan_area_for(cabinet, target_pa, air_temp_c=low.air_temp_c, room=room, load=load)
        return replace(low, pans=pans_of_area(cabinet.pans, area, volume_m3=cabinet.volume_m3))
    return low


def pan_area_for(
    cabinet: Cabinet, target_pa: Quantity, *, air_temp_c: Quantity, room: Room, load: Load
) -> Array:
    """Return the water area that keeps ``target_pa``, at most the largest that fits; any shape."""
    fit = cabinet.pans
    if fit is None:
        raise PhysicsInputError("no pan area is known for this holder: give its pans")

    def surplus(area_m2: Array) -> Array:
        pans = pans_of_area(fit, area_m2, volume_m3=cabinet.volume_m3)
        balance = VapourBalance(cabinet, Setting(air_temp_c, pans=pans), room=room, load=load)
        return balance.flows(as_array(target_pa)).surplus

    return bracketed_root(surplus, 0.0, fit.largest_m2)


def _bath_dial_c(
    cabinet: Cabinet, target_pa: float, low: Setting, high: Setting, *, room: Room, load: Load
) -> float:
    """The water temperature at which a bath of finite area keeps the target: above the dew point."""

    def surplus_pa(dial_c: Array) -> Array:
        state = steady_state(cabinet, replace(low, vapour_temp_c=dial_c), room=room, load=load)
        return state.vapour_pressure_pa - target_pa

    return float(bracketed_root(surplus_pa, *_dial_ends(low, high)))


def _dial_ends(low: Setting, high: Setting) -> tuple[float, float]:
    assert low.vapour_temp_c is not None
    assert high.vapour_temp_c is not None
    return float(low.vapour_temp_c), float(high.vapour_temp_c)


def _too_dry(
    cabinet: Cabinet, target_pa: float, bounds: Reach, high: Setting, *, room: Room, load: Load
) -> Advice:
    """What keeps the holder below the target, and the spray that would make it up."""
    best = bounds.highest
    put_in = float(best.water_kg_h.make_up)
    wet_walls = float(best.water_kg_h.condensate) > WET_WALL_SHARE * max(put_in, 1e-9)
    most = f"it reaches {100 * float(bounds.highest_humidity):.0f} % here"
    if cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT):
        short = float(best.dial_short_pa) > 1.0
        limit = Limit.DIAL_TOO_LOW if not short else Limit.WALLS_RUN if wet_walls else Limit.TOO_LITTLE_POWER
        return _advice(limit, f"{limit.value}; {most}", cabinet, high, room, load)
    limit = Limit.PAN_TOO_SMALL if cabinet.control is Control.PAN else Limit.NO_WATER
    if cabinet.control is Control.PAN and wet_walls:
        limit = Limit.WALLS_RUN
    if cabinet.control is Control.SEALED:
        return _advice(limit, f"{limit.value}; {most}", cabinet, high, room, load)
    spray = _spray_kg_s(cabinet, target_pa, high, room=room, load=load) * KG_H
    return _advice(limit, f"{limit.value}; {most}", cabinet, high, room, load, spray_kg_h=spray)


def _spray_kg_s(cabinet: Cabinet, target_pa: float, high: Setting, *, room: Room, load: Load) -> float:
    """The spray that keeps the target beside the largest pans; its heat drives a pan over the element too."""

    def surplus(spray_kg_s: Array) -> Array:
        setting = replace(high, spray_kg_s=spray_kg_s)
        return VapourBalance(cabinet, setting, room=room, load=load).flows(as_array(target_pa)).surplus

    missing = -surplus(np.zeros(()))
    return float(bracketed_root(surplus, 0.0, np.clip(missing, 0.0, MOST_SPRAY_KG_S)))


def _too_damp(
    cabinet: Cabinet, target_pa: float, bounds: Reach, low: Setting, *, room: Room, load: Load
) -> Advice:
    """What keeps the holder above the target, and the air exchange that would bring it down."""
    least = f"it does not come below {100 * float(bounds.lowest_humidity):.0f} % here"
    asked_pa = float(bounds.lowest.vapour_pressure_pa - bounds.lowest.dial_over_pa)
    if cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT) and target_pa < asked_pa * (
        1 - 1e-9
    ):
        return _advice(Limit.DIAL_TOO_HIGH, f"{Limit.DIAL_TOO_HIGH.value}; {least}", cabinet, low, room, load)
    if target_pa <= float(as_array(room.vapour_pressure_pa)):
        return _advice(Limit.ROOM_TOO_DAMP, f"{Limit.ROOM_TOO_DAMP.value}; {least}", cabinet, low, room, load)
    balance = VapourBalance(cabinet, low, room=room, load=load)
    flows = balance.flows(as_array(target_pa))
    leaving = float(flows.vented - flows.room_in)
    needed = float(balance.closed_exchange) * (float(flows.surplus) + leaving) / leaving
    words = f"{Limit.TOO_DAMP.value}; {least}: open a vent, to an air exchange of {needed * KG_H:.2g} /h"
    return _advice(Limit.TOO_DAMP, words, cabinet, low, room, load, air_exchange_per_s=needed)


def _advice(
    limit: Limit,
    words: str,
    cabinet: Cabinet,
    setting: Setting,
    room: Room,
    load: Load,
    *,
    spray_kg_h: float | None = None,
    air_exchange_per_s: float | None = None,
) -> Advice:
    state = steady_state(cabinet, setting, room=room, load=load)
    if limit is Limit.REACHED and cabinet.control is not Control.SEALED and not bool(state.heat_w.suffices):
        limit = Limit.HEAT_TOO_WEAK
        words = f"{limit.value}: {float(-state.heat_w.spare):.0f} W are missing"
    areas = [float(as_array(pan.area_m2)) for pan in setting.pans]
    if limit is Limit.REACHED and cabinet.pans is not None and sum(areas) < cabinet.pans.smallest_m2:
        words = "cover the smallest pan until no more water than that is open"
    return Advice(
        limit=limit,
        words=words,
        setting=setting,
        state=state,
        vapour_temp_c=None if setting.vapour_temp_c is None else float(setting.vapour_temp_c),
        relative_humidity=None if setting.relative_humidity is None else float(setting.relative_humidity),
        pan_area_m2=sum(areas) if cabinet.control is Control.PAN else None,
        pan_count=sum(area > 0 for area in areas) if cabinet.control is Control.PAN else None,
        pan_water_c=float(state.pans[0].water_temp_c) if state.pans else None,
        spray_kg_h=spray_kg_h,
        air_exchange_per_s=air_exchange_per_s,
    )
