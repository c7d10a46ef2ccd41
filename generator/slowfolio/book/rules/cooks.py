"""What the card of a recorded cook must not say: its log is there and unchanged, its figures can be.

The log itself is not read here; `slowfolio.cooklog` does that. Called by `reading` only.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import PurePosixPath

from slowfolio.book.findings import Fault, did_you_mean, quoted
from slowfolio.book.model import Cook
from slowfolio.units import format_fraction

YIELDS = (0.25, 1.0)
"""CALIBRATED: a cooked piece of less than a quarter of its raw weight, or of more than it, was misread."""


def log_faults(cook: Cook, logs: Mapping[str, str]) -> Iterator[Fault]:
    """Yield what is wrong with the raw log beside the card; `logs` gives the checksum of every one."""
    beside = PurePosixPath(cook.origin.file).parent
    path = str(beside / cook.log.file)
    if path not in logs:
        there = [PurePosixPath(name).name for name in logs if PurePosixPath(name).parent == beside]
        yield Fault(
            "cook-log-missing",
            ("log", "file"),
            f"there is no log {quoted(cook.log.file)} beside the card",
            did_you_mean(cook.log.file, there, "the logs here are") or "copy the raw file beside the card",
        )
    elif logs[path] != cook.log.sha256.lower():
        yield Fault(
            "cook-log-changed",
            ("log", "sha256"),
            "the log is not the file that was imported: its checksum is another",
            f"put the raw file back, or import it anew; its checksum now is {logs[path]}",
        )


def cook_faults(cook: Cook, today: date) -> Iterator[Fault]:
    """Yield every contradiction within the card of a cook."""
    if cook.date > today:
        yield Fault(
            "cook-in-future", ("date",), f"{cook.date} is still to come", "write the day it was cooked"
        )
    before_kg, after_kg = cook.piece.weight_before_kg, cook.piece.weight_after_kg
    if after_kg is not None and before_kg is None:
        yield Fault(
            "cook-weights-disagree",
            ("piece", "weight_after"),
            "the piece was weighed after, not before, so it has no yield",
            "add weight_before:, or leave weight_after out",
        )
    elif after_kg is not None and before_kg is not None:
        share = after_kg / before_kg if before_kg > 0 else 0.0
        if not YIELDS[0] <= share <= YIELDS[1]:
            yield Fault(
                "cook-weights-disagree",
                ("piece", "weight_after"),
                f"the piece would have kept {format_fraction(share)} of its weight",
                "check both weights and their units",
            )
    for index, (earlier, later) in enumerate(zip(cook.events, cook.events[1:], strict=False), start=1):
        if later.at_s < earlier.at_s:
            yield Fault(
                "cook-events-out-of-order",
                ("events", index, "at"),
                f"{later.what} is written after {earlier.what} and happened before it",
                "write the events in the order of time",
            )
            return
