"""A simulated cook as figures: percentiles with unit, spread and provenance, ready for JSON and pages.

Turns the engine's arrays into `MethodResult`; decides nothing about how they are shown. Called by `pipeline`
and by the `simulate` command.
"""

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.model import Book, Method
from slowfolio.enrich.remarks import remark_of
from slowfolio.enrich.results import (
    AirResult,
    Band,
    Influence,
    MethodResult,
    Section,
    Series,
    StageResult,
)
from slowfolio.enrich.verdicts import verdicts_of
from slowfolio.forecast.stall import stall_window_h
from slowfolio.physics.ensemble import rank_inputs
from slowfolio.physics.errors import require_finite
from slowfolio.physics.humid_air import air_state, boiling_point_c
from slowfolio.physics.results import CookResult, CrossSection
from slowfolio.physics.schedule import Stage
from slowfolio.provenance import Figure, Provenance

Array = NDArray[np.float64]

HOUR_S = 3600.0
FEWEST_FOR_RANKING = 24
SCORES = ("bark", "rendering", "juiciness", "smoke", "tenderness")
DETAILS = {
    "crispness": "score",
    "evenness": "score",
    "crust_thickness_m": "length",
    "crust_water_activity": "number",
    "browning": "number",
    "ring_depth_m": "length",
    "collagen": "fraction",
    "collagen_thin": "fraction",
    "fat_rendered": "fraction",
    "cap_fat_rendered": "fraction",
    "white_band_m": "length",
    "moisture_thick": "fraction",
    "moisture_thin": "fraction",
    "water_kept": "fraction",
}


def summarise(method: Method, book: Book, cook: CookResult, *, seed: int) -> MethodResult:
    """All figures of one simulated method."""
    teller = Teller(cook)
    stages = tuple(stage_result(index, cook, teller) for index in range(len(cook.schedule.stages)))
    stall_start_h, stall_end_h = stall_window_h(cook.timeline.time_h, cook.timeline.core_c, cook.finish_h)
    pull_s = cook.finish_h * HOUR_S
    ready_index = max(
        (i for i, stage in enumerate(cook.schedule.stages) if stage.kind.value != "hold"), default=0
    )
    weight_kg = cook.joint.weight_kg
    return MethodResult(
        method=method.id,
        engine=cook.engine_version,
        members=cook.members.count,
        seed=seed,
        stages=stages,
        pull=teller.figure(pull_s, "duration"),
        ready=teller.figure(cook.ends.time_h[ready_index] * HOUR_S, "duration"),
        serve=teller.figure(cook.ends.time_h[-1] * HOUR_S, "duration"),
        stall_start=teller.figure_of_most(stall_start_h * HOUR_S, "duration"),
        stall_end=teller.figure_of_most(stall_end_h * HOUR_S, "duration"),
        yield_fraction=teller.figure(cook.ends.mass_kg[-1] / weight_kg, "fraction"),
        evaporated=teller.figure(cook.yields.evaporated, "fraction"),
        dripped=teller.figure(cook.yields.dripped + cook.yields.pooled, "fraction"),
        rendered=teller.figure(cook.yields.rendered, "fraction"),
        scores={name: teller.figure(getattr(cook.outcomes, name), "score") for name in SCORES},
        details={
            name.removesuffix("_m"): teller.figure(getattr(cook.outcomes, name), dimension)
            for name, dimension in DETAILS.items()
        },
        series=series_of(cook),
        sections=tuple(section_of(section, cook) for section in cook.sections),
        ranking=ranking_of(cook),
        remarks=tuple(
            remark_of(finding, cook, boiling_point_c(cook.schedule.pressure_pa)) for finding in cook.findings
        ),
        verdicts=verdicts_of(cook, method, book),
    )


class Teller:
    """Makes computed figures that all name the same engine and ensemble."""

    def __init__(self, cook: CookResult) -> None:
        count = cook.members.count
        self._source = f"cook engine {cook.engine_version}, {count} {'cook' if count == 1 else 'cooks'}"
        self._has_spread = count > 1

    def figure(self, values: Array, dimension: str) -> Figure:
        """Median with 10th and 90th percentile over the members."""
        low, mid, high = (float(value) for value in np.percentile(values, [10.0, 50.0, 90.0]))
        return self.between(low, mid, high, dimension)

    def figure_of_most(self, values: Array, dimension: str) -> Figure | None:
        """The same over the members that have a value, or None where fewer than half do."""
        known = values[np.isfinite(values)]
        return self.figure(known, dimension) if known.size >= max(1, values.size / 2) else None

    def between(self, low: float, mid: float, high: float, dimension: str) -> Figure:
        """A computed figure from its percentiles; raises PhysicsInputError where they are no numbers."""
        for value in (low, mid, high):
            require_finite(f"a computed {dimension}", value)
        if not self._has_spread:
            return Figure(mid, dimension, Provenance.COMPUTED, source=self._source)
        return Figure(mid, dimension, Provenance.COMPUTED, low=low, high=high, source=self._source)


