"""The times of a log as seconds since its first reading, whatever they are written as.

Dates in any order, clocks that pass midnight or change to summer time and back, time since the start, seconds
since 1970, a spreadsheet's day numbers. `clock_patterns` reads the texts; this decides what they mean.
"""

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.clock_patterns import (
    DATE_AND_CLOCK,
    ELAPSED,
    Parts,
    elapsed_s,
    is_clock,
    is_iso,
    iso_s,
    number_or_nan,
    parts_of,
    strptime_s,
)
from slowfolio.cooklog.remarks import Assumption, LogError, Remark

Array = NDArray[np.float64]

DAY, HALF_DAY, HOUR = 86_400.0, 43_200.0, 3_600.0
LONGEST_S = 5 * DAY
SHORTEST_S = 10 * 60.0
EPOCH_S = (3e8, 4.2e9)
EPOCH_MS = (3e11, 4.2e12)
DAY_NUMBERS = (30_000.0, 80_000.0)
"""Days since 1899-12-30, as spreadsheets count them: 1982 to 2119."""
DAY_ZERO = datetime(1899, 12, 30)
UNITS_S = {"s": 1.0, "min": 60.0, "h": HOUR}
UNIT_WORDS = {
    "s": ("s", "sec", "secs", "second", "seconds", "sek"),
    "min": ("m", "min", "mins", "minute", "minutes", "minuten"),
    "h": ("h", "hr", "hrs", "hour", "hours", "std", "stunden"),
}
SINCE_WORDS = ("elapsed", "duration", "since", "run", "runtime", "laufzeit", "dauer")
BAD_SHARE = 0.05


@dataclass(frozen=True, slots=True)
class Times:
    """When each row was read: s since the first, rows kept (indices, in order), and how it was written.

    `began` is the local time of the first reading, None where the log tells none.
    """

    seconds: Array
    rows: NDArray[np.int64]
    began: datetime | None
    kind: str
    format: str
    unit: str
    remarks: tuple[Remark, ...]
    assumptions: tuple[Assumption, ...]


@dataclass(frozen=True, slots=True)
class TimeWish:
    """What is known of the times beforehand: kind and unit as on the card, strptime format, start."""

    kind: str = ""
    format: str = ""
    unit: str = ""
    start: datetime | None = None


def read_times(cells: list[str], lines: list[int], heading: str, wish: TimeWish) -> Times:
    """Return the times of a column. Raises LogError with the line of the first cell that is no time."""
    texts = [cell.strip().strip("'\"") for cell in cells]
    if wish.format:
        return dated(strptime_s(texts, lines, wish.format), lines, "date and clock", wish, ())
    numbers = number_or_nan(texts)
    if np.isfinite(numbers).mean() > 1 - BAD_SHARE:
        return of_numbers(numbers, lines, heading, wish)
    if is_iso(texts):
        return dated(iso_s(texts), lines, "date and clock", wish, ())
    if wish.kind != "elapsed" and (parts := parts_of(DATE_AND_CLOCK, texts, BAD_SHARE)) is not None:
        seconds, assumptions = of_dates(parts)
        return dated(seconds, lines, "date and clock", wish, assumptions)
    if is_clock(texts, BAD_SHARE) and wish.kind != "elapsed" and not looks_elapsed(texts, heading, wish):
        return of_clock(texts, lines, wish)
    if (parts := parts_of(ELAPSED, texts, BAD_SHARE)) is not None:
        return of_elapsed(texts, lines, wish)
    bad = next((i for i, text in enumerate(texts) if text and not number_like(text)), 0)
    raise LogError(
        f'line {lines[bad]}: "{texts[bad][:40]}" is no time that can be read: say how it is written with '
        '--time-format, such as "%d.%m.%Y %H:%M:%S", or name another column with --map time=...'
    )


def number_like(text: str) -> bool:
    """Whether a text is a plain number."""
    return bool(np.isfinite(number_or_nan([text])[0]))


# --- numbers ----------------------------------------------------------------------------------------


def of_numbers(numbers: Array, lines: list[int], heading: str, wish: TimeWish) -> Times:
    """Times written as plain numbers: by their size, their heading, or how long a cook can last."""
    middle = float(np.nanmedian(numbers))
    if wish.kind == "seconds since 1970" or (not wish.kind and EPOCH_S[0] < middle < EPOCH_S[1]):
        return dated(numbers, lines, "seconds since 1970", wish, ())
    if wish.kind == "milliseconds since 1970" or (not wish.kind and EPOCH_MS[0] < middle < EPOCH_MS[1]):
        return dated(numbers / 1000.0, lines, "milliseconds since 1970", wish, ())
    span = float(np.nanmax(numbers) - np.nanmin(numbers))
    is_day = DAY_NUMBERS[0] < middle < DAY_NUMBERS[1] and span < LONGEST_S / DAY
    if wish.kind == "day number" or (not wish.kind and is_day):
        epoch = (DAY_ZERO - datetime(1970, 1, 1)).total_seconds()
        return dated(numbers * DAY + epoch, lines, "day number", wish, ())
    unit = wish.unit
    assumptions: tuple[Assumption, ...] = ()
    if not unit:
        unit, assumptions = unit_of_elapsed(numbers, heading)
    return finished(numbers * UNITS_S[unit], lines, "elapsed", "", unit, wish.start, assumptions)


