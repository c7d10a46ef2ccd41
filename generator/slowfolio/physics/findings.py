"""Why a stage did not reach its target, in words: the findings of a cook.

``recording`` calls this once at the end. Input that is impossible from the start raises an error in
``schedule`` instead.
"""

from __future__ import annotations

import numpy as np

from slowfolio.physics.humid_air import boiling_point_c
from slowfolio.physics.joint import Joint
from slowfolio.physics.results import Finding, FindingCode, StageEnds
from slowfolio.physics.schedule import Schedule, Stage

# Wet meat stops this far below the boiling point: the last degree takes for ever.
BOILING_MARGIN_K = 0.5


def findings_of(schedule: Schedule, joint: Joint, ends: StageEnds) -> tuple[Finding, ...]:
    """Return one finding for each stage that missed its target, with how many members it concerns."""
    found: list[Finding] = []
    boiling = float(boiling_point_c(schedule.pressure_pa))
    for index, stage in enumerate(schedule.stages):
        target = stage.until.core_temp_c
        missed = ends.reached[index] < 0.5
        count = int(missed.sum())
        if count:
            core = float(np.median(ends.core_c[index][missed]))
            code, message = reason_of(stage, joint, core=core, boiling_c=boiling)
            found.append(Finding(code, stage.name, index, count, core, message))
        elif target is not None and target > boiling - BOILING_MARGIN_K:
            message = (
                f"{stage.name}: {target:g} °C lies above the boiling point here ({boiling:.1f} °C); "
                "only a dry, bare piece can pass it"
            )
            found.append(Finding(FindingCode.BOILING_POINT, stage.name, index, 0, target, message))
    return tuple(found)


def reason_of(stage: Stage, joint: Joint, *, core: float, boiling_c: float) -> tuple[FindingCode, str]:
    """Return why ``stage`` ended with its core at ``core`` instead of at its target."""
    hours = stage.until.at_most_s / 3600.0
    if stage.until.core_falls_to_c is not None:
        return FindingCode.TARGET_NOT_REACHED, (
            f"{stage.name}: after {hours:.1f} h the core was still at {core:.1f} °C, above "
            f"{stage.until.core_falls_to_c:g} °C: rest it cooler or longer"
        )
    if stage.until.probe_tender:
        return FindingCode.TARGET_NOT_REACHED, (
            f"{stage.name}: not probe tender after {hours:.1f} h at a core of {core:.1f} °C (collagen "
            f"conversion {joint.shape.tender_conversion:g} is needed): cook hotter or longer"
        )
    target = stage.until.core_temp_c or 0.0
    if target > boiling_c - BOILING_MARGIN_K:
        return FindingCode.BOILING_POINT, (
            f"{stage.name}: the core stopped at {core:.1f} °C because water boils at {boiling_c:.1f} °C at "
            f"this altitude; moist meat cannot reach {target:g} °C: end the stage at {boiling_c - 2.0:.0f} "
            "°C or by probe feel"
        )
    if core > stage.pit_temp_c - 25.0:
        return FindingCode.TARGET_NOT_REACHED, (
            f"{stage.name}: the core came to {core:.1f} °C in {hours:.1f} h, close to the pit's "
            f"{stage.pit_temp_c:g} °C: set the pit hotter than the target {target:g} °C by 15 K or more"
        )
    return FindingCode.EVAPORATION_BALANCE, (
        f"{stage.name}: the core came to {core:.1f} °C in {hours:.1f} h instead of {target:g} °C: "
        "evaporation takes the heat as fast as it comes; wrap, set the pit hotter or allow more time"
    )