def stage_result(index: int, cook: CookResult, teller: Teller) -> StageResult:
    """One stage: its clock, the state of the piece at its end, the air it happened in."""
    stage, ends = cook.schedule.stages[index], cook.ends
    start_h = ends.time_h[index - 1] if index else np.zeros_like(ends.time_h[0])
    return StageResult(
        name=stage.name,
        kind=stage.kind.value,
        start=teller.figure(start_h * HOUR_S, "duration"),
        end=teller.figure(ends.time_h[index] * HOUR_S, "duration"),
        duration=teller.figure((ends.time_h[index] - start_h) * HOUR_S, "duration"),
        core_end=teller.figure(ends.core_c[index], "temperature"),
        thin_end=teller.figure(ends.thin_c[index], "temperature"),
        mass_left=teller.figure(ends.mass_kg[index] / cook.joint.weight_kg, "fraction"),
        ended_by=ended_by(stage, ends.reached[index]),
        air=air_result(stage, cook, teller),
    )


def ended_by(stage: Stage, reached: Array) -> str:
    """What ended the stage for most members."""
    if stage.until.duration_s is not None:
        return "time"
    if np.mean(reached) < 0.5:
        return "at most"
    return "probe tender" if stage.until.probe_tender else "core temperature"


def air_result(stage: Stage, cook: CookResult, teller: Teller) -> AirResult:
    """The air of a stage at the temperature on the dial, its moisture spread as the pit's own is."""
    pressure_pa = cook.schedule.pressure_pa
    mean_pa = stage.environment.vapour_pressure_pa + stage.water_pan_vapour_pa
    spread = stage.environment.humidity_spread * np.percentile(cook.members.humidity, [10.0, 50.0, 90.0])
    low, mid, high = (
        air_state(stage.pit_temp_c, min(float(mean_pa * np.exp(step)), 0.98 * pressure_pa), pressure_pa)
        for step in spread
    )

    def figure(name: str, dimension: str) -> Figure:
        return teller.between(getattr(low, name), getattr(mid, name), getattr(high, name), dimension)

    return AirResult(
        dry_bulb=Figure(stage.pit_temp_c, "temperature", Provenance.CLAIMED, source="the card's setting"),
        dew_point=figure("dew_point_c", "temperature"),
        relative_humidity=figure("relative_humidity", "fraction"),
        wet_bulb=figure("wet_bulb_c", "temperature"),
        vapour_pressure=figure("vapour_pressure_pa", "pressure"),
        humidity_ratio=figure("humidity_ratio_kg_kg", "number"),
        boiling_point_c=boiling_point_c(pressure_pa),
    )


def series_of(cook: CookResult) -> Series:
    """Courses over time, rounded to what a chart can show."""
    timeline = cook.timeline
    pit = np.percentile(timeline.pit_c, 50.0, axis=1)
    return Series(
        time_h=rounded(timeline.time_h, 3),
        pit_c=rounded(pit, 1),
        thick_c=band(timeline.percentiles("core_c")),
        thin_c=band(timeline.percentiles("thin_c")),
        surface_c=band(timeline.percentiles("surface_upper_c")),
    )


def band(percentiles: Array) -> Band:
    """Three rows of percentiles as a band."""
    low, mid, high = percentiles
    return Band(p10=rounded(low, 1), p50=rounded(mid, 1), p90=rounded(high, 1))


def section_of(section: CrossSection, cook: CookResult) -> Section:
    """A cross-section by column, top (fat cap) to bottom."""
    return Section(
        name=section.moment,
        time_h=round(float(section.time_h), 2),
        length_m=rounded(section.position * cook.joint.length_m, 4),
        depth_m=tuple(rounded(section.node_depth * thickness, 5) for thickness in section.thickness_m),
        temp_c=tuple(rounded(column, 1) for column in section.temp_c.T),
        moisture=tuple(rounded(column, 3) for column in section.moisture.T),
    )


def ranking_of(cook: CookResult) -> tuple[Influence, ...]:
    """What moves the finish most; empty for an ensemble too small to tell."""
    if cook.members.count < FEWEST_FOR_RANKING:
        return ()
    ranks = rank_inputs(cook.members, cook.finish_h)
    return tuple(Influence(rank.words, round(rank.share, 4), round(rank.effect, 3)) for rank in ranks)


def rounded(values: Array, digits: int) -> tuple[float, ...]:
    """A row of plain floats."""
    return tuple(np.round(np.asarray(values, dtype=np.float64), digits).tolist())