def unit_of_elapsed(numbers: Array, heading: str) -> tuple[str, tuple[Assumption, ...]]:
    """The unit of a plain time since the start: from the heading, else the one that makes a cook's length."""
    words = "".join(letter if letter.isalpha() else " " for letter in heading.lower()).split()
    for unit, names in UNIT_WORDS.items():
        if any(word in names for word in words):
            return unit, ()
    span = float(np.nanmax(numbers) - np.nanmin(numbers))
    step = float(np.nanmedian(np.abs(np.diff(numbers)))) if numbers.size > 1 else 0.0
    fits = [
        unit
        for unit, seconds in UNITS_S.items()
        if 1.5 * HOUR <= span * seconds <= 2 * DAY and 0.5 <= step * seconds <= 30 * 60.0
    ]
    if not fits:
        raise LogError(
            f"the times run from {np.nanmin(numbers):g} to {np.nanmax(numbers):g} and name no unit, and no "
            'unit makes a cook of them: say it with --time-format "s", "min" or "h"'
        )
    unit = (
        fits[-1]
        if len(fits) == 1
        else min(fits, key=lambda name: abs(np.log(span * UNITS_S[name] / (10 * HOUR))))
    )
    taken = Assumption(
        "the unit of the time",
        unit,
        f"the log then lasts {span * UNITS_S[unit] / HOUR:.1f} h",
        f'--time-format "{unit}"',
    )
    return unit, (taken,)


# --- dates ------------------------------------------------------------------------------------------


def of_dates(parts: Parts) -> tuple[Array, tuple[Assumption, ...]]:
    """Dates with a clock: year first, or day and month in the order that keeps the log short and in order."""
    if parts.year_first or parts.month_named:
        return parts.seconds(day_first=parts.month_named), ()
    both = {order: parts.seconds(day_first=order) for order in (True, False)}
    possible = [order for order, seconds in both.items() if is_cook_long(seconds)]
    if len(possible) == 1 or np.array_equal(both[True], both[False]):
        return both[possible[0] if possible else True], ()
    american = parts.separator == "/" and parts.half_day
    chosen = "month before day" if american else "day before month"
    why = "slashes and am/pm" if american else "both orders are possible"
    option = '--time-format "%m/%d/%Y ..." or "%d/%m/%Y ..."'
    return both[not american], (Assumption("the order of the date", chosen, why, option),)


def is_cook_long(seconds: Array) -> bool:
    """Whether nearly all dates exist and lie within the days a cook can last."""
    good = seconds[np.isfinite(seconds)]
    return good.size > (1 - BAD_SHARE) * seconds.size and float(np.ptp(good)) <= LONGEST_S


def dated(
    seconds: Array,
    lines: list[int],
    kind: str,
    wish: TimeWish,
    assumptions: tuple[Assumption, ...],
) -> Times:
    """Times on a calendar: seconds since 1970 by the clock on the wall (or by UTC where they say so)."""
    first = float(np.nanmin(seconds)) if np.isfinite(seconds).any() else np.nan
    if not np.isfinite(first):
        raise LogError("no line has a time that can be read: say how it is written with --time-format")
    began = wish.start or datetime(1970, 1, 1) + timedelta(seconds=first)
    if kind.endswith("since 1970") and wish.start is None:
        began = datetime.fromtimestamp(first, UTC)
    return finished(seconds, lines, kind, wish.format, "", began, assumptions)


# --- clock and elapsed ------------------------------------------------------------------------------


def looks_elapsed(texts: list[str], heading: str, wish: TimeWish) -> bool:
    """Whether h:mm:ss counts from the start: it says so, starts at nothing, or passes twenty-four hours."""
    if wish.kind == "clock" or wish.start is not None:
        return False
    words = heading.lower().replace("_", " ").split()
    if any(word.strip("():") in SINCE_WORDS for word in words):
        return True
    found = [text for text in texts if text]
    if any(letter in text.lower() for text in found[:5] for letter in ("am", "pm", "a.m", "p.m")):
        return False
    first = elapsed_s(found[0]) if found else None
    largest = max((float(text.partition(":")[0]) for text in found if text[:1].isdigit()), default=0.0)
    return largest >= 24 or (first is not None and first < 60.0)


