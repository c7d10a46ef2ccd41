"""The advice for a holder as the JSON the command line prints; see schema/output/hold.schema.json."""

from typing import Any

from slowfolio.forecast.hold_advice import Advice, Percentiles
from slowfolio.forecast.hold_table import HoldTable
from slowfolio.forecast.hold_window import Window

DIGITS = 4


def hold_record(table: HoldTable, advice: Advice) -> dict[str, Any]:
    """The whole result of `slowfolio hold --json`."""
    return {
        "method": table.method,
        "holder": advice.holder,
        "engine_version": table.engine,
        "provenance": "computed",
        "members": table.members,
        "possible": advice.possible,
        "why_not": advice.why_not,
        "wrap": advice.wrap,
        "air_temp_c": rounded(advice.air_temp_c),
        "inside_temp_c": rounded(advice.stands_in_c),
        "hours_h": rounded(advice.hours),
        "windows": [window_record(window) for window in advice.windows],
        "relative_humidity_pct": per_cent(advice.humidity),
        "dew_point_c": rounded(advice.dew_point_c),
        "wet_bulb_c": rounded(advice.wet_bulb_c),
        "reach_low_pct": per_cent(advice.reach_low),
        "reach_high_pct": per_cent(advice.reach_high),
        "target_reached": advice.reached,
        "setting": advice.setting_words,
        "set_vapour_temp_c": rounded(advice.vapour_temp_c),
        "set_humidity_pct": per_cent(advice.set_humidity),
        "pan_area_m2": rounded(advice.pan_area_m2),
        "pan_count": advice.pan_count,
        "pan_water_c": rounded(advice.pan_water_c),
        "refill_h": rounded(advice.refill_h),
        "spray_kg_h": rounded(advice.spray_kg_h),
        "make_up_kg_h": rounded(advice.make_up_kg_h),
        "heat_w": rounded(advice.heat_w),
        **spread("loss_pct", advice.loss, 100.0),
        **spread("crispness_score", advice.crispness, 1.0),
        **spread("tenderness_score", advice.tenderness, 1.0),
        **spread("core_temp_c", advice.core_c, 1.0),
        **spread("coldest_temp_c", advice.coldest_c, 1.0),
        "below_air_k": rounded(advice.below_air_k),
        "longest_h": rounded(advice.longest_h),
        "ended_by": advice.ended_by,
        "reading": advice.reading_words,
        "box_above_floor_h": rounded(advice.box_hours),
        "box_per_litre_h": rounded(advice.box_hours_per_litre),
        "box_water_l": rounded(advice.bottle_litres),
        "box_water_c": rounded(advice.bottle_temp_c),
        "sprayed_kg_h": None if advice.spray is None else rounded(advice.spray.mean_kg_s * 3600.0),
        "humidity_before_spray_pct": per_cent(advice.humidity_low),
        "humidity_after_spray_pct": per_cent(advice.humidity_high),
    }


def window_record(window: Window) -> dict[str, Any]:
    """One humidity window; low and high are null where there is none."""
    return {
        "wrap": window.wrap,
        "exists": window.exists,
        "low_pct": per_cent(window.low) if window.exists else None,
        "high_pct": per_cent(window.high) if window.exists else None,
        "target_pct": per_cent(window.target) if window.exists else None,
        "opened_by": window.opened_by,
    }


def spread(key: str, values: Percentiles | None, factor: float) -> dict[str, float | None]:
    """`key` with its 10th, 50th and 90th percentile; null where there is none."""
    low, mid, high = (None, None, None) if values is None else (rounded(value * factor) for value in values)
    return {f"{key}_p10": low, f"{key}_p50": mid, f"{key}_p90": high}


def per_cent(fraction: float | None) -> float | None:
    """A fraction in per cent."""
    return None if fraction is None else rounded(100.0 * fraction)


def rounded(value: float | None) -> float | None:
    """A figure without the noise of the last digits."""
    return None if value is None else round(value, DIGITS)
