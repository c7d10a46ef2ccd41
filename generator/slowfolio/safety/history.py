"""Courses of temperature over time with an ensemble axis: checking them and measuring along them.

Every rule of the package is a measurement of this kind: how long between, how long above, when first. A
course is piecewise linear between its samples and all lengths are exact for it. Times are in seconds, shape
(T,) or (M, T); temperatures in °C, shape (M, T); M is the number of ensemble members.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

COLDEST_PLAUSIBLE_C, HOTTEST_PLAUSIBLE_C = -60.0, 400.0
"""Outside of this a course was surely given in kelvin or is broken (CALIBRATED)."""

MAX_STEP_K = 0.2
"""Refined courses move at most this far in one step (CALIBRATED): with z = 5.5 K the midpoint rule then errs
by less than 0.05 % of a log reduction."""


_STILL_K = 1e-9


class SafetyInputError(ValueError):
    """Something handed to the rules cannot be judged; the message says what to give instead."""


def as_times(time_s: ArrayLike) -> FloatArray:
    """Return `time_s` as floats; SafetyInputError unless it is a row of two or more rising times.

    Shape (T,), or (M, T) for courses `clipped` by member, whose times may also stand still.
    """
    time = np.asarray(time_s, dtype=np.float64)
    if time.ndim not in (1, 2) or time.shape[-1] < 2:
        raise SafetyInputError("a course needs at least two times in one row: give seconds from the start")
    if not np.isfinite(time).all():
        raise SafetyInputError("a time is missing or infinite: leave out samples without a clock reading")
    steps = np.diff(time, axis=-1)
    if (steps < 0).any() or (time.ndim == 1 and (steps == 0).any()):
        raise SafetyInputError("the times do not rise from sample to sample: sort them and drop repeats")
    return time


def as_temperatures(temp_c: ArrayLike, times: int, *, name: str = "temperature") -> FloatArray:
    """Return `temp_c` as floats, shape (M, `times`); a single course of shape (T,) becomes one member."""
    temp = np.atleast_2d(np.asarray(temp_c, dtype=np.float64))
    if temp.ndim != 2 or temp.shape[1] != times or temp.shape[0] < 1:
        raise SafetyInputError(
            f"{name}: {temp.shape} values for {times} times: give one row of {times} values for each member"
        )
    if not np.isfinite(temp).all():
        raise SafetyInputError(f"{name}: a value is missing: leave out samples without a reading")
    low, high = float(temp.min()), float(temp.max())
    if low < COLDEST_PLAUSIBLE_C or high > HOTTEST_PLAUSIBLE_C:
        raise SafetyInputError(f"{name}: {low:g} to {high:g} cannot be meat in °C: convert it to °C first")
    return temp


def require_between(name: str, value: float, *, low: float, high: float, unit: str) -> float:
    """Return `value` if it lies from `low` to `high`, else raise SafetyInputError with the range allowed."""
    if not low <= value <= high:
        raise SafetyInputError(f"{name} is {value:g} {unit}: give a value from {low:g} to {high:g} {unit}")
    return float(value)


def refined(
    time_s: FloatArray, temp_c: FloatArray, max_step_k: float = MAX_STEP_K
) -> tuple[FloatArray, FloatArray]:
    """Return the same course with samples put in between, so that no member moves more than `max_step_k`.

    Shapes (T,) or (M, T) and (M, T) in, the same with more samples out.
    """
    moves = np.abs(np.diff(temp_c, axis=-1)).max(axis=0)
    pieces = np.maximum(np.ceil(moves / max_step_k), 1.0).astype(np.int64)
    segment = np.repeat(np.arange(pieces.size), pieces)
    within = np.arange(segment.size) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = within / pieces[segment]

    def spread(values: FloatArray) -> FloatArray:
        between = values[..., segment] + share * (values[..., segment + 1] - values[..., segment])
        return np.concatenate([between, values[..., -1:]], axis=-1)

    return spread(time_s), spread(temp_c)


def clipped(
    time_s: FloatArray, temp_c: FloatArray, start_s: ArrayLike, end_s: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """Return each member's course between its own `start_s` and `end_s`, both broadcast to (M,).

    Same number of samples; those outside collapse onto the ends, so every length measured along the result
    counts the interval alone. Shapes (T,) and (M, T) in, (M, T) and (M, T) out.
    """
    members = temp_c.shape[0]
    starts = np.broadcast_to(np.asarray(start_s, dtype=np.float64), (members,))
    ends = np.broadcast_to(np.asarray(end_s, dtype=np.float64), (members,))
    if not (np.isfinite(starts).all() and np.isfinite(ends).all() and (starts <= ends).all()):
        raise SafetyInputError("an interval ends before it starts: give start and end in seconds, in order")
    if (starts < time_s[0]).any() or (ends > time_s[-1]).any():
        raise SafetyInputError("an interval lies outside the course: give times between its first and last")
    times = np.clip(np.broadcast_to(time_s, temp_c.shape), starts[:, None], ends[:, None])
    temps = np.stack([np.interp(row, time_s, temp) for row, temp in zip(times, temp_c, strict=True)])
    return times, temps


def time_below_s(time_s: FloatArray, temp_c: FloatArray, limit_c: float) -> FloatArray:
    """Return the seconds each member spends below `limit_c`, shape (M,); at the limit does not count."""
    result: FloatArray = np.sum(np.diff(time_s, axis=-1) * _share_below(temp_c, limit_c), axis=-1)
    return result


def time_between_s(time_s: FloatArray, temp_c: FloatArray, *, low_c: float, high_c: float) -> FloatArray:
    """Return the seconds each member spends at or above `low_c` and below `high_c`, shape (M,)."""
    return time_below_s(time_s, temp_c, high_c) - time_below_s(time_s, temp_c, low_c)


def cumulative_time_between_s(
    time_s: FloatArray, temp_c: FloatArray, *, low_c: float, high_c: float
) -> FloatArray:
    """Return the seconds spent from `low_c` to below `high_c` up to each sample, shape (M, T)."""
    inside = _share_below(temp_c, high_c) - _share_below(temp_c, low_c)
    return _cumulative(np.diff(time_s, axis=-1) * inside)


def times_below(temp_c: FloatArray, limit_c: float) -> NDArray[np.int64]:
    """Return how many separate times each member is below `limit_c`, shape (M,)."""
    below = temp_c < limit_c
    entries = below[:, 1:] & ~below[:, :-1]
    return np.asarray(entries.sum(axis=1) + below[:, 0], dtype=np.int64)


def longest_time_at_or_above_s(time_s: FloatArray, temp_c: FloatArray, limit_c: float) -> FloatArray:
    """Return each member's longest unbroken stay at or above `limit_c`, seconds, shape (M,)."""
    steps = np.broadcast_to(np.diff(time_s, axis=-1), temp_c[:, 1:].shape)
    above = steps * (1.0 - _share_below(temp_c, limit_c))
    inside = temp_c >= limit_c
    stay = np.zeros(temp_c.shape[0])
    longest = np.zeros(temp_c.shape[0])
    for index in range(steps.shape[1]):
        stay = np.where(inside[:, index], stay, 0.0) + above[:, index]
        longest = np.maximum(longest, stay)
        stay = np.where(inside[:, index + 1], stay, 0.0)
    return longest


