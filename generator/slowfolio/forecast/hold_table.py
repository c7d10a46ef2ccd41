"""What holding does to a method's piece: loss, crust, temperatures and tenderness by air, humidity and hours.

The engine holds the same cooked joints side by side in every combination of a few air temperatures and
humidities, open and tightly wrapped; anything between is interpolated. The command line and the site's pages
read the same table, so they say the same. Called by `enrich`.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from slowfolio.book import model as cards
from slowfolio.forecast.inputs import (
    AS_WRITTEN,
    ROOM_DRAUGHT_M_S,
    Conditions,
    joint_of,
    schedule_of,
    wrap_model,
)
from slowfolio.physics.cook import side_by_side, simulate
from slowfolio.physics.ensemble import sample_members
from slowfolio.physics.humid_air import vapour_pressure_from_relative_humidity_pa
from slowfolio.physics.outcomes import CRISPNESS_SCALE, tenderness_of
from slowfolio.physics.pit import PitModel
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import Stage, StageKind, until_time
from slowfolio.physics.wraps import WrapModel

Array = NDArray[np.float64]

AIR_TEMPS_C = (60.0, 70.0, 85.0)
HUMIDITIES = (0.02, 0.20, 0.45, 0.70, 0.90)
LONGEST_H = 16
HELD_MEMBERS = 12
HOLD_STEP_S = 120.0
"""Choices: the corners of the table, linear between them, and a step that changes no score by a point."""

QUANTITIES = ("loss", "core_c", "coldest_c", "tenderness", "collagen", "water_activity")
PERCENTILES = (10.0, 50.0, 90.0)


@dataclass(frozen=True, slots=True)
class HoldTable:
    """Courses of a hold at the corners, in hours from when the piece goes in.

    `values[quantity]` is nested as [wrap][air temperature][humidity][hour][P10, P50, P90]; a steam-tight wrap
    has one humidity, for it does not feel the air's. `loss` is a fraction of the weight that went in,
    `tenderness` is a score, temperatures are degC. Crispness bends too sharply with the water activity of the
    crust to be read between corners: it follows from the activity by `crispness_scale` (activities, scores).
    """

    method: str
    engine: str
    members: int
    wraps: tuple[str, ...]
    tight: tuple[bool, ...]
    air_temps_c: tuple[float, ...]
    humidities: tuple[float, ...]
    hours: tuple[float, ...]
    weight_in_kg: float
    thickness_m: float
    core_in_c: float
    crispness_scale: tuple[tuple[float, ...], tuple[float, ...]]
    values: dict[str, list[list[list[list[list[float]]]]]]


@dataclass(frozen=True, slots=True)
class Corners:
    """Which wraps and air temperatures, degC, a table has; every one of its humidities is there."""

    wraps: tuple[str, ...]
    air_temps_c: tuple[float, ...]


def all_corners(method: cards.Method, book: cards.Book) -> Corners:
    """Every way to hold that a page or a command may ask for."""
    return Corners(hold_wraps(method, book), AIR_TEMPS_C)


def own_corners(method: cards.Method) -> Corners:
    """The card's own wrap, at the air temperatures its own is read between."""
    assert method.hold is not None
    low, high, _ = bracket(AIR_TEMPS_C, method.hold.air_temp_c)
    return Corners((method.hold.wrap,), AIR_TEMPS_C[low : high + 1])


def hold_wraps(method: cards.Method, book: cards.Book) -> tuple[str, ...]:
    """The card's own open way to hold, and a steam-tight one: ids of wrap cards, open first."""
    assert method.hold is not None
    own = book.wraps[method.hold.wrap]
    tight = next((wrap.id for wrap in book.wraps.values() if wrap.steam_tight and wrap.kind == "foil"), None)
    if not own.steam_tight:
        return (own.id,) if tight is None else (own.id, tight)
    bare = next((wrap.id for wrap in book.wraps.values() if wrap.kind == "none"), None)
    return (own.id,) if bare is None else (bare, own.id)


def hold_table(
    method: cards.Method,
    book: cards.Book,
    *,
    members: int,
    seed: int,
    conditions: Conditions = AS_WRITTEN,
    corners: Corners | None = None,
) -> HoldTable:
    """Cook and vent the method's piece, then hold it in every corner of the table, or in those given.

    Raises PhysicsInputError where the cards describe something no kitchen can have.
    """
    joint = joint_of(method, book, conditions)
    whole = schedule_of(method, book, conditions)
    before_hold = tuple(stage for stage in whole.stages if stage.kind is not StageKind.HOLD)
    cooked = simulate(joint, replace(whole, stages=before_hold), sample_members(members, seed))
    wanted = corners or all_corners(method, book)
    wraps = wanted.wraps
    tight = tuple(book.wraps[name].steam_tight for name in wraps)
    chosen = np.unique(np.linspace(0, members - 1, min(HELD_MEMBERS, members)).astype(np.int64))
    places = [
        (name, air_c, humidity)
        for name, is_tight in zip(wraps, tight, strict=True)
        for air_c in wanted.air_temps_c
        for humidity in (HUMIDITIES[:1] if is_tight else HUMIDITIES)
    ]
    stages = tuple(
        corner_stage(wrap_model(book.wraps[name]), air_c, humidity, whole.pressure_pa)
        for name, air_c, humidity in places
    )
    held = side_by_side(cooked, stages, chosen, step_s=HOLD_STEP_S)
    courses = [course(held, index, chosen.size) for index in range(len(stages))]
    flat = {name: [one[name] for one in courses] for name in QUANTITIES}
    return HoldTable(
        method=method.id,
        engine=held.engine_version,
        members=chosen.size,
        wraps=wraps,
        tight=tight,
        air_temps_c=wanted.air_temps_c,
        humidities=HUMIDITIES,
        hours=tuple(float(hour) for hour in range(LONGEST_H + 1)),
        weight_in_kg=float(np.median(cooked.ends.mass_kg[-1])),
        thickness_m=joint.thickness_m,
        core_in_c=float(np.median(cooked.ends.core_c[-1])),
        crispness_scale=CRISPNESS_SCALE,
        values={name: nested(flat[name], tight, len(wanted.air_temps_c)) for name in QUANTITIES},
    )


