"""What the engine has to say about a method, in words and in the reader's units.

One sentence for each remark: what happened, in how many of the simulated cooks, and what would help.
"""

from slowfolio.enrich.results import Remark
from slowfolio.physics.results import CookResult, Finding, FindingCode
from slowfolio.units import System, format_duration, format_temperature

NEAR_THE_PIT_K = 25.0
"""A core this close to the pit's air has stopped because the pit is too cool, not because it evaporates."""

ALL_BUT = 0.95


def remark_of(finding: Finding, cook: CookResult, boiling_c: float) -> Remark:
    """A finding of the engine as data for JSON and pages."""
    stage = cook.schedule.stages[finding.stage_index]
    until = stage.until
    target_c = until.core_temp_c if until.core_temp_c is not None else until.core_falls_to_c
    return Remark(
        code=finding.code.value,
        stage=finding.stage,
        share=finding.members / cook.members.count,
        core_c=round(finding.core_temp_c, 2),
        target_c=target_c,
        at_most_s=until.at_most_s,
        pit_c=stage.pit_temp_c,
        boiling_c=round(boiling_c, 2),
        falling=until.core_falls_to_c is not None,
    )


def remark_text(remark: Remark, system: System) -> str:
    """The remark as a sentence."""
    core = format_temperature(remark.core_c, system)
    longest = format_duration(remark.at_most_s)
    boiling = format_temperature(remark.boiling_c, system)
    target = "probe tender" if remark.target_c is None else format_temperature(remark.target_c, system)
    if remark.code == FindingCode.BOILING_POINT.value and remark.share == 0:
        return (
            f"{remark.stage}: {target} lies above the boiling point of water here ({boiling}); only a dry, "
            "bare piece can pass it"
        )
    opening = f"{remark.stage}: in {cooks(remark.share)}, "
    if remark.code == FindingCode.BOILING_POINT.value:
        return (
            f"{opening}the core stopped at {core}, because water boils at {boiling} at this altitude and "
            f"moist meat cannot reach {target}: end the stage lower or by probe feel"
        )
    if remark.falling:
        return (
            f"{opening}the core was still at {core} after {longest}, not {target}: rest it cooler or longer"
        )
    if remark.target_c is None:
        return f"{opening}it was not probe tender after {longest}, at a core of {core}: cook hotter or longer"
    if remark.core_c > remark.pit_c - NEAR_THE_PIT_K:
        pit = format_temperature(remark.pit_c, system)
        return f"{opening}the core came to {core} in {longest}, close to the pit's {pit}: set the pit hotter"
    return (
        f"{opening}the core came to {core} in {longest} instead of {target}, as evaporation takes the heat "
        "as fast as it comes: wrap, set the pit hotter or allow more time"
    )


def cooks(share: float) -> str:
    """How many of the simulated cooks, as a cook would say it."""
    if share >= ALL_BUT:
        return "nearly every simulated cook"
    return f"{max(1, round(100 * share))} of 100 simulated cooks"
