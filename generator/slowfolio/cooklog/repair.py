"""What is wrong with the readings of a log, found, put right where that is plain, and remarked on.

Lost readings, gaps, spikes, probes that change places, a probe pulled out, an hour lost to summer time. Works
on °C and s; never invents a reading. Called by `importing` only.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from slowfolio.cooklog.degrees import clock_words, held
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.remarks import Remark, since_start

Array = NDArray[np.float64]

# CALIBRATED choices, no source: what meat and air in a pit cannot do between two readings.
SPIKE_K = 12.0
PIT_SPIKE_K = 60.0
SWAP_K, SWAP_NOISES, SWAP_MATCH_SHARE = 1.2, 8.0, 0.35
PULLED_K = 25.0
LONG_GAP_S, GAP_STEPS = 300.0, 4.0
MOST_TOLD = 12
HOUR_S = 3600.0
MEAT = ("thick", "thin")


def mended(recording: Recording, *, by_clock: bool) -> Recording:
    """The recording with all that can be put right put right, and a remark for each. `by_clock`: no dates."""
    time_s, remarks = recording.time_s.copy(), list(recording.remarks)
    series = {role: recording.series(role).copy() for role in ("pit", "thick", "thin")}
    lost(series, time_s, remarks)
    swapped_back(series, time_s, remarks)
    for role, values in series.items():
        without_spikes(values, time_s, role, remarks)
    for role in MEAT:
        without_pulls(series[role], time_s, role, remarks)
    if by_clock:
        time_s = without_summer_gap(time_s, series, remarks)
    gaps(time_s, remarks)
    return replace(
        recording,
        time_s=time_s,
        pit_c=series["pit"],
        thick_c=series["thick"],
        thin_c=series["thin"],
        remarks=tuple(remarks),
    )


def lost(series: dict[str, Array], time_s: Array, remarks: list[Remark]) -> None:
    """Remark on stretches without a reading in a column that has others."""
    for role, values in series.items():
        missing = ~np.isfinite(values)
        if not missing.any() or missing.all():
            continue
        first, last = longest_run(missing)
        longest = length(time_s, first, last)
        words = f"{role}: {int(missing.sum())} readings are missing, the longest stretch {longest}"
        remarks.append(Remark("lost readings", float(time_s[first]), words))


def gaps(time_s: Array, remarks: list[Remark]) -> None:
    """Remark on stretches in which the recorder wrote nothing."""
    step = np.diff(time_s)
    usual = float(np.median(step))
    long = np.flatnonzero(step > max(GAP_STEPS * usual, LONG_GAP_S))
    if step.size < 60 and long.size > 0.2 * step.size:
        return  # readings typed in by hand are hours apart as a rule
    for index in long[:MOST_TOLD]:
        words = f"the recorder wrote nothing for {since_start(float(step[index]))}"
        remarks.append(Remark("gap", float(time_s[index]), words))
    if long.size > MOST_TOLD:
        remarks.append(Remark("gap", None, f"and {long.size - MOST_TOLD} more gaps"))


def swapped_back(series: dict[str, Array], time_s: Array, remarks: list[Remark]) -> None:
    """Undo two probes that change places from one reading to the next."""
    for one, other in (("thick", "thin"), ("pit", "thick"), ("pit", "thin")):
        a, b = series[one], series[other]
        if np.isfinite(a).sum() < 10 or np.isfinite(b).sum() < 10:
            continue
        left, right = held(a), held(b)
        up, down = np.abs(np.diff(left)), np.abs(np.diff(right))
        least = [max(SWAP_K, SWAP_NOISES * float(np.median(each))) for each in (up, down)]
        jump = (up > least[0]) & (down > least[1])
        jump &= np.abs(left[1:] - right[:-1]) < SWAP_MATCH_SHARE * up
        jump &= np.abs(right[1:] - left[:-1]) < SWAP_MATCH_SHARE * down
        places = (np.flatnonzero(jump) + 1).tolist()
        for number, start in enumerate(places[::2]):
            stop = places[2 * number + 1] if 2 * number + 1 < len(places) else a.size
            a[start:stop], b[start:stop] = b[start:stop].copy(), a[start:stop].copy()
            back = f" until {clock_words(float(time_s[stop]))}" if stop < a.size else ""
            words = f"the {one} and {other} probes change places{back}; changed back"
            remarks.append(Remark("probe swap", float(time_s[start]), words))


def without_spikes(values: Array, time_s: Array, role: str, remarks: list[Remark]) -> None:
    """Drop single readings far from those around them."""
    good = np.flatnonzero(np.isfinite(values))
    if good.size < 7:
        return
    known = values[good]
    around = np.median(np.lib.stride_tricks.sliding_window_view(np.pad(known, 2, mode="edge"), 5), axis=1)
    limit = PIT_SPIKE_K if role == "pit" else SPIKE_K
    odd = np.abs(known - around) > limit
    odd[:2] = odd[-2:] = False
    if not odd.any():
        return
    places = good[odd]
    values[places] = np.nan
    words = f"{role}: {places.size} single readings far from those around them; left out"
    remarks.append(Remark("spike", float(time_s[places[0]]), words))


def without_pulls(values: Array, time_s: Array, role: str, remarks: list[Remark]) -> None:
    """Leave out stretches in which a probe hung in the air: it jumps away and comes back."""
    good = np.flatnonzero(np.isfinite(values))
    if good.size < 10:
        return
    known = values[good]
    jumps: list[int] = (np.flatnonzero(np.abs(np.diff(known)) > PULLED_K) + 1).tolist()
    used = 0
    for jump in jumps:
        if jump < used:
            continue
        later = [each for each in jumps if each > jump]
        before = float(known[jump - 1])
        back = next((each for each in later if abs(float(known[each]) - before) < PULLED_K), None)
        if back is None or time_s[good[back]] - time_s[good[jump]] > 1.5 * HOUR_S:
            continue
        used = back
        values[good[jump:back]] = np.nan
        span = since_start(float(time_s[good[back]] - time_s[good[jump]]))
        words = f"the {role} probe is out of the meat for {span}; left out"
        remarks.append(Remark("probe out", float(time_s[good[jump]]), words))


def without_summer_gap(time_s: Array, series: dict[str, Array], remarks: list[Remark]) -> Array:
    """Close an hour's gap in which the meat did not go on: the clock went to summer time."""
    step = np.diff(time_s)
    usual = float(np.median(step))
    near = np.flatnonzero(np.abs(step - HOUR_S - usual) <= 1.5 * usual + 1.0)
    for index in near.tolist():
        changes: list[tuple[float, float]] = []
        for role in MEAT:
            values = held(series[role])
            reach = max(3, int(1200.0 / max(usual, 1.0)))
            low = max(0, index - reach)
            if np.isfinite(series[role]).any() and index > low:
                rate = (values[index] - values[low]) / max(time_s[index] - time_s[low], 1.0)
                changes.append((float(values[index + 1] - values[index]), float(rate * HOUR_S)))
        if not changes or max(abs(expected) for _, expected in changes) < 1.5:
            continue
        if all(abs(change) < 0.4 * abs(expected) or abs(change) < 0.7 for change, expected in changes):
            time_s = np.concatenate((time_s[: index + 1], time_s[index + 1 :] - HOUR_S))
            words = "the clock goes on an hour and the meat does not; taken as the start of summer time"
            remarks.append(Remark("clock change", float(time_s[index]), words))
    return time_s


def longest_run(flags: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last index of the longest run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    firsts, lasts = edges[::2], edges[1::2] - 1
    best = int(np.argmax(lasts - firsts))
    return int(firsts[best]), int(lasts[best])


def length(time_s: Array, first: int, last: int) -> str:
    """How long a run of readings lasts, in words."""
    return since_start(float(time_s[min(last + 1, time_s.size - 1)] - time_s[first]))