def of_clock(texts: list[str], lines: list[int], wish: TimeWish) -> Times:
    """Clock times without a date: midnight, the turn of a twelve-hour clock and of summer time are found."""
    parts = parts_of(is_clock.pattern, texts, BAD_SHARE)
    assert parts is not None
    seconds = parts.clock_s
    remarks: list[Remark] = []
    step = np.diff(seconds)
    turn = HALF_DAY if parts.twelve_hours else DAY
    added = np.zeros_like(seconds)
    usual = float(np.nanmedian(step[step > 0])) if (step > 0).any() else 60.0
    for index in np.flatnonzero(step < -30.0):
        back = float(step[index])
        if back < -0.45 * turn:
            added[index + 1 :] += turn
        elif -1.5 * HOUR < back <= -HOUR + 3 * usual + 1.0:
            added[index + 1 :] += HOUR
            words = f"line {lines[index + 1]}: the clock goes back an hour; taken as the end of summer time"
            remarks.append(Remark("clock change", None, words))
    began = wish.start
    times = finished(seconds + added, lines, "clock", "", "", began, ())
    return Times(
        times.seconds, times.rows, began, "clock", "", "", (*remarks, *times.remarks), times.assumptions
    )


def of_elapsed(texts: list[str], lines: list[int], wish: TimeWish) -> Times:
    """Time since the start as h:mm:ss, mm:ss or "2 h 5 min"."""
    two_parts = all(text.count(":") == 1 for text in texts if text)
    seconds = np.array([np.nan if (value := elapsed_s(text)) is None else value for text in texts])
    assumptions: tuple[Assumption, ...] = ()
    unit = wish.unit or "h"
    if two_parts and not wish.unit:
        span = float(np.nanmax(seconds) - np.nanmin(seconds))
        if span > 3 * DAY:
            unit = "min"
        elif span <= LONGEST_S:
            words = f"the log then lasts {span / HOUR:.1f} h"
            assumptions = (
                Assumption("the parts of the time", "hours and minutes", words, '--time-format "min"'),
            )
    if two_parts and unit == "min":
        seconds = seconds / 60.0
        assumptions = ()
    return finished(seconds, lines, "elapsed", "", unit, wish.start, assumptions)


# --- what all have in common ------------------------------------------------------------------------


def finished(
    seconds: Array,
    lines: list[int],
    kind: str,
    form: str,
    unit: str,
    began: datetime | None,
    assumptions: tuple[Assumption, ...],
) -> Times:
    """Rows in order, each time once, readings within one minute spread over it, counted from the first."""
    remarks: list[Remark] = []
    rows = np.flatnonzero(np.isfinite(seconds))
    if rows.size < seconds.size:
        bad = next(i for i in range(seconds.size) if not np.isfinite(seconds[i]))
        words = f"{seconds.size - rows.size} lines have no time, the first is line {lines[bad]}; left out"
        remarks.append(Remark("no time", None, words))
    values = seconds[rows]
    if values.size < 2:
        raise LogError("the log has fewer than two readings with a time: check the time column")
    step = np.diff(values)
    if (step < 0).mean() > 0.5:
        values, rows = values[::-1], rows[::-1]
        remarks.append(Remark("newest first", None, "the newest reading stands first; turned round"))
        step = np.diff(values)
    if (step < 0).any():
        late = int(np.flatnonzero(step < 0)[0])
        order = np.argsort(values, kind="stable")
        where = lines[int(rows[late + 1])]
        words = f"{int((step < 0).sum())} lines are out of order, the first is line {where}; sorted"
        remarks.append(Remark("out of order", None, words))
        values, rows = values[order], rows[order]
    values, rows = without_repeats(values, rows, remarks)
    span = float(values[-1] - values[0])
    if not SHORTEST_S <= span <= LONGEST_S:
        raise LogError(
            f"the log would last {span / HOUR:.2f} h; a cook lasts from {SHORTEST_S / 60:.0f} min to "
            f"{LONGEST_S / DAY:.0f} days: check the time column, or say how it is written with --time-format"
        )
    return Times(values - values[0], rows, began, kind, form, unit, tuple(remarks), assumptions)


def without_repeats(
    values: Array, rows: NDArray[np.int64], remarks: list[Remark]
) -> tuple[Array, NDArray[np.int64]]:
    """Each time once: a clock of whole minutes is spread over them, a line that comes twice counts once."""
    same = np.diff(values) <= 0
    if not same.any():
        return values, rows
    if same.mean() > 0.3:
        starts = np.flatnonzero(np.concatenate(([True], ~same)))
        counts = np.diff(np.concatenate((starts, [values.size])))
        usual = Counter(np.diff(values[starts]).tolist()).most_common(1)[0][0] if starts.size > 1 else 60.0
        place = np.arange(values.size) - np.repeat(starts, counts)
        share = place / np.maximum(np.repeat(counts, counts), np.median(counts))
        remarks.append(
            Remark("coarse clock", None, f"several readings carry one time; spread over {usual:.0f} s each")
        )
        return values + share * usual, rows
    keep = np.concatenate(([True], ~same))
    remarks.append(
        Remark("repeated time", None, f"{int(same.sum())} times come twice; the first reading was kept")
    )
    return values[keep], rows[keep]


def day_of(began: datetime | None) -> date | None:
    """The day a log began on."""
    return None if began is None else began.date()
