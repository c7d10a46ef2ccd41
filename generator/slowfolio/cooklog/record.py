"""What the `log` commands print as JSON; see schema/output/log-*.schema.json. Data only, no decisions."""

from typing import Any

import numpy as np

from slowfolio.cooklog.card import NewCook
from slowfolio.cooklog.importing import Imported


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
