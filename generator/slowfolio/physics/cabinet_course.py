"""The humidity of a holder in time: filling up after loading, after the door was open, between sprays.

Implicit steps of the vapour balance, so that any step is stable and the water in the air is counted exactly.
The air's temperature is taken as set; how the meat fares meanwhile is the cook engine's matter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from slowfolio.physics.arrays import Array, Quantity, as_array, bracketed_root, require_all_between
from slowfolio.physics.cabinet import Cabinet, Control, Load, Room, Setting
from slowfolio.physics.cabinet_balance import DRIEST_PA, Flows, VapourBalance
from slowfolio.physics.humid_air import (
    GAS_CONSTANT_DRY_AIR_J_KG_K,
    MOLAR_MASS_RATIO,
    boiling_point_c,
    relative_humidity,
)
from slowfolio.physics.pan import SettledPan, Warming, stored_heat_j_k
from slowfolio.physics.water import KELVIN_OFFSET

DOOR_SWAP_PER_S = 0.05
"""Air swapped through an open door, volumes per second (CALIBRATED 0.02 to 0.2: the hot air has gone in some
twenty seconds)."""
SPREAD_S = 300.0  # CALIBRATED 60 to 900: time in which a fine spray on hot surfaces has evaporated
MOST_STEPS = 5000


@dataclass(frozen=True, slots=True)
class Spray:
    """Pulses of ``mass_kg`` of water, the first at ``first_s``, then every ``every_s``.

    Each evaporates evenly over ``spread_s``.
    """

    mass_kg: float
    every_s: float
    first_s: float = 0.0
    spread_s: float = SPREAD_S

    def __post_init__(self) -> None:
        """Check the figures."""
        require_all_between("spray", self.mass_kg, low=0.0, high=5.0, unit="kg")
        require_all_between("spray interval", self.every_s, low=30.0, high=86_400.0, unit="s")
        require_all_between("first spray", self.first_s, low=0.0, high=172_800.0, unit="s")
        require_all_between("time a spray takes to evaporate", self.spread_s, low=1.0, high=7200.0, unit="s")

    @property
    def mean_kg_s(self) -> float:
        """Mean flow over many pulses."""
        return self.mass_kg / self.every_s

    def evaporated_kg(self, until_s: Quantity) -> Array:
        """Return the water evaporated from the start until ``until_s`` (any shape)."""
        since = as_array(until_s) - self.first_s
        whole = np.where(since > 0, np.floor(since / self.every_s), 0.0)
        overlap = int(np.ceil(self.spread_s / self.every_s))
        full = np.maximum(whole - overlap, 0.0)
        total = full * self.mass_kg
        for back in range(overlap + 1):
            pulse = whole - back
            part = np.clip((since - pulse * self.every_s) / self.spread_s, 0.0, 1.0)
            total = total + np.where(pulse >= full, part * self.mass_kg, 0.0)
        return np.where(since > 0, total, 0.0)


@dataclass(frozen=True, slots=True)
class HumidityCourse:
    """Humidity in time: ``time_s`` (K,), the rest (K, ...); ``pan_c`` one array for each pan.

    ``mean_pa``: vapour pressure averaged over the course. ``balance_residual``: water in less water out less
    water stored in the air, relative to the water in, over the whole course.
    """

    time_s: Array
    vapour_pressure_pa: Array
    relative_humidity: Array
    pan_c: tuple[Array, ...]
    mean_pa: Array
    balance_residual: Array

    def time_to_part_s(self, part: float, *, of_pa: Quantity) -> Array:
        """Return when ``part`` of the way from the start to ``of_pa`` is covered; infinite where never."""
        start = self.vapour_pressure_pa[0]
        span = as_array(of_pa) - start
        with np.errstate(divide="ignore", invalid="ignore"):
            way = np.where(span == 0, 1.0, (self.vapour_pressure_pa - start) / span)
        there = way >= part
        first = there.argmax(axis=0)
        before = np.maximum(first - 1, 0)
        low, high = np.take_along_axis(way, np.stack([before, first]), axis=0)
        rise = np.where(high > low, (part - low) / np.where(high > low, high - low, 1.0), 0.0)
        crossing = self.time_s[before] + rise * (self.time_s[first] - self.time_s[before])
        return np.where(there.any(axis=0), np.where(first == 0, 0.0, crossing), np.inf)


def after_open_door_pa(
    vapour_pressure_pa: Quantity, *, room: Room, open_s: Quantity, swap_per_s: Quantity = DOOR_SWAP_PER_S
) -> Array:
    """Return the vapour pressure left after the door stood open for ``open_s``: mixing with room air."""
    seconds = require_all_between("time the door is open", open_s, low=0.0, high=3600.0, unit="s")
    left = np.exp(-as_array(swap_per_s) * seconds)
    outside = as_array(room.vapour_pressure_pa)
    return as_array(outside + (as_array(vapour_pressure_pa) - outside) * left)


def humidity_course(
    cabinet: Cabinet,
    setting: Setting,
    *,
    duration_s: float,
    room: Room | None = None,
    load: Load | None = None,
    start_pa: Quantity | None = None,
    pan_start_c: Quantity | None = None,
    spray: Spray | None = None,
    steps: int = 120,
) -> HumidityCourse:
    """Return the humidity over ``duration_s`` from ``start_pa`` (the room's vapour unless given).

    Pans start at ``pan_start_c`` (settled in the starting air unless given) and keep their depth. Backward
    Euler in ``steps`` equal steps: the error falls with the step, and 120 steps over eight time constants are
    within 1.5 % of the change (tested). Raises PhysicsInputError as ``steady_state`` does.
    """
    require_all_between("duration", duration_s, low=1.0, high=172_800.0, unit="s")
    require_all_between("steps", float(steps), low=2, high=MOST_STEPS, unit="steps")
    around = room or Room()
    balance = VapourBalance(cabinet, setting, room=around, load=load or Load())
    start = as_array(around.vapour_pressure_pa if start_pa is None else start_pa)
    require_all_between("vapour pressure at the start", start, low=DRIEST_PA, high=1.1e5, unit="Pa")
    start = np.minimum(start, balance.ceiling_pa)
    flows = balance.flows(start)
    vapour = np.broadcast_to(start, np.broadcast_shapes(start.shape, flows.surplus.shape))
    waters = tuple(pan.water_c for pan in flows.pans)
    if pan_start_c is not None:
        hottest = as_array(boiling_point_c(balance.pressure_pa)) - 1e-3
        poured = require_all_between("water in the pans", pan_start_c, low=0.0, high=100.0, unit="°C")
        waters = tuple(
            water if pan.held_c is not None else np.minimum(poured, hottest) + np.zeros_like(water)
            for pan, water in zip(setting.pans, waters, strict=True)
        )
    time_s = np.linspace(0.0, duration_s, steps + 1)
    sprayed = np.zeros(steps) if spray is None else np.diff(spray.evaporated_kg(time_s))
    stepper = _Stepper(balance, step_s=duration_s / steps)
    course, water_course = [vapour], [waters]
    for pulse_kg in sprayed:
        vapour, waters = stepper.step(vapour, waters, pulse_kg=float(pulse_kg))
        course.append(vapour)
        water_course.append(waters)
    vapours = np.stack(course)
    stored = (vapours[-1] - vapours[0]) * stepper.air_kg_pa
    return HumidityCourse(
        time_s=time_s,
        vapour_pressure_pa=vapours,
        relative_humidity=as_array(relative_humidity(vapours, balance.air_c)),
        pan_c=tuple(
            np.stack([np.broadcast_to(at[i], vapours.shape[1:]) for at in water_course])
            for i in range(len(setting.pans))
        ),
        mean_pa=as_array(np.trapezoid(vapours, time_s, axis=0) / duration_s),
        balance_residual=as_array((stepper.net_kg - stored) / np.maximum(stepper.given_kg, 1e-12)),
    )


class _Stepper:
    """One implicit step after the other, and the water counted on the way."""

    def __init__(self, balance: VapourBalance, *, step_s: float) -> None:
        self.balance, self.step_s = balance, step_s
        specific = GAS_CONSTANT_DRY_AIR_J_KG_K / MOLAR_MASS_RATIO * (balance.air_c + KELVIN_OFFSET)
        self.air_kg_pa = as_array(balance.cabinet.volume_m3) / specific
        self.regulated = balance.cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT)
        self.net_kg: Array = np.zeros(())
        self.given_kg: Array = np.zeros(())

    def step(
        self, vapour_pa: Array, waters: tuple[Array, ...], *, pulse_kg: float
    ) -> tuple[Array, tuple[Array, ...]]:
        """Return vapour pressure and water temperatures one step on."""
        balance, pans = self.balance, self._pans(vapour_pa, waters)
        gained = pulse_kg / self.step_s

        def lacking(later_pa: Array, surplus: Array) -> Array:
            return as_array(self.air_kg_pa * (later_pa - vapour_pa) / self.step_s - surplus - gained)

        def reached(exchange: Array) -> Array:
            def excess(pa: Array) -> Array:
                return -lacking(pa, balance.flows(pa, pans=pans, exchange=exchange).surplus)

            return bracketed_root(excess, DRIEST_PA, balance.ceiling_pa)

        def steamed(pa: Array) -> Array:
            flows = balance.flows(pa, pans=pans)
            return as_array(balance.most_steam_kg_s(pa, flows) - lacking(pa, flows.surplus))

        exchange = balance.closed_exchange
        steam: Array = np.zeros(())
        if self.regulated:
            driest = np.minimum(reached(exchange + as_array(balance.cabinet.vent_per_s)), reached(exchange))
            dampest = bracketed_root(steamed, DRIEST_PA, balance.ceiling_pa)
            later = np.clip(balance.dialled_pa(), driest, np.maximum(dampest, driest))
            shut = balance.flows(later, pans=pans)
            steam, exchange = balance.controlled(later, lacking(later, shut.surplus), shut)
        else:
            later = reached(exchange)
        self._count(later, balance.flows(later, pans=pans, steam=steam, exchange=exchange), lacking, gained)
        return later, tuple(pan.water_c for pan in pans)

    def _count(
        self, later_pa: Array, flows: Flows, lacking: Callable[[Array, Array], Array], gained: float
    ) -> None:
        """Add the step to the water counted; what saturated air cannot hold drops out as fog."""
        left_over = np.maximum(-lacking(later_pa, flows.surplus), 0.0)
        fog = np.where(later_pa >= self.balance.ceiling_pa, left_over, 0.0)
        self.net_kg = self.net_kg + self.step_s * (flows.surplus + gained - fog)
        entering = flows.room_in + flows.steam + flows.spray + np.abs(flows.meat) + gained
        entering = sum((pan.evaporation_kg_s for pan in flows.pans), start=entering)
        self.given_kg = self.given_kg + self.step_s * as_array(entering)

    def _pans(self, vapour_pa: Array, waters: tuple[Array, ...]) -> tuple[SettledPan, ...]:
        """The pans at the end of the step, their evaporation into the air of its beginning."""
        balance = self.balance
        if not waters:
            return ()
        idle = tuple(SettledPan(water, np.zeros_like(water), np.zeros_like(water)) for water in waters)
        flows = balance.flows(vapour_pa, pans=idle)
        warming = tuple(
            Warming(water, stored_heat_j_k(pan) / self.step_s)
            for pan, water in zip(balance.setting.pans, waters, strict=True)
        )
        around = balance.pan_air(vapour_pa, flows.surface_c)
        return balance.settle(around, flows.air_heat_w, warming=warming)
