"""A method card and the cards it refers to, as the joint and the schedule the cook engine runs.

This is the one place where cards meet physics: which parameter of which card becomes which input, and what is
assumed where a card is silent. It computes nothing itself; `run` hands the inputs to the engine.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from slowfolio.book import model as cards
from slowfolio.physics.box import BoxedMeat, HotWater, InsulatedBox, boxed_hold
from slowfolio.physics.humid_air import (
    atmospheric_pressure_pa,
    boiling_point_c,
    saturation_pressure_pa,
    vapour_pressure_from_relative_humidity_pa,
)
from slowfolio.physics.joint import INNER_LANE_SHARE, CutShape, Joint, build_joint
from slowfolio.physics.meat import Composition, FatKind, density_kg_m3
from slowfolio.physics.pit import PitModel
from slowfolio.physics.schedule import (
    DoorOpening,
    FatSide,
    Schedule,
    Spritz,
    Stage,
    StageKind,
    Until,
    until_core,
    until_core_falls,
    until_tender,
    until_time,
)
from slowfolio.physics.wraps import BARE_EMISSIVITY, TRAY_SIDE_PERMEANCE, FaceCover, WrapModel
from slowfolio.units import Range

FAT_OF_SPECIES = {
    "beef": FatKind.BEEF,
    "pork": FatKind.PORK,
    "lamb": FatKind.LAMB,
    "turkey": FatKind.POULTRY,
    "chicken": FatKind.POULTRY,
}
TENDER_CONVERSION = 0.40
"""Collagen conversion at which a probe slides in; CALIBRATED, see `slowfolio.physics.kinetics`."""

PROFILE_STATIONS = 9
EDGE_RATIO = 0.8
"""Thickness of the outer strips over the middle. CALIBRATED: trimmed edges are rounded, not feathered; what
the taped box holds more than the piece weighs is put down to a rounded outline instead."""

ROOM_DRAUGHT_M_S = 0.15
"""Air speed in a still kitchen, below the 0.2 m/s of ISO 7730 for sedentary comfort (MEMORY)."""

TRAY = "tray"
"""The kind of wrap card whose sides are folded up and leave a rim to the air, as `wraps.foil_boat` has it."""

AUTO_HUMIDITY = 0.50
"""What `humidity: auto` aims at where the holder can set it. Common practice, no source."""

BOX_LITRES, BOX_WATER_C = 4.0, 77.0
BOX_SKIN_DROP_K = 12.0
"""Two large bottles of hot water where a card names none, and how far the vented skin lies below the core
(CALIBRATED)."""

LEFT_IN_BOX, CORE_INTO_BOX_C = 0.62, 85.0
"""Part of the raw weight that goes into an unheated box, and its core where no vent says so (CALIBRATED)."""

LONGEST_STAGE_S, LONGEST_VENT_S = 24 * 3600.0, 6 * 3600.0
"""Where a card gives no `at_most`: longer than any cook or rest. CALIBRATED, only ends a hopeless stage."""

PROBING_BELOW_BOILING_K = 4.0
"""Moist meat nears the boiling point only slowly, so a cook at altitude probes from below it (CALIBRATED)."""

RECOVERY_TIME_CONSTANTS = 3.0
"""A pit counts as recovered when 95 % of the dip is gone: three time constants of a first-order lag."""

PERCENTILE_90 = 1.2816
"""Standard deviations from the median to the 90th percentile of a normal distribution."""

PIECE_AREA_FOR_SPRITZ_M2 = 0.12
"""Upper face of a packer; turns the card's sprayed volume into kg/m². Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a cook states in place of the card: piece, pit, altitude, start. None keeps the card's own."""

    weight_kg: float | None = None
    thickness_m: float | None = None
    start_temp_c: float | None = None
    pit: str | None = None
    altitude_m: float | None = None


AS_WRITTEN = Conditions()


def joint_of(method: cards.Method, book: cards.Book, conditions: Conditions = AS_WRITTEN) -> Joint:
    """The raw piece on its grid: the middle of the card's weight and thickness unless `conditions` says
    otherwise; a card's thickness grows with a stated weight as all lengths do.
    """
    usual_kg = middle(method.piece.weight_kg)
    weight_kg = usual_kg if conditions.weight_kg is None else conditions.weight_kg
    thickness_m = conditions.thickness_m
    if thickness_m is None and method.piece.thickness_m is not None:
        thickness_m = middle(method.piece.thickness_m) * (weight_kg / usual_kg) ** (1.0 / 3.0)
    return build_joint(shape_of(book.cuts[method.cut]), weight_kg, thickness_m)


def schedule_of(method: cards.Method, book: cards.Book, conditions: Conditions = AS_WRITTEN) -> Schedule:
    """The stages, the vent and the hold, in the surroundings the cards describe."""
    altitude_m = book.card.altitude_m if conditions.altitude_m is None else conditions.altitude_m
    pressure_pa = atmospheric_pressure_pa(altitude_m)
    stages = [cook_stage(stage, method, book, conditions, pressure_pa) for stage in method.stages]
    if method.vent is not None:
        stages.append(vent_stage(method.vent, book))
    if method.hold is not None:
        stages.append(hold_stage(method.hold, method, book, pressure_pa, joint_of(method, book, conditions)))
    start_temp_c = method.piece.start_temp_c if conditions.start_temp_c is None else conditions.start_temp_c
    return Schedule(
        stages=tuple(stages),
        start_temp_c=start_temp_c,
        pressure_pa=pressure_pa,
        room_temp_c=book.card.room_temp_c,
    )


# --- the piece --------------------------------------------------------------------------------------


def shape_of(cut: cards.Cut) -> CutShape:
    """The form of a cut, free of its weight; at the typical weight its thickness is that on the card."""
    thickest_m = max(region.thickness_m for region in cut.regions)
    thin, thick = cut.regions[0], cut.regions[-1]
    profile = thickness_profile(cut.regions)
    inwards = outline_factor(cut, thickest_m, sum(profile) / len(profile))
    return CutShape(
        name=cut.title,
        length_ratio=inwards * cut.length_m.value / thickest_m,
        width_ratio=inwards * cut.width_m.value / thickest_m,
        thickness_profile=profile,
        edge_ratio=EDGE_RATIO,
        thin_part=composition_of(thin.composition),
        thick_part=composition_of(thick.composition),
        thick_from=1.0 - thick.share_of_length if len(cut.regions) > 1 else 1.0,
        fat_cap_thickness_m=cut.fat_cap.thickness_m,
        fat_cap_cover=cut.fat_cap.cover,
        fat=FAT_OF_SPECIES.get(cut.species, FatKind.BEEF),
        bone_fraction=cut.bone_fraction.value,
        collagen_factor=cut.collagen_rate.value,
        tender_conversion=TENDER_CONVERSION if cut.tender_by_collagen else 0.0,
    )


def thickness_profile(regions: tuple[cards.Region, ...]) -> tuple[float, ...]:
    """Relative thickness at even stations, sloping from the middle of one region to that of the next."""
    thickest_m = max(region.thickness_m for region in regions)
    middles: list[float] = []
    start = 0.0
    for region in regions:
        middles.append(start + region.share_of_length / 2)
        start += region.share_of_length
    stations = (number / (PROFILE_STATIONS - 1) for number in range(PROFILE_STATIONS))
    thicknesses = [region.thickness_m for region in regions]
    return tuple(sloping(station, middles, thicknesses) / thickest_m for station in stations)


def sloping(station: float, places: list[float], values: list[float]) -> float:
    """Linear between `places`, level beyond the first and the last."""
    for left, right, low, high in zip(places, places[1:], values, values[1:], strict=False):
        if left <= station <= right:
            return low + (high - low) * (station - left) / (right - left)
    return values[0] if station < places[0] else values[-1]


def outline_factor(cut: cards.Cut, thickest_m: float, mean_profile: float) -> float:
    """How far length and width shrink from a taped box to the rectangle of the same weight and thickness."""
    mean_edge = INNER_LANE_SHARE + (1.0 - INNER_LANE_SHARE) * EDGE_RATIO
    box_m3 = cut.length_m.value * cut.width_m.value * thickest_m * mean_profile * mean_edge
    density = density_kg_m3(composition_of(cut.regions[0].composition))
    return math.sqrt(cut.typical_weight_kg / (density * box_m3))


def composition_of(card: cards.Composition) -> Composition:
    """A card's make-up as the engine's."""
    return Composition(water=card.water, protein=card.protein, fat=card.fat, ash=card.ash)


# --- surroundings -----------------------------------------------------------------------------------


def pit_model(pit: cards.Pit) -> PitModel:
    """A pit as the meat feels it, with the dew point of its air in the middle of the card's range."""
    low_pa, high_pa = (saturation_pressure_pa(value) for value in bounds(pit.dew_point_c.value))
    sides_k = 0.5 * (pit.radiant_above_k.value + pit.radiant_below_k.value)
    return PitModel(
        name=pit.title,
        draught_m_s=pit.draught_m_s.value,
        upper_wall_offset_k=pit.radiant_above_k.value,
        lower_wall_offset_k=pit.radiant_below_k.value,
        flank_wall_offset_k=sides_k,
        vapour_pressure_pa=math.sqrt(low_pa * high_pa),
        humidity_spread=max(0.02, math.log(high_pa / low_pa) / (2 * PERCENTILE_90)),
        response_s=max(1.0, pit.recovery_s.value / RECOVERY_TIME_CONSTANTS),
        drift_sd_k=pit.drift_k.value,
        smoke=pit.smoke.value,
    )


