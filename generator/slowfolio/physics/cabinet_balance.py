"""The vapour balance of a holder: water in from pans, boiler, spray, meat and room, out by leaks and walls.

``VapourBalance`` gives every flow as a function of the vapour pressure, for all members of an ensemble at
once, and the pressure at which they cancel. ``cabinet_state`` makes a report of it, ``cabinet_reach``
settings, ``cabinet_course`` a course in time.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowfolio.physics.arrays import Array, Quantity, as_array, bracketed_root
from slowfolio.physics.cabinet import (
    Cabinet,
    Load,
    Room,
    Setting,
    Surface,
    highest_vapour_pressure_pa,
    require_below_boiling,
    require_fitting,
)
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.humid_air import (
    DRY_AIR_HEAT_J_KG_K,
    GAS_CONSTANT_DRY_AIR_J_KG_K,
    MOLAR_MASS_RATIO,
    VAPOUR_ENTHALPY_AT_0_C_J_KG,
    VAPOUR_HEAT_J_KG_K,
    dew_point_c,
    latent_heat_j_kg,
    saturation_pressure_pa,
)
from slowfolio.physics.pan import (
    AT_REST,
    LIQUID_HEAT_J_KG_K,
    PanAir,
    SettledPan,
    Warming,
    pan_convection_w_m2_k,
    pan_feed_heat_w,
    plate_convection_w_m2_k,
    settled_pan,
    stefan_flow_kg_m2_s,
)
from slowfolio.physics.pit import natural_convection_w_m2_k
from slowfolio.physics.water import KELVIN_OFFSET

LINING_CONVECTION_W_M2_K = 2.5  # MEMORY: ISO 6946:2017, annex C, h_ci of horizontal heat flow
LINING_RADIATION_W_M2_K = 5.2  # MEMORY: ISO 6946:2017, R_si 0.13 m²K/W less the convection
DRIEST_PA = 20.0


class Flows(NamedTuple):
    """All flows at one vapour pressure, kg/s and W; ``meat`` is negative where the meat takes moisture up."""

    pans: tuple[SettledPan, ...]
    steam: Array
    spray: Array
    meat: Array
    room_in: Array
    vented: Array
    condensed: tuple[Array, ...]
    surface_c: tuple[Array, ...]
    leakage_w: Array
    ventilation_w: Array
    meat_w: Array
    spray_w: Array
    pan_w: Array
    steam_w: Array

    @property
    def surplus(self) -> Array:
        """Water in less water out, kg/s."""
        given = sum((pan.evaporation_kg_s for pan in self.pans), start=self.steam + self.spray + self.meat)
        return as_array(given + self.room_in - self.vented - sum(self.condensed, start=np.zeros(())))

    @property
    def air_heat_w(self) -> Array:
        """Heat the elements must give for everything but a boiler's steam, W."""
        return as_array(self.leakage_w + self.ventilation_w + self.meat_w + self.spray_w + self.pan_w)