def first_time_at_or_above_s(time_s: FloatArray, temp_c: FloatArray, limit_c: float) -> FloatArray:
    """Return when each member first is at or above `limit_c`, shape (M,); infinity where it never is."""
    return _first_time(time_s, temp_c - limit_c)


def first_time_at_or_below_s(time_s: FloatArray, temp_c: FloatArray, limit_c: float) -> FloatArray:
    """Return when each member first falls to `limit_c`, shape (M,); infinity where it never does."""
    return _first_time(time_s, limit_c - temp_c)


def running_integral(time_s: FloatArray, rate_per_s: FloatArray) -> FloatArray:
    """Return the integral up to each sample of a rate given by step; shape (M, T - 1) in, (M, T) out."""
    return _cumulative(np.diff(time_s, axis=-1) * rate_per_s)


def _share_below(temp_c: FloatArray, limit_c: float) -> FloatArray:
    start, end = temp_c[..., :-1], temp_c[..., 1:]
    low, high = np.minimum(start, end), np.maximum(start, end)
    span = high - low
    moving = span > _STILL_K
    crossing = np.clip((limit_c - low) / np.where(moving, span, 1.0), 0.0, 1.0)
    return np.where(moving, crossing, (low < limit_c).astype(np.float64))


def _first_time(time_s: FloatArray, surplus: FloatArray) -> FloatArray:
    reached = surplus >= 0
    members = np.arange(surplus.shape[0])
    index = np.argmax(reached, axis=1)
    before = np.maximum(index - 1, 0)
    times = np.broadcast_to(time_s, surplus.shape)
    rise = surplus[members, index] - surplus[members, before]
    share = np.where(rise > 0, -surplus[members, before] / np.where(rise > 0, rise, 1.0), 1.0)
    moment = times[members, before] + share * (times[members, index] - times[members, before])
    return np.where(reached.any(axis=1), np.where(index == 0, times[:, 0], moment), np.inf)


def _cumulative(steps: FloatArray) -> FloatArray:
    start = np.zeros((*steps.shape[:-1], 1))
    return np.concatenate([start, np.cumsum(steps, axis=-1)], axis=-1)
