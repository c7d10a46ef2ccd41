"""What happened in a cook, found in its log: meat on, door, stall, wrap, finish, vent, hold.

Works on a grid of minutes. Everything found is a proposal: the card of the cook keeps it and the cook may
correct it. Called by `importing` only.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.recording import Event, Recording
from slowfolio.cooklog.remarks import Remark, since_start
from slowfolio.forecast.stall import stall_window_h

Array = NDArray[np.float64]

MINUTE_S = 60.0
# CALIBRATED choices, no source: how fire, door and meat show in a log.
RAW_BELOW_C = 32.0
DOOR_DIP_K, DOOR_MINUTES, DOOR_BACK_SHARE, DOOR_BACK_MINUTES = 7.0, 4, 0.5, 45
COOKED_ABOVE_C = 62.0
OFF_BELOW_C = 62.0
HOLD_AIR_C = (45.0, 100.0)
WRAP_FROM_C, WRAP_TO_C = 50.0, 90.0
WRAP_GAIN_K_H, WRAP_RATIO, WRAP_MINUTES = 4.0, 1.5, 40
HOTTER_PIT_K, NEAR_TARGET_K = 4.0, 8.0
ON_BEFORE_RISE_MINUTES = 90
MOST_DOORS = 40


def with_events(recording: Recording, *, wrapped: bool, wrap_core_c: float | None = None) -> Recording:
    """The recording with the events found in it; `wrapped`: whether the method wraps the piece on the way,
    and `wrap_core_c` at which core, where the card says.
    """
    if not recording.has("thick") or recording.events:
        return recording
    grid_s = np.arange(0.0, recording.time_s[-1] + 1.0, MINUTE_S)
    thick, pit = smooth(recording, "thick", grid_s), smooth(recording, "pit", grid_s)
    on = meat_on(thick, pit)
    off, hold, ended = finish(thick, pit, on)
    doors = door_openings(pit, on, off)
    events = [Event("meat on", on * MINUTE_S)]
    events += [Event("door", minute * MINUTE_S) for minute, _ in doors[:MOST_DOORS]]
    stall = stall_minutes(thick, on, off)
    if stall is not None:
        events += [Event("stall start", stall[0] * MINUTE_S), Event("stall end", stall[1] * MINUTE_S)]
    wrap = wrap_minute(thick, pit, [minute for minute, _ in doors], on, off, wrap_core_c) if wrapped else None
    if wrap is not None:
        events.append(Event("wrap", wrap * MINUTE_S))
    remarks = list(recording.remarks)
    if off is not None:
        events.append(Event("finish", off * MINUTE_S))
        if hold is not None and hold - off >= 3:
            events.append(Event("vent", off * MINUTE_S))
        if hold is not None:
            events.append(Event("hold", hold * MINUTE_S))
    else:
        remarks.append(
            Remark("no finish", None, "where the piece came off the pit does not show; note it on the card")
        )
    events.append(Event("end", (ended if ended is not None else grid_s.size - 1) * MINUTE_S))
    if doors:
        remarks.append(door_remark(doors))
    order = ["meat on", "door", "stall start", "stall end", "wrap", "finish", "vent", "hold", "end"]
    events.sort(key=lambda event: (event.at_s, order.index(event.what)))
    return replace(recording, events=tuple(events), remarks=tuple(remarks))


def smooth(recording: Recording, role: str, grid_s: Array) -> Array:
    """A column on the grid of minutes, straight over what is missing; all NaN where there is none."""
    values = recording.series(role)
    good = np.isfinite(values)
    if good.sum() < 3:
        return np.full(grid_s.shape, np.nan)
    return np.asarray(np.interp(grid_s, recording.time_s[good], values[good]), dtype=np.float64)


def meat_on(thick: Array, pit: Array) -> int:
    """The minute the piece went on: the last door before the core first climbs, else shortly before that."""
    hottest = int(np.argmax(thick))
    head = thick[: max(2, hottest)]
    cold = int(head.size - 1 - np.argmin(head[::-1])) if head.min() < RAW_BELOW_C else 0
    rise = next((i for i in range(cold, head.size) if head[i] > head[cold] + 1.0), cold)
    dropped = bool(thick[:cold].size) and float(thick[: cold + 1].max()) > thick[cold] + 8.0
    earliest = max(0, rise - ON_BEFORE_RISE_MINUTES)
    if np.isfinite(pit).all() and rise > 0:
        dips = door_openings(pit, earliest, rise + 5)
        if dips:
            return max(dips, key=lambda dip: dip[1])[0]
    if dropped:
        return next((i for i in range(cold) if thick[i] < thick[cold] + 3.0), cold)
    return 0 if rise <= ON_BEFORE_RISE_MINUTES else rise - 20


def door_openings(pit: Array, start: int, stop: int | None) -> list[tuple[int, float]]:
    """Minutes at which the pit's air falls at once and comes back, with how far it falls, K."""
    if not np.isfinite(pit).all() or pit.size < 20:
        return []
    last = pit.size - 2 if stop is None else min(stop - 2, pit.size - 2)
    found: list[tuple[int, float]] = []
    minute = max(1, start)
    while minute < last:
        before = float(np.median(pit[max(0, minute - 10) : minute])) if minute >= 2 else float(pit[0])
        ahead = pit[minute : minute + DOOR_MINUTES]
        fall = before - float(ahead.min())
        if fall >= DOOR_DIP_K and pit[minute] < pit[minute - 1] - 1.5:
            low = minute + int(np.argmin(ahead))
            after = pit[low : low + DOOR_BACK_MINUTES]
            if float(after.max()) - pit[low] >= DOOR_BACK_SHARE * fall:
                found.append((minute, fall))
                back = np.flatnonzero(after >= pit[low] + 0.6 * fall)
                minute = low + (int(back[0]) if back.size else DOOR_MINUTES)
                continue
        minute += 1
    return found