def air_offset_k(equipment: cards.Pit | cards.Holder) -> float:
    """How much warmer the air is than the dial, as recorded cooks have shown; 0 where none have."""
    return 0.0 if equipment.air_offset_k is None else equipment.air_offset_k.value


def pan_vapour_pa(pit: cards.Pit) -> float:
    """Vapour pressure a full water pan adds to the pit's air, 0 where the pit takes none."""
    if pit.water_pan_dew_point_c is None:
        return 0.0
    low_pa, high_pa = (saturation_pressure_pa(value) for value in bounds(pit.water_pan_dew_point_c.value))
    return max(0.0, math.sqrt(low_pa * high_pa) - pit_model(pit).vapour_pressure_pa)


def room_model(card: cards.BookCard) -> PitModel:
    """The kitchen's own air, in which a piece is vented."""
    vapour_pa = vapour_pressure_from_relative_humidity_pa(card.room_humidity, card.room_temp_c)
    return PitModel(name="room", draught_m_s=ROOM_DRAUGHT_M_S, vapour_pressure_pa=vapour_pa, drift_sd_k=1.5)


def holder_model(holder: cards.Holder, vapour_pressure_pa: float) -> PitModel:
    """A holder as the meat feels it, at a vapour pressure that is already known."""
    return PitModel(
        name=holder.title,
        draught_m_s=holder.draught_m_s.value,
        upper_wall_offset_k=holder.wall_offset_k.value,
        lower_wall_offset_k=holder.wall_offset_k.value,
        flank_wall_offset_k=holder.wall_offset_k.value,
        vapour_pressure_pa=vapour_pressure_pa,
        drift_sd_k=holder.drift_k.value,
        humidity_spread=0.10,
    )


