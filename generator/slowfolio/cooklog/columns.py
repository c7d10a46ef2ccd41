"""Which column of a log holds what: as it was told, by its heading, or by how its figures behave.

Roles are those of the card: time, pit, thick, thin, humidity. Called by `importing` only.
"""

import re
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from slowfolio.book.findings import close_match, listed
from slowfolio.cooklog.remarks import Assumption, LogError

Array = NDArray[np.float64]

ROLES = ("time", "pit", "thick", "thin", "humidity")
TEMPERATURES = ("pit", "thick", "thin")
_WORDS: Mapping[str, str] = {
    "humidity": r"humidity|rh|hygro\w*|feuchte|humidité",
    "set point": r"set|setpoint|target|alarm|goal|soll|fan|output|duty|battery|volt\w*",
    "pit": r"pit|grill|grate|ambient|chamber|smoker|cooker|oven|air|cabinet|kammer|garraum|barrel|box",
    "thin": r"thin|flat",
    "thick": r"thick|point|core|internal|meat|food|brisket|pork|butt|shoulder|kern|fleisch|turkey|ribs?",
    "time": r"time|timestamp|date|datetime|clock|elapsed|uhrzeit|zeit|datum|heure|hora|minutes?|seconds?"
    r"|hours?|sec|min",
}
"""Words in headings by role. Common practice, no source."""


def told(text: str) -> dict[str, str]:
    """The option --map "time=Time,pit=2" as roles and columns. Raises LogError for what is no mapping."""
    found: dict[str, str] = {}
    for item in filter(None, (part.strip() for part in text.split(","))):
        role, equals, column = item.partition("=")
        role = role.strip().lower()
        if not equals or role not in ROLES or not column.strip():
            raise LogError(f'--map: "{item}" is no mapping: write role=column, roles are {listed(ROLES)}')
        if role in found:
            raise LogError(f"--map: {role} is named twice: one column each")
        found[role] = column.strip()
    return found


def place(name: str, headings: Sequence[str]) -> int:
    """The column of a heading, or of a number from 1. Raises LogError for one that is not there."""
    lower = [heading.strip().lower() for heading in headings]
    wanted = name.strip().lower()
    if lower.count(wanted) == 1:
        return lower.index(wanted)
    if lower.count(wanted) > 1:
        raise LogError(f'--map: {lower.count(wanted)} columns are called "{name}": name it by its number')
    if wanted.isdigit() and 1 <= int(wanted) <= len(headings):
        return int(wanted) - 1
    there = [heading for heading in headings if heading]
    meant = close_match(name, there)
    advice = (
        f"did you mean {meant}?" if meant else f"there are {listed(there) or f'columns 1 to {len(headings)}'}"
    )
    raise LogError(f'the log has no column "{name}"; {advice}')


def by_heading(headings: Sequence[str]) -> dict[str, int | tuple[int, ...]]:
    """Roles that the headings tell. Date and time in two columns are both the time."""
    found: dict[str, int | tuple[int, ...]] = {}
    times: list[int] = []
    for index, heading in enumerate(headings):
        words = re.sub(r"[_\-/()\[\].:]+", " ", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading))
        role = next((role for role, of in _WORDS.items() if re.search(rf"\b({of})\b", words, re.I)), None)
        if role == "time":
            times.append(index)
        elif role in ROLES and role is not None:
            found.setdefault(role, index)
    if times:
        named = {headings[index].strip().lower(): index for index in times}
        day = next((named[word] for word in ("date", "datum", "day") if word in named), None)
        clock = next(
            (named[word] for word in ("time", "clock", "uhrzeit", "zeit", "heure") if word in named), None
        )
        found["time"] = (day, clock) if day is not None and clock is not None else times[0]
    return found


def by_behaviour(columns: Mapping[int, Array], taken: Sequence[int]) -> dict[str, int]:
    """Roles told by the figures: the pit is hot and steady, meat climbs from cold; thick climbs last."""
    meats: list[tuple[float, int]] = []
    pits: list[tuple[float, int]] = []
    for index, values in columns.items():
        good = values[np.isfinite(values)]
        if index in taken or good.size < 10 or np.ptp(good) < 3.0:
            continue
        early, middle = float(np.median(good[: max(3, good.size // 20)])), float(np.median(good))
        climb = float(np.median(good[-max(3, good.size // 10) :])) - early
        if good.min() < 80.0 and climb > 0.25 * np.ptp(good) and early < 0.55 * float(good.max()):
            meats.append((halfway(good), index))
        else:
            pits.append((middle, index))
    found: dict[str, int] = {}
    if pits:
        found["pit"] = max(pits)[1]
    if meats:
        found["thick"] = max(meats)[1]
        if len(meats) > 1:
            found["thin"] = min(meats)[1]
    return found


def halfway(good: Array) -> float:
    """How far into its readings a probe first comes half the way from its coldest to its hottest."""
    first = np.flatnonzero(good >= 0.5 * (good.min() + good.max()))
    return float(first[0]) / good.size


def stated(roles: Mapping[str, int], headings: Sequence[str]) -> Assumption:
    """The assumption that the figures told what is what."""
    text = ",".join(f"{role}={headings[index] or index + 1}" for role, index in roles.items())
    return Assumption("which column is what", text, "by how the figures behave", f'--map "{text}"')
