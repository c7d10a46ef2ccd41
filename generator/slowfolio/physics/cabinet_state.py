"""The steady air of a holder as a report: humidity, water by source, heat by use, refills, balance.

``steady_state`` is what ``forecast`` calls for a setting; its vapour pressure goes into the engine's hold
stage. The flows themselves live in ``cabinet_balance``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.arrays import Array, Quantity, as_array
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting
from slowfolio.physics.cabinet_balance import VapourBalance
from slowfolio.physics.humid_air import dew_point_c, relative_humidity, wet_bulb_c
from slowfolio.physics.pan import refill_interval_s

KG_H = 3600.0
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class PanState:
    """One pan in the steady state: water temperature, evaporation, hours until a quarter of it is left."""

    water_temp_c: Array
    evaporation_kg_h: Array
    refill_h: Array


@dataclass(frozen=True, slots=True)
class WaterFlows:
    """Water in and out of the air, kg/h. ``vented`` counts only what leaves above what room air brings in;
    ``meat`` is negative where the meat takes moisture up; ``fog`` is what saturated air drops anywhere.
    """

    pans: Array
    steam: Array
    spray: Array
    meat: Array
    vented: Array
    condensate: Array
    fog: Array
    make_up: Array


@dataclass(frozen=True, slots=True)
class HeatUse:
    """Heat the elements must give, W, by use; ``available`` may be infinite, ``spare`` negative."""

    leakage: Array
    ventilation: Array
    evaporation: Array
    total: Array
    available: Array

    @property
    def spare(self) -> Array:
        """Power left over; negative where it does not suffice."""
        return as_array(self.available - self.total)

    @property
    def suffices(self) -> Flags:
        """Whether the power keeps the air at its setting."""
        return np.asarray(self.total <= self.available)


@dataclass(frozen=True, slots=True)
class CabinetState:
    """The steady air of a holder; every array has the broadcast shape of the input (0-d for one holder).

    ``dial_short_pa``: how far the vapour pressure stays below what the dial asks; ``dial_over_pa``: how far
    above, where nothing dries the air; both 0 without a dial. ``air_exchange_per_s`` includes an opened vent.
    ``balance_residual``: water in less out, relative to the water in.
    """

    air_temp_c: Array
    pressure_pa: Array
    vapour_pressure_pa: Array
    relative_humidity: Array
    dew_point_c: Array
    wet_bulb_c: Array
    surface_temp_c: tuple[Array, ...]
    air_exchange_per_s: Array
    pans: tuple[PanState, ...]
    water_kg_h: WaterFlows
    heat_w: HeatUse
    refill_h: Array
    dial_short_pa: Array
    dial_over_pa: Array
    saturated: Flags
    balance_residual: Array


def steady_state(
    cabinet: Cabinet, setting: Setting, *, room: Room | None = None, load: Load | None = None
) -> CabinetState:
    """Return the steady air of ``cabinet`` at ``setting``; room 20 °C at 50 % and no meat unless given.

    Steady humidity: sources equal air flow times the difference of humidity ratios plus condensation. Where a
    dial is set, boiler or bath give what is missing up to their power, and a vent, if any, sheds what is too
    much. Raises PhysicsInputError for settings the holder does not have.
    """
    balance = VapourBalance(cabinet, setting, room=room or Room(), load=load or Load())
    if cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT):
        return _regulated(balance)
    return _state(balance, balance.balanced_pa())


def _regulated(balance: VapourBalance) -> CabinetState:
    open_wide = balance.closed_exchange + as_array(balance.cabinet.vent_per_s)
    asked = balance.dialled_pa()
    driest = np.minimum(balance.balanced_pa(exchange=open_wide), balance.balanced_pa())
    dampest = balance.steamed_pa()
    vapour_pa = np.clip(asked, driest, np.maximum(dampest, driest))
    shut = balance.flows(vapour_pa)
    steam, exchange = balance.controlled(vapour_pa, -shut.surplus, shut)
    return _state(balance, vapour_pa, asked=asked, steam=steam, exchange=exchange)


def _state(
    balance: VapourBalance,
    vapour_pa: Array,
    *,
    asked: Array | None = None,
    steam: Quantity = 0.0,
    exchange: Quantity | None = None,
) -> CabinetState:
    flows = balance.flows(vapour_pa, steam=steam, exchange=exchange)
    surplus = flows.surplus
    saturated = np.asarray(vapour_pa >= balance.ceiling_pa * (1 - 1e-12))
    fog = np.where(saturated, np.maximum(surplus, 0.0), 0.0)
    coming = flows.room_in + flows.steam + flows.spray + np.abs(flows.meat)
    coming = sum((pan.evaporation_kg_s for pan in flows.pans), start=coming)
    pans = tuple(
        PanState(
            state.water_c,
            state.evaporation_kg_s * KG_H,
            refill_interval_s(pan, state.evaporation_kg_s) / KG_H,
        )
        for pan, state in zip(balance.setting.pans, flows.pans, strict=True)
    )
    from_pans = sum((pan.evaporation_kg_h for pan in pans), start=np.zeros(()))
    shape = np.broadcast_shapes(vapour_pa.shape, surplus.shape)
    refill_h = np.full(shape, np.inf)
    for pan_state in pans:
        refill_h = np.minimum(refill_h, pan_state.refill_h)
    asked_pa = vapour_pa if asked is None else asked
    evaporation_w = flows.meat_w + flows.spray_w + flows.pan_w + flows.steam_w
    return CabinetState(
        air_temp_c=balance.air_c,
        pressure_pa=balance.pressure_pa,
        vapour_pressure_pa=vapour_pa,
        relative_humidity=as_array(relative_humidity(vapour_pa, balance.air_c)),
        dew_point_c=as_array(dew_point_c(vapour_pa)),
        wet_bulb_c=as_array(wet_bulb_c(balance.air_c, vapour_pa, balance.pressure_pa)),
        surface_temp_c=flows.surface_c,
        air_exchange_per_s=balance.closed_exchange if exchange is None else as_array(exchange),
        pans=pans,
        water_kg_h=WaterFlows(
            pans=as_array(from_pans),
            steam=flows.steam * KG_H,
            spray=flows.spray * KG_H,
            meat=flows.meat * KG_H,
            vented=(flows.vented - flows.room_in) * KG_H,
            condensate=as_array(sum(flows.condensed, start=np.zeros(())) * KG_H),
            fog=fog * KG_H,
            make_up=as_array(from_pans + (flows.steam + flows.spray) * KG_H),
        ),
        heat_w=HeatUse(
            leakage=flows.leakage_w,
            ventilation=flows.ventilation_w,
            evaporation=as_array(evaporation_w),
            total=as_array(flows.leakage_w + flows.ventilation_w + evaporation_w),
            available=as_array(balance.cabinet.power_w),
        ),
        refill_h=refill_h,
        dial_short_pa=np.maximum(asked_pa - vapour_pa, 0.0),
        dial_over_pa=np.maximum(vapour_pa - asked_pa, 0.0),
        saturated=saturated,
        balance_residual=as_array((surplus - fog) / coming),
    )
