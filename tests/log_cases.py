"""One smooth made-up cook and the many ways recorders write it down. Used by the tests of the log import.

The course is a formula, not the engine's: what is tested is reading, not cooking.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

BEGAN = datetime(2026, 9, 5, 5, 10)
HOURS, STEP_S = 10.0, 60.0


@dataclass
class Curve:
    """The truth behind a log: s, °C, and what happened (s)."""

    time_s: Array
    pit_c: Array
    thick_c: Array
    thin_c: Array
    happened: dict[str, float] = field(default_factory=dict)


def curve(*, hours: float = HOURS, step_s: float = STEP_S, seed: int = 3) -> Curve:
    """A piece that stalls at 68 °C, is wrapped at 5 h, comes off at 8 h, rests in the room, then is held."""
    time_s = np.arange(0.0, hours * 3600.0 + 1, step_s)
    h = time_s / 3600.0
    points = [0.0, 0.5, 3.2, 5.0, 8.0, 8.6, hours]
    thick = np.interp(h, points, [4.0, 6.0, 66.0, 70.5, 94.0, 88.0, 70.0])
    thin = np.interp(h, points, [5.0, 12.0, 69.0, 74.0, 95.0, 86.0, 67.0])
    pit = np.full(h.shape, 121.0)
    happened = {"wrap": 5.0 * 3600, "finish": 8.0 * 3600, "hold": 8.6 * 3600}
    for door in (1.5, 3.0, 5.0):
        since = h - door
        pit -= np.where((since >= 0), 30.0 * np.exp(-np.maximum(since, 0) * 60 / 9), 0.0)
    pit = np.where(h >= 8.0, 22.0 + 99.0 * np.exp(-(h - 8.0) * 60 / 3), pit)
    pit = np.where(h >= 8.6, 66.0, pit)
    noise = np.random.default_rng(seed).normal(0.0, 0.15, (3, h.size))
    noise[0] *= 6
    return Curve(time_s, pit + noise[0], thick + noise[1], thin + noise[2], happened)


def fahrenheit(values: Array) -> Array:
    """°C in °F."""
    return values * 1.8 + 32.0


def rows(
    made: Curve,
    *,
    stamp: str = "%Y-%m-%d %H:%M:%S",
    began: datetime = BEGAN,
    unit: str = "F",
    sep: str = ",",
    decimal: str = ".",
    columns: tuple[str, ...] = ("pit", "thick", "thin"),
) -> list[str]:
    """The lines of a log without headings."""
    figures = [getattr(made, f"{name}_c") for name in columns]
    if unit == "F":
        figures = [fahrenheit(each) for each in figures]
    if unit == "K":
        figures = [each + 273.15 for each in figures]
    found = []
    for index, seconds in enumerate(made.time_s):
        moment = began + timedelta(seconds=float(seconds))
        cells = [f"{each[index]:.1f}".replace(".", decimal) for each in figures]
        found.append(sep.join([moment.strftime(stamp), *cells]))
    return found


def text(lines: list[str], heading: str = "Time,Pit,Meat,Flat") -> bytes:
    """Lines under a heading as bytes."""
    return ("\n".join([heading, *lines] if heading else lines) + "\n").encode()


def write(folder: Path, name: str, blob: bytes) -> Path:
    """A log on disk."""
    path = folder / name
    path.write_bytes(blob)
    return path
