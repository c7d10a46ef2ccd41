"""A holder's air in figures that a script can read: what keeps a humidity, and what its pans give to it.

The Holding page cannot solve the balance of a cabinet, so the flows of `VapourBalance`, which the `hold`
command uses too, are laid out here over air temperature and humidity. `hold_data` writes them for the script.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.model import BookCard, Holder
from slowfolio.enrich.holds import MethodHolds
from slowfolio.forecast.hold_table import AIR_TEMPS_C, HoldTable
from slowfolio.forecast.holders import cabinet_of, inside_range_c, room_of
from slowfolio.physics.cabinet import Cabinet, Control, Load, PanFit, Room, Setting
from slowfolio.physics.cabinet_balance import DRIEST_PA, VapourBalance
from slowfolio.physics.cabinet_reach import pans_of_area, reach
from slowfolio.physics.humid_air import boiling_point_c, saturation_pressure_pa
from slowfolio.physics.pan import refill_interval_s

Array = NDArray[np.float64]
Plane = tuple[tuple[float, ...], ...]
Block = tuple[Plane, ...]

AIR_STEPS, PAN_AIR_STEPS, GIVEN_STEPS, DRY_WALL_STEPS, WET_WALL_STEPS = 16, 5, 5, 8, 5
"""Choices: places of the grids; the script goes straight between them. Tested to stay within 1 %."""

GIVEN_LIMITS_KG_H = (0.03, 0.06, 0.12, 0.25, 0.5, 1.0, 2.0)
"""Ends the grids may have, so that a small change of a card does not change them."""

SHORTEST_H = 0.5
KG_H = 3600.0
SLIGHTEST_PAN = 1e-4


@dataclass(frozen=True, slots=True)
class PanGrid:
    """What the pans give, nested as [air temperature][given by the meat][humidity][area].

    `humidities[air]` are its steps. `areas_m2` are those of all pans together, from next to nothing to the
    most that fit; `single_m2` is the largest that stands as one. `given_kg_h` is their evaporation; `water_c`
    is of the first pan, `refills_h` how often an hour the one that runs low first wants filling.
    """

    air_temps_c: tuple[float, ...]
    areas_m2: tuple[float, ...]
    single_m2: float
    humidities: Plane
    given_kg_h: tuple[Block, ...]
    water_c: tuple[Block, ...]
    refills_h: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class HolderGrid:
    """The air of one holder in the book's room, by air temperature.

    `humidities[air]` are fractions from dry to saturated, `needed_kg_h[air]` the water an hour that keeps
    them: the first stretch ends where the walls begin to run. `most[air][given]` is the highest humidity of a
    holder with a dial, `spare_w[air][given]` its power then left over, empty where it always suffices.
    """

    holder: str
    air_temps_c: tuple[float, ...]
    given_kg_h: tuple[float, ...]
    boiling_c: float
    humidities: Plane
    needed_kg_h: Plane
    most: Plane
    spare_w: Plane
    pans: PanGrid | None


def most_given_kg_h(tables: tuple[HoldTable, ...]) -> float:
    """The end of the grids: no piece of the book gives off more in any hold that the page offers."""
    most = max((most_given_by(table) for table in tables), default=0.0)
    return next((limit for limit in GIVEN_LIMITS_KG_H if limit >= most), most)


def most_given_by(table: HoldTable) -> float:
    """The largest mean flow from the piece over any number of hours, kg/h."""
    hours = np.maximum(np.asarray(table.hours), SHORTEST_H)
    courses = zip(table.values["loss"], table.tight, strict=True)
    lost = [np.asarray(by_air)[..., 1] for by_air, tight in courses if not tight]
    return max((float((each * table.weight_in_kg / hours).max()) for each in lost), default=0.0)


def air_steps_c(holder: Holder, steps: int = AIR_STEPS) -> tuple[float, ...]:
    """Even steps over the air temperatures of the hold tables that the holder can be brought to."""
    coolest_c, warmest_c = inside_range_c(holder)
    low = min(max(AIR_TEMPS_C[0], coolest_c), AIR_TEMPS_C[-1])
    high = max(min(AIR_TEMPS_C[-1], warmest_c), AIR_TEMPS_C[0])
    if high - low < 0.1:
        return (low,)
    return tuple(float(temp) for temp in np.linspace(low, high, steps))


def holder_grids(
    holders: tuple[Holder, ...], card: BookCard, held: tuple[MethodHolds, ...]
) -> dict[str, HolderGrid]:
    """The grids of all heated holders for the pieces of a book."""
    most = most_given_kg_h(tuple(each.table for each in held))
    return {
        holder.id: holder_grid(holder, card, most_kg_h=most) for holder in holders if holder.heated and held
    }


def holder_grid(holder: Holder, card: BookCard, *, most_kg_h: float) -> HolderGrid:
    """Lay out one holder's air in the book's room."""
    cabinet, room = cabinet_of(holder), room_of(card)
    airs = np.asarray(air_steps_c(holder))
    given = most_kg_h * np.linspace(0.0, 1.0, GIVEN_STEPS) ** 2 if most_kg_h > 0 else np.zeros(1)
    humidities, needed = needed_water(cabinet, airs, room)
    dialled = cabinet.control in (Control.VAPOUR_TEMPERATURE, Control.PER_CENT)
    most, spare = dial_ends(cabinet, airs, given, room) if dialled else (np.zeros((0, 0)), np.zeros((0, 0)))
    pan_airs = np.asarray(air_steps_c(holder, PAN_AIR_STEPS))
    fit = cabinet.pans if cabinet.control is Control.PAN else None
    return HolderGrid(
        holder=holder.id,
        air_temps_c=tuple(round(float(air), 4) for air in airs),
        given_kg_h=tuple(float(flow) for flow in given),
        boiling_c=round(float(boiling_point_c(float(np.asarray(room.pressure_pa)))), 3),
        humidities=plane(humidities, 5),
        needed_kg_h=plane(needed, 6),
        most=plane(most, 4),
        spare_w=() if (spare >= 0).all() else plane(spare, 0),
        pans=None if fit is None else pan_grid(cabinet, fit, pan_airs, given, room),
    )


def needed_water(cabinet: Cabinet, airs: Array, room: Room) -> tuple[Array, Array]:
    """Humidities and the water that keeps them, both (air temperatures, steps)."""
    air = airs[:, None]
    balance = VapourBalance(cabinet, dial_free(cabinet, air), room=room, load=Load())
    vapour = vapour_steps_pa(balance, air, dry_steps=1)
    return vapour / saturation_pressure_pa(air), -balance.flows(vapour).surplus * KG_H


def vapour_steps_pa(balance: VapourBalance, air: Array, *, dry_steps: int) -> Array:
    """Vapour pressures from dry to saturated, (air temperatures, steps), one of them where the walls begin
    to run: there the flows bend."""
    full = saturation_pressure_pa(air)
    dry_walls = balance.flows(np.full_like(air, DRIEST_PA)).surface_c
    coldest = np.min([np.broadcast_to(wall, air.shape) for wall in dry_walls] or [air], axis=0)
    runs = np.minimum(saturation_pressure_pa(np.minimum(coldest, air)), full)
    below = np.linspace(0.0, 1.0, dry_steps, endpoint=False)[None, :]
    above = np.linspace(0.0, 1.0, WET_WALL_STEPS)[None, :] ** 2
    return np.concatenate([DRIEST_PA + below * (runs - DRIEST_PA), runs + above * (full - runs)], axis=1)


def dial_free(cabinet: Cabinet, air: Array) -> Setting:
    """A setting that fits the holder; what the dial says does not enter the flows."""
    if cabinet.control is Control.VAPOUR_TEMPERATURE:
        return Setting(air, vapour_temp_c=20.0)
    if cabinet.control is Control.PER_CENT:
        return Setting(air, relative_humidity=0.5)
    return Setting(air)


def dial_ends(cabinet: Cabinet, airs: Array, given: Array, room: Room) -> tuple[Array, Array]:
    """Highest humidity and the power left at it, both (air temperatures, given)."""
    load = Load(given_kg_s=given[None, :] / KG_H)
    best = reach(cabinet, air_temp_c=airs[:, None], room=room, load=load).highest
    shape = (airs.size, given.size)
    spare = np.nan_to_num(best.heat_w.spare, posinf=1e9)
    return np.broadcast_to(best.relative_humidity, shape), np.broadcast_to(spare, shape)


def pan_grid(cabinet: Cabinet, fit: PanFit, airs: Array, given: Array, room: Room) -> PanGrid:
    """What pans of every area give off in air of every humidity."""
    air, meat = airs[:, None, None, None], given[None, :, None, None]
    no_pans = VapourBalance(cabinet, Setting(airs[:, None]), room=room, load=Load())
    steps = vapour_steps_pa(no_pans, airs[:, None], dry_steps=DRY_WALL_STEPS)
    vapour = steps[:, None, :, None]
    areas = pan_areas_m2(fit)
    pans = pans_of_area(fit, areas[None, None, None, :], volume_m3=cabinet.volume_m3)
    setting, load = Setting(air, pans=pans), Load(given_kg_s=meat / KG_H)
    settled = VapourBalance(cabinet, setting, room=room, load=load).flows(vapour).pans
    shape = (airs.size, given.size, steps.shape[1], areas.size)
    evaporated = sum((pan.evaporation_kg_s for pan in settled), start=np.zeros(()))
    refills = np.zeros(shape)
    for pan, state in zip(pans, settled, strict=True):
        refills = np.maximum(refills, KG_H / refill_interval_s(pan, state.evaporation_kg_s))
    return PanGrid(
        air_temps_c=tuple(round(float(step), 4) for step in airs),
        areas_m2=tuple(round(float(area), 6) for area in areas),
        single_m2=fit.single_m2,
        humidities=plane(steps / saturation_pressure_pa(airs[:, None]), 5),
        given_kg_h=blocks(np.broadcast_to(evaporated * KG_H, shape), 6),
        water_c=blocks(np.broadcast_to(settled[0].water_c, shape), 1),
        refills_h=blocks(refills, 5),
    )


def pan_areas_m2(fit: PanFit) -> Array:
    """The areas of the grid. A pan that stands free gives in proportion to its area, one over the element
    does not."""
    half = 0.5 * (fit.single_m2 + fit.largest_m2)
    ends = np.asarray([SLIGHTEST_PAN * fit.largest_m2, fit.single_m2, half, fit.largest_m2])
    between = np.linspace(0.0, 1.0, 7)[1:-1] ** 1.5 * fit.single_m2
    return np.unique(np.concatenate([ends, between]) if fit.over_element else ends)


def plane(values: Array, digits: int) -> Plane:
    """Nested tuples of rounded numbers."""
    return tuple(tuple(round(float(value), digits) for value in row) for row in values)


def blocks(values: Array, digits: int) -> tuple[Block, ...]:
    """Four levels of nested tuples of rounded numbers."""
    return tuple(tuple(plane(inner, digits) for inner in block) for block in values)
