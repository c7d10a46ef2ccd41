"""The texts of times: dates in any order, clocks, time since the start. Texts to numbers only.

What an ambiguous date means is decided in `clock`, the only caller.
"""

import re
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.remarks import LogError

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

MONTHS = {
    "jan": 1, "ene": 1, "gen": 1, "feb": 2, "fév": 2, "mar": 3, "mär": 3, "mrz": 3, "apr": 4, "abr": 4,
    "avr": 4, "may": 5, "mai": 5, "mag": 5, "jun": 6, "giu": 6, "jul": 7, "lug": 7, "aug": 8, "ago": 8,
    "aoû": 8, "sep": 9, "set": 9, "oct": 10, "okt": 10, "ott": 10, "nov": 11, "dec": 12, "dez": 12,
    "déc": 12, "dic": 12,
}  # fmt: skip
"""First letters of the months in English, German, French, Spanish and Italian."""

_CLOCK = (
    r"(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?:[:.](?P<second>\d{2}(?:[.,]\d+)?))?\s*"
    r"(?P<half>[ap]\.?\s?m\.?)?"
)
_NAMED = r"[^\W\d_]{3,}\.?"
DATE_AND_CLOCK = re.compile(
    rf"(?:{_NAMED},?\s+)?(?P<a>\d{{1,4}}|{_NAMED})(?P<sep>[./\- ])\s*(?P<b>\d{{1,2}}|{_NAMED})"
    rf"(?:[./\-, ]\s*(?P<c>\d{{2,4}}))?(?:[T,\s]\s*|\s+at\s+){_CLOCK}",
    re.I,
)
CLOCK = re.compile(_CLOCK, re.I)
ELAPSED = re.compile(
    r"(?:(?P<days>\d+)\s*(?:d|days?)[\s,]*)?(?:(?P<hour>\d+):(?P<minute>\d{1,2})(?::(?P<second>\d{1,2}(?:[.,]\d+)?))?"
    r"|(?:(?P<h>\d+)\s*h(?:\w*))?\s*(?:(?P<m>\d+)\s*m(?:in\w*)?)?\s*(?:(?P<s>\d+)\s*s(?:\w*))?)",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of many dates and clocks; rows that could not be read are NaN in `clock_s`."""

    first: Whole
    second: Whole
    year: Whole
    clock_s: Array
    separator: str
    year_first: bool
    month_named: bool
    half_day: bool
    twelve_hours: bool

    def seconds(self, *, day_first: bool) -> Array:
        """Seconds since 1970 by the clock on the wall."""
        if self.year_first:
            year, month, day = self.first, self.second, self.year
        else:
            day, month = (self.first, self.second) if day_first else (self.second, self.first)
            year = self.year
        good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & np.isfinite(self.clock_s)
        months = (np.where(good, year, 1970) - 1970) * 12 + np.where(good, month, 1) - 1
        days = (
            months.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
            + np.where(good, day, 1)
            - 1
        )
        return np.where(good, days * 86_400.0 + self.clock_s, np.nan)


def parts_of(pattern: re.Pattern[str], texts: list[str], bad_share: float) -> Parts | None:
    """The parts of all texts, or None where too many do not fit the pattern."""
    found = [pattern.fullmatch(text) if text else None for text in texts]
    good = [match for match in found if match is not None and match.group()]
    written = sum(bool(text) for text in texts)
    if not good or written - len(good) > max(3, bad_share * written):
        return None
    if pattern is ELAPSED:
        empty = np.zeros(0, dtype=np.int64)
        return Parts(empty, empty, empty, np.zeros(0), "", False, False, False, False)
    clocks = np.array([np.nan if match is None else clock_s(match) for match in found])
    halves = any(match["half"] for match in good)
    twelve = not halves and max(int(match["hour"]) for match in good) <= 12
    if pattern is CLOCK:
        empty = np.zeros(0, dtype=np.int64)
        return Parts(empty, empty, empty, clocks, "", False, False, halves, twelve)
    a, b, c = (np.array([0 if m is None else date_part(m[name]) for m in found]) for name in "abc")
    sample = good[0]
    named = not sample["a"].isdigit() or not sample["b"].isdigit()
    if not sample["a"].isdigit():
        a, b = b, a
    year_first = sample["a"].isdigit() and len(sample["a"]) == 4
    year = c if year_first else np.where((c > 0) & (c < 100), c + 2000, np.where(c == 0, 1970, c))
    return Parts(a, b, year, clocks, sample["sep"], year_first, named, halves, twelve)


def date_part(text: str | None) -> int:
    """A day, month or year; months may be named."""
    if not text:
        return 0
    return int(text) if text.isdigit() else MONTHS.get(text[:3].lower(), 0)


def clock_s(match: re.Match[str]) -> float:
    """Seconds since midnight; NaN for a clock that does not exist."""
    hour, minute = int(match["hour"]), int(match["minute"])
    second = float((match["second"] or "0").replace(",", "."))
    half = (match["half"] or "").lower()
    if half:
        hour = hour % 12 + 12 * half.startswith("p")
    return (
        hour * 3600.0 + minute * 60.0 + second if hour <= 24 and minute < 60 and second < 61 else float("nan")
    )


class _ClockTest:
    """Whether texts are clock times; keeps the pattern at hand for whoever reads them."""

    pattern = CLOCK

    def __call__(self, texts: list[str], bad_share: float) -> bool:
        return parts_of(CLOCK, texts, bad_share) is not None


is_clock = _ClockTest()


def is_iso(texts: list[str]) -> bool:
    """Whether the first texts are ISO 8601 times with their offset from UTC."""
    found = [text for text in texts if text][:20]
    return bool(found) and all(_iso(text) is not None for text in found)


def iso_s(texts: list[str]) -> Array:
    """ISO times with offset as seconds since 1970 by the wall clock of the first one."""
    moments = [_iso(text) for text in texts]
    first = next(moment for moment in moments if moment is not None)
    offset = first.utcoffset()
    assert offset is not None
    return np.array(
        [np.nan if each is None else each.timestamp() + offset.total_seconds() for each in moments]
    )


def _iso(text: str) -> datetime | None:
    if len(text) < 17 or not text[:4].isdigit():
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else None


def strptime_s(texts: list[str], lines: list[int], form: str) -> Array:
    """Times in a stated format as seconds since 1970 by the clock on the wall."""
    seconds = np.full(len(texts), np.nan)
    known: dict[str, float] = {}
    for index, text in enumerate(texts):
        if not text:
            continue
        if text not in known:
            try:
                moment = datetime.strptime(text, form)
            except ValueError as error:
                if index > len(texts) // 2 and len(known) > 2:
                    known[text] = float("nan")
                    continue
                raise LogError(
                    f'line {lines[index]}: "{text[:40]}" is not as --time-format "{form}" says: {error}'
                ) from error
            known[text] = (moment.replace(tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()
        seconds[index] = known[text]
    return seconds


def elapsed_s(text: str) -> float | None:
    """A time since the start in s; None where it is none. Two parts are hours and minutes."""
    match = ELAPSED.fullmatch(text)
    if match is None or not match.group():
        return None
    days = 86_400.0 * int(match["days"] or 0)
    if match["hour"] is not None:
        second = float((match["second"] or "0").replace(",", "."))
        return days + 3600.0 * int(match["hour"]) + 60.0 * int(match["minute"]) + second
    if not (match["h"] or match["m"] or match["s"] or days):
        return None
    return days + 3600.0 * int(match["h"] or 0) + 60.0 * int(match["m"] or 0) + float(match["s"] or 0)


def number_or_nan(texts: list[str]) -> Array:
    """Plain numbers, a decimal comma allowed; NaN for other texts."""
    values = np.full(len(texts), np.nan)
    for index, text in enumerate(texts):
        try:
            values[index] = float(text.replace(",", "."))
        except ValueError:
            continue
    return values
