"""The degrees a log is written in, found from its headings, its cells or its figures; and where they change.

A log that switches between °F and °C on the way is put right. Called by `importing` only.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.remarks import Assumption, LogError, Remark

Array = NDArray[np.float64]

UNITS = {"F": "°F", "C": "°C", "K": "K"}
_HEADING = re.compile(r"(?:°|º|deg(?:rees)?\s*|temp\s*|[\[(_\s])([FCK])(?:[\])_\s]|$)", re.I)
MEAT_C, PIT_C, HOTTEST_MEAT_C = (-5.0, 35.0), (50.0, 200.0), 104.0
"""Plausible starts of meat, pits, and the hottest meat gets. CALIBRATED: wide, only to tell units apart."""
JUMP_K, DRIFT_K = 12.0, 6.0
"""CALIBRATED: a change of degrees moves every probe at once by more than fire or door do in one reading; read
in the other degrees, none of them moves by more than they do."""
SHORT_S, COLD_C = 4 * 3600.0, 40.0
"""CALIBRATED: a core still cold after so long was read in the wrong degrees; before, a log may be short."""


@dataclass(frozen=True, slots=True)
class Degrees:
    """The unit of a log, in the words of the card, and how sure that is."""

    unit: str
    assumptions: tuple[Assumption, ...] = ()


def to_c(values: Array, unit: str) -> Array:
    """Figures of a unit in °C."""
    if unit == "°F":
        return np.asarray((values - 32.0) / 1.8, dtype=np.float64)
    return np.asarray(values - 273.15 if unit == "K" else values, dtype=np.float64)


def find_unit(
    columns: Mapping[str, Array], suffixes: Sequence[str], headings: Sequence[str], wish: str
) -> Degrees:
    """The unit of the temperatures, by role of the columns. Raises LogError where nothing tells it."""
    if wish:
        unit = UNITS.get(wish.strip().upper().removeprefix("°")[:1])
        if unit is None:
            raise LogError(f'--unit: "{wish}" is no unit of temperature: write F, C or K')
        return Degrees(unit)
    written = {UNITS[suffix] for suffix in suffixes if suffix in UNITS}
    written |= {UNITS[found[1].upper()] for heading in headings if (found := _HEADING.search(heading))}
    if len(written) == 1:
        return Degrees(written.pop())
    if len(written) > 1:
        raise LogError(f"the log names {' and '.join(sorted(written))}: say which with --unit F or --unit C")
    scores = {unit: likelihood(columns, unit) for unit in UNITS.values()}
    best = max(scores, key=lambda unit: scores[unit])
    others = max(score for unit, score in scores.items() if unit != best)
    if scores[best] < 1.0 or scores[best] == others:
        raise LogError(
            f"the figures {spans(columns)} fit no unit of temperature alone: say it with --unit F or --unit C"
        )
    why = f"the figures {spans(columns)} make a cook in {best} only"
    return Degrees(best, (Assumption("the unit of the temperatures", best, why, "--unit F or --unit C"),))


def likelihood(columns: Mapping[str, Array], unit: str) -> float:
    """How well the figures make a cook in a unit: points for each sign, many taken off for the impossible."""
    score = 0.0
    for role, values in columns.items():
        good = to_c(values[np.isfinite(values)], unit)
        if role not in {"pit", "thick", "thin"} or good.size == 0:
            continue
        high, middle = float(np.percentile(good, 99)), float(np.median(good))
        if role == "pit":
            score += 1.0 if PIT_C[0] <= middle <= PIT_C[1] else -5.0
        else:
            score += 1.0 if MEAT_C[0] <= float(np.percentile(good, 1)) <= MEAT_C[1] + 40.0 else -2.0
            score += 1.0 if 40.0 <= high <= HOTTEST_MEAT_C else -5.0
    return score


def spans(columns: Mapping[str, Array]) -> str:
    """From where to where the figures of each column run, in words."""
    return ", ".join(
        f"{role} {np.nanmin(values):.0f} to {np.nanmax(values):.0f}"
        for role, values in columns.items()
        if np.isfinite(values).any() and role != "humidity"
    )


def one_unit(columns: Mapping[str, Array], unit: str, time_s: Array) -> tuple[dict[str, Array], list[Remark]]:
    """Columns in °C, a stretch or a whole column in the other degrees put right and remarked on."""
    in_c = {role: values if role == "humidity" else to_c(values, unit) for role, values in columns.items()}
    if unit == "K":
        return in_c, []
    other = "°C" if unit == "°F" else "°F"
    remarks: list[Remark] = []
    for role in ("thick", "thin"):
        if role not in columns or not np.isfinite(columns[role]).any():
            continue
        swapped = to_c(columns[role], other)
        own = likelihood({role: columns[role]}, unit)
        if own < 0 and not cut_short(in_c[role], time_s) and likelihood({role: columns[role]}, other) >= 2.0:
            in_c[role] = swapped
            remarks.append(
                Remark("mixed degrees", None, f"the {role} probe is in {other}, the rest in {unit}")
            )
    temps = [role for role in ("pit", "thick", "thin") if role in columns]
    shifts = unit_shifts({role: columns[role] for role in temps}, unit)
    for start, stop in shifts:
        for role in temps:
            in_c[role][start:stop] = to_c(columns[role][start:stop], other)
        until = f" until {clock_words(time_s[stop])}" if stop < time_s.size else ""
        remarks.append(
            Remark("mixed degrees", float(time_s[start]), f"in {other} from here{until}; put right")
        )
    return in_c, remarks


def cut_short(meat_c: Array, time_s: Array) -> bool:
    """Whether a core that never gets hot may be the beginning of a cook: cold as meat is, and soon over."""
    good = meat_c[np.isfinite(meat_c)]
    starts = MEAT_C[0] <= float(np.percentile(good, 1)) <= MEAT_C[1]
    return starts and float(np.max(good)) < COLD_C and float(time_s[-1] - time_s[0]) < SHORT_S


def clock_words(seconds: float) -> str:
    """A time since the start, short."""
    return f"{int(seconds) // 3600} h {int(seconds) // 60 % 60} min"


def unit_shifts(columns: Mapping[str, Array], unit: str) -> list[tuple[int, int]]:
    """Stretches [start, stop) in which every column is in the other degrees than `unit`."""
    names = list(columns)
    if not names:
        return []
    size = columns[names[0]].size
    filled = np.stack([held(columns[name]) for name in names])
    other = "°C" if unit == "°F" else "°F"
    as_unit, as_other = to_c(filled, unit), to_c(filled, other)
    moved = (np.abs(np.diff(as_unit)) > JUMP_K).all(axis=0)
    left = np.flatnonzero(moved & stays(as_unit[:, :-1], as_other[:, 1:])) + 1
    returned = np.flatnonzero(moved & stays(as_other[:, :-1], as_unit[:, 1:])) + 1
    found: list[tuple[int, int]] = []
    for start in left:
        if found and start < found[-1][1]:
            continue
        later = returned[returned > start]
        found.append((int(start), int(later[0]) if later.size else size))
    if not found and returned.size:
        found.append((0, int(returned[0])))
    return found


def stays(before_c: Array, after_c: Array) -> NDArray[np.bool_]:
    """Whether no column moves more from one reading to the next than fire and probe do."""
    return np.asarray((np.abs(after_c - before_c) < DRIFT_K).all(axis=0))


def held(values: Array) -> Array:
    """Values with the last reading carried over where there is none."""
    good = np.isfinite(values)
    if not good.any():
        return np.zeros_like(values)
    index = np.maximum.accumulate(np.where(good, np.arange(values.size), 0))
    carried = values[index]
    carried[: int(np.argmax(good))] = values[int(np.argmax(good))]
    return np.asarray(carried, dtype=np.float64)