def wrap_model(wrap: cards.Wrap) -> WrapModel:
    """A wrap's faces; the sides follow the face that is covered, but an open tray breathes at its rim."""
    keeps_juice = wrap.keeps_juice.value >= 0.5
    upper, lower = face_cover(wrap.top, keeps_juice), face_cover(wrap.bottom, keeps_juice)
    flank = upper if wrap.bottom.permeance_kg_s_m2_pa is None else lower
    if wrap.kind == TRAY:
        flank = replace(lower, permeance_kg_s_m2_pa=TRAY_SIDE_PERMEANCE)
    return WrapModel(name=wrap.title, upper=upper, lower=lower, flank=flank)


def face_cover(face: cards.WrapFace, keeps_juice: bool) -> FaceCover:
    """One face of a wrap; a bare face keeps nothing and radiates like bark."""
    if face.permeance_kg_s_m2_pa is None:
        return FaceCover(emissivity=BARE_EMISSIVITY)
    return FaceCover(
        permeance_kg_s_m2_pa=face.permeance_kg_s_m2_pa.value,
        emissivity=face.emissivity.value,
        gap_w_m2_k=math.inf if face.contact_w_m2_k is None else face.contact_w_m2_k.value,
        retains_juice=keeps_juice,
    )


# --- stages -----------------------------------------------------------------------------------------


