"""Numbers of a verdict in plain words: shares, chances, ranges.

Rounding never turns a doubt into a certainty: only a true 0 or 1 reads 0 or 100 %. Called by `verdict`.
"""

from __future__ import annotations

import math

from slowfolio.tasting.interval import Interval


def percent(share: float) -> str:
    """Return a share as whole per cent."""
    if 0.0 < share < 1.0:
        return f"{min(max(round(100 * share), 1), 99)} %"
    return f"{100 * share:.0f} %"


def percent_range(interval: Interval) -> str:
    """Return an interval of shares as "12 to 88 %", its ends rounded outwards, never too narrow."""
    low, high = math.floor(100 * interval.low + 1e-9), math.ceil(100 * interval.high - 1e-9)
    return f"{low} to {high} %"


def number_range(interval: Interval, digits: int = 1) -> str:
    """Return an interval of numbers in words, its ends rounded outwards; open ends are said."""
    scale = 10**digits
    low = math.floor(interval.low * scale + 1e-9) / scale if math.isfinite(interval.low) else None
    high = math.ceil(interval.high * scale - 1e-9) / scale if math.isfinite(interval.high) else None
    if low is None and high is None:
        return "no interval can be given"
    if high is None:
        return f"{low:.{digits}f} or more ({confidence_text(interval)})"
    if low is None:
        return f"{high:.{digits}f} or less ({confidence_text(interval)})"
    return f"{low:.{digits}f} to {high:.{digits}f} ({confidence_text(interval)})"


def confidence_text(interval: Interval) -> str:
    """Return the confidence of an interval as its label."""
    return f"{100 * interval.confidence:g} % interval"


def chance_text(p_value: float) -> str:
    """Return a p-value as people read it."""
    if p_value < 0.001:
        return "p < 0.001"
    return f"p = {p_value:.3f}" if p_value < 0.1 else f"p = {p_value:.2f}"


def points_text(points: float) -> str:
    """Return a number of points on a scale in words."""
    return "1 point" if points == 1 else f"{points:g} points"


def tasters_text(count: int) -> str:
    """Return a number of tasters in words."""
    return "1 taster" if count == 1 else f"{count} tasters"


def listed(names: tuple[str, ...]) -> str:
    """Return names joined with commas and "and"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