def door_remark(doors: list[tuple[int, float]]) -> Remark:
    """How often the pit was opened, and what it cost."""
    deepest = max(fall for _, fall in doors)
    count = "once" if len(doors) == 1 else f"{len(doors)} times"
    words = f"the pit was opened {count}; its air fell by up to {deepest:.0f} K ({1.8 * deepest:.0f} °F)"
    return Remark("door", doors[0][0] * MINUTE_S, words)


def finish(thick: Array, pit: Array, on: int) -> tuple[int | None, int | None, int | None]:
    """Minutes the piece comes off, goes into the hold, and is done; None where that does not show."""
    cooked = np.flatnonzero((thick > COOKED_ABOVE_C) & (np.arange(thick.size) > on + 30))
    if cooked.size == 0:
        return None, None, None
    first = int(cooked[0])
    peak = first + int(np.argmax(thick[first:]))
    if np.isfinite(pit).all():
        cool = np.flatnonzero(pit[first:] < OFF_BELOW_C) + first
        cool = np.array([i for i in cool if np.median(pit[i : i + 6]) < OFF_BELOW_C + 5.0], dtype=np.int64)
        if cool.size:
            usual = float(np.median(pit[max(on, cool[0] - 120) : cool[0]]))
            hot = np.flatnonzero(pit[: cool[0]] > usual - 10.0)
            off = int(hot[-1]) + 1 if hot.size else int(cool[0])
            warm = (
                np.flatnonzero((pit[cool[0] :] > HOLD_AIR_C[0]) & (pit[cool[0] :] < HOLD_AIR_C[1])) + cool[0]
            )
            hold = next(
                (int(i) for i in warm if np.median(pit[i : i + 20]) > HOLD_AIR_C[0] and i + 20 < pit.size),
                None,
            )
            return off, hold, None
    if thick.size - 1 - peak >= 20 and thick[-1] < thick[peak] - 2.0:
        return peak, None, None
    return (
        (thick.size - 1, None, None) if thick[peak] > 70.0 and peak >= thick.size - 20 else (None, None, None)
    )


def stall_minutes(thick: Array, on: int, off: int | None) -> tuple[int, int] | None:
    """The stall, as the forecast defines it."""
    last = thick.size - 1 if off is None else off
    if last - on < 60:
        return None
    window = np.convolve(np.pad(thick, 7, mode="edge"), np.full(15, 1 / 15), mode="valid")
    course = window[on : last + 1 : 5]
    hours = np.arange(course.size) * 5 / 60.0
    start, end = stall_window_h(hours, course[:, None], np.array([hours[-1]]))
    if not np.isfinite(start[0]):
        return None
    return on + int(start[0] * 60), on + int(end[0] * 60)


def wrap_minute(
    thick: Array, pit: Array, doors: list[int], on: int, off: int | None, wrap_core_c: float | None
) -> int | None:
    """The door after which the core climbs so much faster that it must have been wrapped; None: no such.

    A pit turned up then explains the climb, so that door does not count. Where the card names the core at
    which to wrap, the door nearest to it counts, whatever the climb.
    """
    last = thick.size - 1 if off is None else off
    if wrap_core_c is not None:
        near = [
            minute for minute in doors if abs(thick[minute] - wrap_core_c) <= NEAR_TARGET_K and minute < last
        ]
        return min(near, key=lambda minute: abs(thick[minute] - wrap_core_c), default=None)
    reach = WRAP_MINUTES
    best, gain = None, 0.0
    settle = 12  # the piece lies open while it is wrapped
    for minute in doors or range(on + reach, last - reach - settle, 5):
        if (
            not WRAP_FROM_C < thick[minute] < WRAP_TO_C
            or minute - reach < on
            or minute + settle + reach > last
        ):
            continue
        before = (thick[minute] - thick[minute - reach]) * 60.0 / reach
        after = (thick[minute + settle + reach] - thick[minute + settle]) * 60.0 / reach
        enough = after - before > WRAP_GAIN_K_H * (1.0 if doors else 1.5)
        hotter = np.median(pit[minute + settle : minute + settle + reach]) - np.median(
            pit[minute - reach : minute]
        )
        if hotter > HOTTER_PIT_K:
            continue
        if enough and after > WRAP_RATIO * before and after - before > gain:
            best, gain = minute, after - before
    return best


def told(events: tuple[Event, ...]) -> list[str]:
    """The events in words for the terminal, doors counted."""
    lines = [f"{since_start(event.at_s):>14}  {event.what}" for event in events if event.what != "door"]
    doors = sum(event.what == "door" for event in events)
    return lines + ([f"{'':>14}  door opened {doors} times"] if doors else [])
