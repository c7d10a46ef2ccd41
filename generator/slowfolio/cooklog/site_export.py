"""The file that the At the pit page exports, as a recording: readings typed in, stages as they went.

Reads the format of schema/output/cook-log.schema.json. Called by `importing` only.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import msgspec
import numpy as np

from slowfolio.cooklog.recording import Event, Recording
from slowfolio.cooklog.remarks import LogError

FORMAT = "slowfolio cook log"
VERSION = 1


@dataclass(frozen=True, slots=True)
class Exported:
    """What an export says: the recording, the method, pit and weight it names, and what the cook wrote."""

    recording: Recording
    method: str
    pit: str | None
    weight_kg: float | None
    label: str
    notes: tuple[str, ...]


def is_export(blob: bytes) -> bool:
    """Whether a file is an export of the page."""
    return blob.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"{") and FORMAT.encode() in blob[:4000]


def read_export(blob: bytes) -> Exported:
    """Return what an export says. Raises LogError with what is missing or wrong."""
    try:
        data = msgspec.json.decode(blob.removeprefix(b"\xef\xbb\xbf"))
    except msgspec.DecodeError as error:
        raise LogError(
            f"the export is cut short or damaged ({error}): export it again from the page"
        ) from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise LogError("this is no export of the At the pit page: export it there as a file")
    if data.get("version") != VERSION:
        raise LogError(
            f"the export is of version {data.get('version')}; this program reads version {VERSION}"
        )
    readings = data.get("readings") or []
    if not isinstance(readings, list) or len(readings) < 2:
        raise LogError("the export has fewer than two readings: nothing can be learnt from it")
    started = moment(data.get("started_at"), "started_at")
    times = sorted({moment(part.get("at"), "readings: at") for part in readings if isinstance(part, dict)})
    zero = min([*times, started])
    seconds = np.array([(time - zero).total_seconds() for time in times])
    columns = {place: np.full(seconds.size, np.nan) for place in ("thick", "thin", "pit", "holder")}
    for part in readings:
        place, value = part.get("place"), part.get("temp_c")
        if place not in columns or not isinstance(value, int | float):
            raise LogError(f"a reading of the export has no place or temperature: {str(part)[:80]}")
        columns[place][times.index(moment(part.get("at"), "at"))] = float(value)
    air = np.where(np.isfinite(columns["pit"]), columns["pit"], columns["holder"])
    recording = Recording(
        time_s=seconds,
        pit_c=air,
        thick_c=columns["thick"],
        thin_c=columns["thin"],
        humidity=np.full(seconds.size, np.nan),
        began=zero,
        events=stage_events(data, zero),
    )
    notes = tuple(str(note.get("text", ""))[:2000] for note in data.get("notes", ()) if note.get("text"))
    weight = data.get("weight_kg")
    return Exported(
        recording,
        method=str(data.get("method", "")),
        pit=data.get("pit"),
        weight_kg=float(weight) if isinstance(weight, int | float) else None,
        label=str(data.get("label", "")),
        notes=notes,
    )


def stage_events(data: dict[str, Any], zero: datetime) -> tuple[Event, ...]:
    """The cook's own times: on, stages of the pit after the first, off, vent, hold, end."""
    events = [Event("meat on", (moment(data["started_at"], "started_at") - zero).total_seconds(), "noted")]
    stages = [stage for stage in data.get("stages", ()) if stage.get("started_at")]
    on_pit = [stage for stage in stages if stage.get("kind") == "cook"]
    if (
        on_pit
        and on_pit[-1].get("ended_at")
        and len(on_pit) == sum(stage.get("kind") == "cook" for stage in data.get("stages", ()))
    ):
        events.append(Event("finish", since(on_pit[-1]["ended_at"], zero), "noted"))
    for stage in stages:
        if stage.get("kind") in {"vent", "hold"}:
            events.append(Event(str(stage["kind"]), since(stage["started_at"], zero), "noted"))
    if data.get("finished_at"):
        events.append(Event("end", since(data["finished_at"], zero), "noted"))
    return tuple(sorted(events, key=lambda event: event.at_s))


def since(text: str, zero: datetime) -> float:
    """Seconds from the first moment of the export."""
    return max(0.0, (moment(text, "time") - zero).total_seconds())


def moment(text: object, what: str) -> datetime:
    """A time of the export. Raises LogError for one that is missing, wrong or without its offset."""
    try:
        found = datetime.fromisoformat(str(text))
    except ValueError as error:
        raise LogError(f'{what}: "{str(text)[:40]}" is no ISO 8601 time: export the cook again') from error
    if found.tzinfo is None:
        raise LogError(f"{what}: {text} lacks its offset from UTC: export the cook again")
    return found
