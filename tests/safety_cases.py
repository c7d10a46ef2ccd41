"""Courses of temperature and reference tables that the safety tests share."""

import csv
from pathlib import Path

import numpy as np

from slowfolio.safety.assess import Course, course
from slowfolio.safety.history import FloatArray

REFERENCE = Path(__file__).parent / "reference"
DATA = Path(__file__).parents[1] / "generator" / "slowfolio" / "safety" / "data"
HOUR = 3600.0


def reference(name: str) -> list[dict[str, str]]:
    """The rows of a reference table by column; its first line names the source."""
    lines = (REFERENCE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def straight(*legs: tuple[float, float]) -> tuple[list[float], list[float]]:
    """A course of straight legs: the first (0, °C), then (hours, °C at their end)."""
    times, temps = [0.0], [legs[0][1]]
    for hours, temp in legs[1:]:
        times.append(times[-1] + hours * HOUR)
        temps.append(temp)
    return times, temps


def brisket(*, hold_c: float = 65.0, peak_c: float = 95.0, members: int = 40, tau_h: float = 3.0) -> Course:
    """A cook of twelve hours, an hour's rest and a hold of ten hours, with a spread of 0.4 K."""
    time = np.linspace(0.0, 24 * HOUR, 241)
    spread = np.linspace(-0.4, 0.4, members)[:, None]
    core = cook_and_hold(time, peak_c + spread, hold_c + spread, tau_h=tau_h)
    surface = cook_and_hold(time, peak_c + 5 + spread, hold_c + spread, tau_h=tau_h / 3)
    return course(
        time,
        core_c=core,
        coldest_c=np.minimum(core, surface),
        surface_c=surface,
        hold_start_s=14 * HOUR,
        hold_end_s=24 * HOUR,
    )


def cook_and_hold(time: FloatArray, peak_c: FloatArray, hold_c: FloatArray, *, tau_h: float) -> FloatArray:
    """Rise from 4 °C towards a peak, then, from 12 to 14 h, a straight fall to the hold."""
    rise = peak_c - (peak_c - 4.0) * np.exp(-time / (tau_h * HOUR))
    pulled = rise[:, [120]]
    fall = np.clip((time - 12 * HOUR) / (2 * HOUR), 0.0, 1.0)
    return np.where(time <= 12 * HOUR, rise, pulled + (hold_c - pulled) * fall)