def cook_stage(
    stage: cards.Stage, method: cards.Method, book: cards.Book, conditions: Conditions, pressure_pa: float
) -> Stage:
    """One stage on the pit, with the wrap, the water pan and the openings the card asks for."""
    pit = book.pits[stage.pit or conditions.pit or method.pit]
    environment = pit_model(pit)
    pan_pa = pan_vapour_pa(pit) if stage.water_pan else 0.0
    return Stage(
        name=stage.name,
        pit_temp_c=stage.pit_temp_c + air_offset_k(pit),
        until=until_of(stage.until, pressure_pa),
        environment=environment,
        wrap=wrap_model(book.wraps[stage.wrap]),
        fat_side=FatSide(stage.fat_side),
        water_pan_vapour_pa=min(pan_pa, 0.9 * pressure_pa - environment.vapour_pressure_pa),
        spritz=spritz_of(stage.spritz),
        doors=door_openings(stage),
    )


def until_of(until: cards.Until, pressure_pa: float) -> Until:
    """The condition that ends a stage on the pit.

    Where water boils lower, a cook starts probing lower: at most `PROBING_BELOW_BOILING_K` under boiling.
    """
    if until.time_s is not None:
        return until_time(until.time_s)
    longest_s = LONGEST_STAGE_S if until.at_most_s is None else until.at_most_s
    shortest_s = until.at_least_s or 0.0
    if until.core_temp_c is not None:
        return until_core(until.core_temp_c, at_most_s=longest_s, at_least_s=shortest_s)
    from_c = until.probe_tender_from_c
    if from_c is not None:
        from_c = min(from_c, boiling_point_c(pressure_pa) - PROBING_BELOW_BOILING_K)
    return until_tender(at_most_s=longest_s, at_least_s=shortest_s, from_c=from_c)


def spritz_of(spritz: cards.Spritz | None) -> Spritz | None:
    """A light spray, its volume spread over the upper face of a packer."""
    if spritz is None:
        return None
    return Spritz(
        every_s=spritz.every_s,
        first_s=spritz.after_s,
        mass_kg_m2=1000.0 * spritz.amount_m3 / PIECE_AREA_FOR_SPRITZ_M2,
    )


def door_openings(stage: cards.Stage) -> tuple[DoorOpening, ...]:
    """The pit is opened for a look on the card's schedule."""
    if stage.open_every_s is None:
        return ()
    return (DoorOpening(first_s=stage.open_every_s, every_s=stage.open_every_s),)


def vent_stage(vent: cards.Vent, book: cards.Book) -> Stage:
    """The rest in the room, until a time has passed or the core has fallen."""
    until = vent.until
    longest_s = LONGEST_VENT_S if until.at_most_s is None else until.at_most_s
    return Stage(
        name="Vent",
        kind=StageKind.VENT,
        pit_temp_c=book.card.room_temp_c,
        until=until_time(until.time_s)
        if until.time_s is not None
        else until_core_falls(until.core_temp_c or 0.0, at_most_s=longest_s),
        environment=room_model(book.card),
        wrap=wrap_model(book.wraps[vent.wrap]),
    )