class VapourBalance:
    """The flows of a holder as functions of its vapour pressure; falling surplus, so one root.

    Shapes: all quantities of cabinet, setting, room and load broadcast with the vapour pressure.
    Raises PhysicsInputError where the setting does not fit the holder or a surface loses too much heat.
    """

    def __init__(self, cabinet: Cabinet, setting: Setting, *, room: Room, load: Load) -> None:
        """Take over the figures and check that they go together."""
        require_fitting(cabinet, setting)
        self.cabinet, self.setting, self.room, self.load = cabinet, setting, room, load
        self.air_c, self.pressure_pa = as_array(setting.air_temp_c), as_array(room.pressure_pa)
        self.ceiling_pa = highest_vapour_pressure_pa(self.air_c, pressure_pa=self.pressure_pa)
        self.warmer_k = self.air_c - as_array(room.temp_c)
        forced = plate_convection_w_m2_k(cabinet.draught_m_s, film_temp_c=self.air_c)
        self.lining_convection = np.cbrt(LINING_CONVECTION_W_M2_K**3 + forced**3)
        natural = natural_convection_w_m2_k(self.air_c - as_array(load.temp_c))
        self.meat_convection = np.cbrt(natural**3 + forced**3)
        vapour, ambient = as_array(room.vapour_pressure_pa), self.pressure_pa
        self.room_ratio = MOLAR_MASS_RATIO * vapour / (ambient - vapour)
        self.meat_pa = as_array(load.water_activity) * saturation_pressure_pa(as_array(load.temp_c))
        if (self.meat_pa >= ambient).any():
            raise PhysicsInputError("the meat's surface is at the boiling point: give it a lower temperature")
        for surface in cabinet.surfaces:
            if (as_array(surface.loss_w_k) >= 0.95 * self._film_w_k(surface)).any():
                raise PhysicsInputError(
                    "a surface loses more heat than still air brings to it: give it more area or less loss"
                )

    @property
    def closed_exchange(self) -> Array:
        """Air exchange with the vent shut, per second."""
        return as_array(self.cabinet.air_exchange_per_s)

    def air_flow_kg_s(self, vapour_pa: Array, exchange: Array) -> Array:
        """Dry air leaving (and entering), kg/s, counted at the cabinet's own conditions."""
        volume = exchange * as_array(self.cabinet.volume_m3)
        return as_array(
            volume
            * (self.pressure_pa - vapour_pa)
            / (GAS_CONSTANT_DRY_AIR_J_KG_K * (self.air_c + KELVIN_OFFSET))
        )

    def flows(
        self,
        vapour_pa: Array,
        *,
        steam: Quantity = 0.0,
        exchange: Quantity | None = None,
        pans: tuple[SettledPan, ...] | None = None,
    ) -> Flows:
        """Return every flow at ``vapour_pa``; ``pans`` given are taken as they are, else they settle."""
        renewed = self.closed_exchange if exchange is None else as_array(exchange)
        dry_air = self.air_flow_kg_s(vapour_pa, renewed)
        per_pa = MOLAR_MASS_RATIO * renewed * as_array(self.cabinet.volume_m3)
        vented = per_pa * vapour_pa / (GAS_CONSTANT_DRY_AIR_J_KG_K * (self.air_c + KELVIN_OFFSET))
        ventilation = dry_air * (DRY_AIR_HEAT_J_KG_K + self.room_ratio * VAPOUR_HEAT_J_KG_K) * self.warmer_k
        condensed, surface_c, leakage = self._surfaces(vapour_pa)
        meat = self._meat_kg_s(vapour_pa)
        meat_w = np.maximum(meat, 0.0) * self._vapour_heat_j_kg(self.load.temp_c)
        spray = as_array(self.setting.spray_kg_s)
        spray_w = spray * self.from_liquid_j_kg(self.room.temp_c)
        base = leakage + ventilation + meat_w + spray_w
        around = self.pan_air(vapour_pa, surface_c)
        settled = pans if pans is not None else self.settle(around, base)
        pan_w = sum(
            (
                pan_feed_heat_w(pan, state, air_temp_c=self.air_c)
                for pan, state in zip(self.setting.pans, settled, strict=True)
            ),
            start=np.zeros(()),
        )
        steam_kg_s = as_array(steam)
        return Flows(
            pans=settled,
            steam=steam_kg_s,
            spray=spray,
            meat=meat,
            room_in=as_array(dry_air * self.room_ratio),
            vented=as_array(vented),
            condensed=condensed,
            surface_c=surface_c,
            leakage_w=leakage,
            ventilation_w=as_array(ventilation),
            meat_w=as_array(meat_w),
            spray_w=as_array(spray_w),
            pan_w=as_array(pan_w),
            steam_w=as_array(steam_kg_s * self.from_liquid_j_kg(self.setting.feed_c)),
        )

    def most_steam_kg_s(self, vapour_pa: Array, flows: Flows) -> Array:
        """Return what boiler or bath can give: by its power, the power left over, and the bath's area."""
        left = np.minimum(
            as_array(self.cabinet.steam_power_w), as_array(self.cabinet.power_w) - flows.air_heat_w
        )
        by_power = np.maximum(np.minimum(left, 1e12), 0.0) / self.from_liquid_j_kg(self.setting.feed_c)
        if self.cabinet.bath_m2 is None or self.setting.vapour_temp_c is None:
            return as_array(by_power)
        bath_c = as_array(self.setting.vapour_temp_c)
        flux = stefan_flow_kg_m2_s(
            saturation_pressure_pa(bath_c),
            vapour_pa,
            film_temp_c=0.5 * (bath_c + self.air_c),
            pressure_pa=self.pressure_pa,
            convection_w_m2_k=pan_convection_w_m2_k(bath_c, self.pan_air(vapour_pa, flows.surface_c)),
        )
        return as_array(np.minimum(by_power, np.maximum(flux, 0.0) * as_array(self.cabinet.bath_m2)))

    def balanced_pa(self, *, exchange: Quantity | None = None) -> Array:
        """Return the vapour pressure without boiler or bath, Pa."""
        return bracketed_root(
            lambda pa: self.flows(pa, exchange=exchange).surplus, DRIEST_PA, self.ceiling_pa
        )

    def steamed_pa(self) -> Array:
        """Return the vapour pressure with boiler or bath giving all it can, Pa."""

        def surplus(vapour_pa: Array) -> Array:
            flows = self.flows(vapour_pa)
            return as_array(flows.surplus + self.most_steam_kg_s(vapour_pa, flows))

        return bracketed_root(surplus, DRIEST_PA, self.ceiling_pa)

    def dialled_pa(self) -> Array:
        """Return the vapour pressure the dial asks for, Pa."""
        if self.setting.vapour_temp_c is not None:
            require_below_boiling(self.setting.vapour_temp_c, pressure_pa=self.pressure_pa)
            asked = saturation_pressure_pa(as_array(self.setting.vapour_temp_c))
        else:
            assert self.setting.relative_humidity is not None
            asked = as_array(self.setting.relative_humidity) * saturation_pressure_pa(self.air_c)
        return as_array(np.minimum(asked, self.ceiling_pa))

    def controlled(self, vapour_pa: Array, lacking: Array, flows: Flows) -> tuple[Array, Array]:
        """Return steam, kg/s, and air exchange, per second, that a control adds where ``lacking`` kg/s are
        missing (negative: too much) at ``vapour_pa``; ``flows`` are those with vent and boiler shut.
        """
        steam = np.clip(lacking, 0.0, self.most_steam_kg_s(vapour_pa, flows))
        shut = self.closed_exchange
        removed = (flows.vented - flows.room_in) / shut
        with np.errstate(divide="ignore", invalid="ignore"):
            opened = np.where(removed > 0, np.maximum(-lacking, 0.0) / removed, 0.0)
        return as_array(steam), as_array(shut + np.minimum(opened, as_array(self.cabinet.vent_per_s)))

    def from_liquid_j_kg(self, liquid_c: Quantity) -> Array:
        """Heat that turns a kg of water at ``liquid_c`` into vapour as warm as the cabinet's air."""
        vapour = VAPOUR_ENTHALPY_AT_0_C_J_KG + VAPOUR_HEAT_J_KG_K * self.air_c
        return as_array(vapour - LIQUID_HEAT_J_KG_K * as_array(liquid_c))

    def _vapour_heat_j_kg(self, surface_c: Quantity) -> Array:
        wet_c = as_array(surface_c)
        return as_array(latent_heat_j_kg(wet_c) + VAPOUR_HEAT_J_KG_K * (self.air_c - wet_c))

    def _film_w_k(self, surface: Surface) -> Array:
        return as_array((self.lining_convection + LINING_RADIATION_W_M2_K) * as_array(surface.area_m2))

    def _meat_kg_s(self, vapour_pa: Array) -> Array:
        """Evaporation of the load: boundary layer and wrap in series, and what is given outright."""
        bare = stefan_flow_kg_m2_s(
            self.meat_pa,
            vapour_pa,
            film_temp_c=0.5 * (self.air_c + as_array(self.load.temp_c)),
            pressure_pa=self.pressure_pa,
            convection_w_m2_k=self.meat_convection,
        )
        through_wrap = as_array(self.load.permeance_kg_s_m2_pa) * np.maximum(
            np.abs(self.meat_pa - vapour_pa), 1e-9
        )
        with np.errstate(divide="ignore"):
            flux = bare / (1.0 + np.abs(bare) / through_wrap)
        return as_array(as_array(self.load.area_m2) * flux + as_array(self.load.given_kg_s))

    def _surfaces(self, vapour_pa: Array) -> tuple[tuple[Array, ...], tuple[Array, ...], Array]:
        """Condensation on each surface, its temperature, and all heat the air loses but by ventilation."""
        leakage = as_array(self.cabinet.heat_loss_w_k) * self.warmer_k
        condensed, temperatures = [], []
        for surface in self.cabinet.surfaces:
            if surface.offset_k is not None:
                wall_c = as_array(self.air_c + as_array(surface.offset_k))
                dew = as_array(surface.area_m2) * self._condensing_kg_m2_s(wall_c, vapour_pa)
            else:
                wall_c, dew, spared = self._wall(surface, vapour_pa)
                leakage = leakage - spared
            condensed.append(dew)
            temperatures.append(wall_c)
        return tuple(condensed), tuple(temperatures), as_array(leakage)

    def _wall(self, surface: Surface, vapour_pa: Array) -> tuple[Array, Array, Array]:
        """Temperature, dew in kg/s, and the heat in W that the dew spares the air.

        The wall is as warm as makes heat from air and dew equal the heat passed on to the room.
        """
        area, film = as_array(surface.area_m2), self._film_w_k(surface)
        loss, room_c = as_array(surface.loss_w_k), as_array(self.room.temp_c)
        outward = loss / (1.0 - loss / film)
        dry_c = self.air_c - loss * self.warmer_k / film
        wettest_c = np.maximum(dew_point_c(np.maximum(vapour_pa, DRIEST_PA)), dry_c)
        if (wettest_c == dry_c).all():
            return as_array(wettest_c), np.zeros_like(wettest_c), np.zeros_like(wettest_c)

        def needed_w(wall_c: Array) -> Array:
            return as_array(outward * (wall_c - room_c) - film * (self.air_c - wall_c))

        def surplus_w(wall_c: Array) -> Array:
            dew = area * self._condensing_kg_m2_s(wall_c, vapour_pa)
            return as_array(dew * latent_heat_j_kg(wall_c) - needed_w(wall_c))

        wall_c = bracketed_root(surplus_w, dry_c, wettest_c)
        dew_w = np.where(wall_c > dry_c, np.maximum(needed_w(wall_c), 0.0), 0.0)
        return wall_c, as_array(dew_w / latent_heat_j_kg(wall_c)), as_array(film * (wall_c - dry_c))

    def _condensing_kg_m2_s(self, wall_c: Array, vapour_pa: Array) -> Array:
        at_wall = np.minimum(saturation_pressure_pa(wall_c), vapour_pa)
        flow = stefan_flow_kg_m2_s(
            at_wall,
            vapour_pa,
            film_temp_c=0.5 * (wall_c + self.air_c),
            pressure_pa=self.pressure_pa,
            convection_w_m2_k=self.lining_convection,
        )
        return as_array(np.maximum(-flow, 0.0))

    def pan_air(self, vapour_pa: Array, surface_c: tuple[Array, ...]) -> PanAir:
        """Return the surroundings of a pan at ``vapour_pa``; walls as the mean of the surfaces by area."""
        areas = [as_array(surface.area_m2) for surface in self.cabinet.surfaces]
        walls_c = self.air_c
        if areas:
            seen = sum((area * wall for area, wall in zip(areas, surface_c, strict=True)), start=np.zeros(()))
            walls_c = as_array(seen / sum(areas, start=np.zeros(())))
        return PanAir(self.air_c, vapour_pa, walls_c, self.pressure_pa, self.cabinet.draught_m_s)

    def settle(
        self, around: PanAir, base_w: Array, *, warming: tuple[Warming, ...] | None = None
    ) -> tuple[SettledPan, ...]:
        """Settle the free and the heated pans; the one over the element last, as it pays for them all.

        ``warming``: one for each pan, for a step in time instead of rest.
        """
        pans = self.setting.pans
        steps = warming or (AT_REST,) * len(pans)
        free = {
            i: settled_pan(pan, around, warming=steps[i])
            for i, pan in enumerate(pans)
            if not pan.over_element
        }
        for i, state in free.items():
            drawn = pan_feed_heat_w(pans[i], state, air_temp_c=self.air_c)
            base_w = as_array(base_w + drawn - state.own_heat_w)
        power = self.cabinet.power_w
        return tuple(
            free[i]
            if i in free
            else settled_pan(pan, around, base_heat_w=base_w, power_w=power, warming=steps[i])
            for i, pan in enumerate(pans)
        )
