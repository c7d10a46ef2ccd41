"""What the `log` commands print as JSON; see schema/output/log-*.schema.json. Data only, no decisions."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from slowfolio.cooklog.against import Against, Explanation, Window
from slowfolio.cooklog.card import NewCook
from slowfolio.cooklog.fit_pit import PitFit
from slowfolio.cooklog.importing import Imported
from slowfolio.cooklog.parameters import PARAMETERS
from slowfolio.cooklog.proposal import Change


def import_record(cook: NewCook, imported: Imported) -> dict[str, Any]:
    """The whole result of `slowfolio log import --json`."""
    recording = imported.recording
    before, after = cook.piece.weight_before_kg, cook.piece.weight_after_kg
    return {
        "id": cook.id,
        "method": cook.method,
        "pit": cook.pit,
        "holder": cook.holder,
        "date": cook.day.isoformat(),
        "provenance": "measured",
        "log_file": cook.log.file,
        "sha256": cook.log.sha256,
        "readings": int(recording.time_s.size),
        "hours_h": round(float(recording.time_s[-1]) / 3600.0, 4),
        "unit": cook.log.unit,
        "time_kind": cook.log.time_kind,
        "columns": dict(cook.log.columns),
        "readings_by_column": {
            role: int(np.isfinite(recording.series(role)).sum())
            for role in ("pit", "thick", "thin", "humidity")
            if recording.has(role)
        },
        "assumptions": [assumption.text for assumption in imported.assumptions],
        "remarks": [
            {"kind": remark.kind, "at_s": remark.at_s, "words": remark.words} for remark in recording.remarks
        ],
        "events": [
            {"what": event.what, "at_s": round(event.at_s, 1), "from": event.found} for event in cook.events
        ],
        "measured_yield_pct": round(100 * after / before, 2) if before and after else None,
    }


def against_record(result: Against) -> dict[str, Any]:
    """The whole result of `slowfolio log against --json`."""
    return {
        "cook": result.cook,
        "method": result.method,
        "engine_version": result.engine,
        "members": result.members,
        "windows": [window_record(window) for window in result.windows],
        "inside": sum(window.inside for window in result.windows),
        "misfit": rounded(result.misfit),
        "core_rms_k": rounded(result.core_rms_k),
        "as_forecast": result.as_forecast,
        "explanations": [explanation_record(each) for each in result.explanations],
        "together": [explanation_record(each) for each in result.together],
    }


def window_record(window: Window) -> dict[str, Any]:
    """One event; keys end in the unit of its dimension."""
    unit = {"duration": "s", "temperature": "c", "fraction": "fraction"}[window.dimension]
    return {
        "what": window.what,
        f"measured_{unit}": rounded(window.measured),
        f"forecast_{unit}_p10": rounded(window.low),
        f"forecast_{unit}_p50": rounded(window.middle),
        f"forecast_{unit}_p90": rounded(window.high),
        "inside": window.inside,
        "measured_provenance": "measured",
        "forecast_provenance": "computed",
    }


def explanation_record(found: Explanation) -> dict[str, Any]:
    """One explanation; `amount` in K, s, or as a natural logarithm, as `unit` says."""
    return {
        "parameter": found.parameter,
        "words": found.words,
        "unit": PARAMETERS[found.parameter].unit,
        "amount": rounded(found.amount),
        "deviation_sd": rounded(found.deviation),
        "explains": rounded(found.explains),
    }


def fit_record(fit: PitFit, changes: Sequence[Change], diff: str) -> dict[str, Any]:
    """The whole result of `slowfolio log fit --json`."""
    return {
        "equipment": fit.pit,
        "cooks": list(fit.cooks),
        "provenance": "computed",
        "findings": [
            {
                "parameter": found.parameter,
                "unit": "K" if found.parameter.endswith("_k") else "ln",
                "shift": rounded(found.shift),
                "sd": rounded(found.sd),
                "prior_sd": rounded(found.prior_sd),
                "interval_90_low": rounded(found.low),
                "interval_90_high": rounded(found.high),
                "learnt": rounded(found.learnt),
            }
            for found in fit.findings
        ],
        "misfit_before": rounded(fit.misfit_before),
        "misfit_after": rounded(fit.misfit_after),
        "left_out": [
            {
                "cook": each.cook,
                "core_error_before_k": rounded(each.core_before_k),
                "core_error_after_k": rounded(each.core_after_k),
                "finish_error_before_s": rounded(each.finish_before_s),
                "finish_error_after_s": rounded(each.finish_after_s),
            }
            for each in fit.left_out
        ],
        "error_after_over_before": None if fit.improved is None else rounded(fit.improved),
        "changes": [
            {"field": change.key, "before": change.before, "after": change.after} for change in changes
        ],
        "patch": diff,
    }


def rounded(value: float) -> float | None:
    """A figure without the noise of the last digits; null where there is none."""
    return round(value, 4) if math.isfinite(value) else None