def hold_stage(
    hold: cards.Hold, method: cards.Method, book: cards.Book, pressure_pa: float, joint: Joint
) -> Stage:
    """The hold for as long as the card asks; the air of a holder without heat cools over it."""
    holder = book.holders[hold.holder]
    vapour_pa = hold_vapour_pa(hold, holder, book.card)
    stage = Stage(
        name="Hold",
        kind=StageKind.HOLD,
        pit_temp_c=hold.air_temp_c + air_offset_k(holder),
        until=until_time(hold.for_s),
        environment=holder_model(holder, min(vapour_pa, 0.9 * pressure_pa)),
        wrap=wrap_model(book.wraps[hold.wrap]),
    )
    if holder.heated:
        return stage
    start_c, end_c = cooling_air_c(hold, method, holder, book.card, joint)
    moist_pa = vapour_pressure_from_relative_humidity_pa(AUTO_HUMIDITY, end_c)
    return replace(
        stage,
        ramp_from_c=start_c,
        pit_temp_c=end_c,
        ramp_s=hold.for_s,
        environment=holder_model(holder, min(vapour_pa, moist_pa)),
    )


def cooling_air_c(
    hold: cards.Hold, method: cards.Method, holder: cards.Holder, card: cards.BookCard, joint: Joint
) -> tuple[float, float]:
    """The air of a box with its hot water at the start and the end of the hold: a straight line through its
    course."""
    vented_c = None if method.vent is None else method.vent.until.core_temp_c
    core_c = CORE_INTO_BOX_C if vented_c is None else vented_c
    water = hot_water_of(holder)
    course = boxed_hold(
        box_of(holder),
        BoxedMeat(
            mass_kg=LEFT_IN_BOX * joint.weight_kg,
            thickness_m=joint.thickness_m,
            core_c=core_c,
            skin_c=core_c - BOX_SKIN_DROP_K,
        ),
        water,
        room_c=card.room_temp_c,
        lining_c=water.temp_c,
    )
    times_s = np.linspace(0.0, hold.for_s, 50)
    slope, start_c = np.polyfit(times_s, np.interp(times_s, course.time_s, course.air_c), 1)
    return float(start_c), float(start_c + slope * hold.for_s)


def box_of(holder: cards.Holder) -> InsulatedBox:
    """A holder without heat."""
    return InsulatedBox(
        volume_m3=holder.volume_m3.value,
        heat_loss_w_k=holder.heat_loss_w_k.value,
        air_exchange_per_s=holder.air_exchange_per_s.value,
    )


def hot_water_of(holder: cards.Holder) -> HotWater:
    """The bottles that go into a holder without heat, as its card has them."""
    litres = BOX_LITRES if holder.hot_water_m3 is None else 1000.0 * holder.hot_water_m3.value
    temp_c = BOX_WATER_C if holder.hot_water_c is None else holder.hot_water_c.value
    return HotWater(litres=litres, temp_c=temp_c)


def hold_vapour_pa(hold: cards.Hold, holder: cards.Holder, card: cards.BookCard) -> float:
    """Vapour pressure in the holder: what is set, or the room's where nothing can be set."""
    if hold.relative_humidity is not None:
        return vapour_pressure_from_relative_humidity_pa(hold.relative_humidity, hold.air_temp_c)
    if holder.humidity_by in {"vapour temperature", "per cent", "pan", "sealed"}:
        return vapour_pressure_from_relative_humidity_pa(AUTO_HUMIDITY, hold.air_temp_c)
    return vapour_pressure_from_relative_humidity_pa(card.room_humidity, card.room_temp_c)


def middle(span: Range) -> float:
    """The middle of a range."""
    return 0.5 * (span.low + span.high)


def bounds(span: Range) -> tuple[float, float]:
    """Both ends of a range."""
    return span.low, span.high
