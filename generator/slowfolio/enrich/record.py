"""A computed method as the JSON the command line prints: flat keys that carry their unit and percentile.

The contract is schema/output/simulate.schema.json; keys are only ever added.
"""

from typing import Any

from slowfolio.enrich.remarks import remark_text
from slowfolio.enrich.results import AirResult, MethodResult, StageResult
from slowfolio.physics.joint import Joint
from slowfolio.provenance import Figure
from slowfolio.safety.verdict import Met, Verdict
from slowfolio.units import System

HOURS, PER_CENT, SAME = 1 / 3600.0, 100.0, 1.0
DIGITS = 4


def simulate_record(result: MethodResult, joint: Joint) -> dict[str, Any]:
    """The whole result of `slowfolio simulate --json`."""
    record: dict[str, Any] = {
        "method": result.method,
        "engine_version": result.engine,
        "provenance": "computed",
        "members": result.members,
        "seed": result.seed,
        "weight_kg": round(joint.weight_kg, DIGITS),
        "thickness_m": round(joint.thickness_m, DIGITS),
        "length_m": round(joint.length_m, DIGITS),
        "width_m": round(joint.width_m, DIGITS),
        "stages": [stage_record(stage) for stage in result.stages],
        **spread("finish_h", result.pull, HOURS),
        **spread("ready_h", result.ready, HOURS),
        **spread("serve_h", result.serve, HOURS),
        **spread("stall_start_h", result.stall_start, HOURS),
        **spread("stall_end_h", result.stall_end, HOURS),
        **spread("yield_pct", result.yield_fraction, PER_CENT),
        **spread("evaporated_pct", result.evaporated, PER_CENT),
        **spread("dripped_pct", result.dripped, PER_CENT),
        **spread("rendered_pct", result.rendered, PER_CENT),
    }
    for name, figure in result.scores.items():
        record |= spread(f"{name}_score", figure, SAME)
    for name, figure in result.details.items():
        record |= spread(*keyed(name, figure))
    record["ranking"] = [
        {"input": item.name, "share_pct": round(100 * item.share, 2), "effect_h": item.effect_h}
        for item in result.ranking
    ]
    record["rules"] = [rule_record(each) for each in result.verdicts if each.met is not Met.NOT_APPLICABLE]
    record["remarks"] = [remark_text(remark, System.METRIC) for remark in result.remarks]
    return record


def rule_record(verdict: Verdict) -> dict[str, Any]:
    """One rule of the book's authority, held against the cooks."""
    return {
        "rule": verdict.rule,
        "topic": verdict.topic.value,
        "authority": verdict.authority,
        "edition": verdict.edition,
        "met": verdict.met.value,
        "level": verdict.level.value,
        "figure": verdict.figure,
        "limit": verdict.limit_text,
    }


def stage_record(stage: StageResult) -> dict[str, Any]:
    """One stage with its clock, its end state and its air."""
    return {
        "name": stage.name,
        "kind": stage.kind,
        "ended_by": stage.ended_by,
        **spread("start_h", stage.start, HOURS),
        **spread("end_h", stage.end, HOURS),
        **spread("duration_h", stage.duration, HOURS),
        **spread("core_temp_c", stage.core_end, SAME),
        **spread("thin_end_temp_c", stage.thin_end, SAME),
        **spread("mass_left_pct", stage.mass_left, PER_CENT),
        "air": air_record(stage.air),
    }


def air_record(air: AirResult) -> dict[str, Any]:
    """The air of a stage."""
    return {
        "dry_bulb_c": round(air.dry_bulb.value, DIGITS),
        "boiling_point_c": round(air.boiling_point_c, DIGITS),
        **spread("relative_humidity_pct", air.relative_humidity, PER_CENT),
        **spread("dew_point_c", air.dew_point, SAME),
        **spread("wet_bulb_c", air.wet_bulb, SAME),
        **spread("vapour_pressure_pa", air.vapour_pressure, SAME),
        **spread("humidity_ratio_kg_kg", air.humidity_ratio, SAME),
    }


def keyed(name: str, figure: Figure) -> tuple[str, Figure, float]:
    """The key, figure and factor of a detail by its dimension."""
    if figure.dimension == "fraction":
        return f"{name}_pct", figure, PER_CENT
    if figure.dimension == "length":
        return f"{name}_mm", figure, 1000.0
    return (f"{name}_score" if figure.dimension == "score" else name), figure, SAME


def spread(key: str, figure: Figure | None, factor: float) -> dict[str, float | None]:
    """`key` with its 10th, 50th and 90th percentile; null where there is none."""
    if figure is None:
        return {f"{key}_{name}": None for name in ("p10", "p50", "p90")}
    values = {"p10": figure.low, "p50": figure.value, "p90": figure.high}
    return {
        f"{key}_{name}": None if value is None else round(value * factor, DIGITS)
        for name, value in values.items()
    }