def corner_stage(wrap: WrapModel, air_c: float, humidity: float, pressure_pa: float) -> Stage:
    """A hold of the longest time in still air of a given humidity."""
    vapour_pa = min(vapour_pressure_from_relative_humidity_pa(humidity, air_c), 0.9 * pressure_pa)
    still = PitModel(
        name="holder",
        draught_m_s=ROOM_DRAUGHT_M_S,
        vapour_pressure_pa=vapour_pa,
        drift_sd_k=1.0,
        humidity_spread=0.05,
    )
    return Stage(
        name="Hold",
        kind=StageKind.HOLD,
        pit_temp_c=air_c,
        until=until_time(LONGEST_H * 3600.0),
        environment=still,
        wrap=wrap,
    )


def course(held: CookResult, index: int, count: int) -> dict[str, list[list[float]]]:
    """Percentiles by the hour of one corner."""
    line, these = held.timeline, slice(index * count, (index + 1) * count)
    at = [int(np.argmin(np.abs(line.time_h - hour))) for hour in range(LONGEST_H + 1)]
    mass = line.mass_kg[at, these]
    soft = held.joint.shape.tender_conversion or 0.40
    activity = line.crust_water_activity[at, these]
    collagen = line.collagen[at, these]
    series = {
        "loss": 1.0 - mass / mass[0],
        "core_c": line.core_c[at, these],
        "coldest_c": line.coldest_c[at, these],
        "tenderness": tenderness_of(collagen, soft),
        "collagen": collagen,
        "water_activity": activity,
    }
    digits = {"loss": 5, "collagen": 4, "water_activity": 4}
    return {
        name: np.round(np.percentile(values, PERCENTILES, axis=1).T, digits.get(name, 2)).tolist()
        for name, values in series.items()
    }


def nested(
    courses: list[list[list[float]]], tight: tuple[bool, ...], temps: int
) -> list[list[list[list[list[float]]]]]:
    """The flat list of corners as [wrap][air temperature][humidity]."""
    rest = iter(courses)
    return [
        [[next(rest) for _ in range(1 if is_tight else len(HUMIDITIES))] for _ in range(temps)]
        for is_tight in tight
    ]


def read_table(
    table: HoldTable, quantity: str, wrap: str, *, air_temp_c: float, humidity: float, hour: float
) -> tuple[float, float, float]:
    """P10, P50 and P90 of a quantity anywhere inside the table, linear between its corners.

    Outside the corners the nearest edge is read. The script of the Holding page does the same sums.
    """
    by_air = table.values[quantity][table.wraps.index(wrap)]
    low_air, high_air, air_part = bracket(table.air_temps_c, air_temp_c)
    low_hour, high_hour, hour_part = bracket(table.hours, hour)
    result = []
    for percentile in range(3):
        corners = []
        for by_humidity in (by_air[low_air], by_air[high_air]):
            low, high, part = bracket(table.humidities[: len(by_humidity)], humidity)
            dry, damp = by_humidity[low], by_humidity[high]
            early = mix(dry[low_hour][percentile], damp[low_hour][percentile], part)
            late = mix(dry[high_hour][percentile], damp[high_hour][percentile], part)
            corners.append(mix(early, late, hour_part))
        result.append(mix(corners[0], corners[1], air_part))
    return result[0], result[1], result[2]


def read_crispness(
    table: HoldTable, wrap: str, *, air_temp_c: float, humidity: float, hour: float
) -> tuple[float, float, float]:
    """P10, P50 and P90 of the crust's crispness, from its water activity; the dampest crust is the P10."""
    dry, mid, damp = read_table(
        table, "water_activity", wrap, air_temp_c=air_temp_c, humidity=humidity, hour=hour
    )
    low, middle, high = np.interp((damp, mid, dry), *table.crispness_scale)
    return float(low), float(middle), float(high)


def bracket(grid: tuple[float, ...], value: float) -> tuple[int, int, float]:
    """The places on both sides of a value and how far it lies between them, kept inside the grid."""
    if len(grid) == 1 or value <= grid[0]:
        return 0, 0, 0.0
    for place, (low, high) in enumerate(pairwise(grid)):
        if value <= high:
            return place, place + 1, (value - low) / (high - low)
    return len(grid) - 1, len(grid) - 1, 0.0


def mix(low: float, high: float, part: float) -> float:
    """Linear between two values."""
    return low + (high - low) * part
