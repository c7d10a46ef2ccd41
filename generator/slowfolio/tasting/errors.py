"""The one error of the tasting rooms, and the guards that raise it.

Every message says what is wrong with the tasting and what to write instead. All other rooms of the package
call these guards before they compute.
"""

from __future__ import annotations

import math
from numbers import Integral

MOST_TASTERS = 100_000
"""More answers than any tasting has; keeps exact sums short (CALIBRATED)."""


class TastingInputError(ValueError):
    """A tasting that cannot be planned or analysed as given; the message says what to write instead."""


def require_count(name: str, value: int, *, low: int = 0, high: int = MOST_TASTERS) -> int:
    """Return `value` if it is a whole number from `low` to `high`, else raise TastingInputError."""
    if isinstance(value, bool) or not isinstance(value, Integral):
        raise TastingInputError(f"{name} is {value!r}: give a whole number from {low} to {high}")
    if not low <= value <= high:
        raise TastingInputError(f"{name} is {value}: give a whole number from {low} to {high}")
    return int(value)


def require_finite(name: str, value: float) -> float:
    """Return `value`, or raise TastingInputError when it is NaN or infinite."""
    if not math.isfinite(value):
        raise TastingInputError(f"{name} is {value}: give a finite number")
    return float(value)


def require_inside(name: str, value: float, *, low: float = 0.0, high: float = 1.0) -> float:
    """Return `value` if low < value < high, else raise TastingInputError."""
    require_finite(name, value)
    if not low < value < high:
        raise TastingInputError(f"{name} is {value:g}: give a number between {low:g} and {high:g}")
    return float(value)


def require_range(name: str, value: float, *, low: float, high: float) -> float:
    """Return `value` if low <= value <= high, else raise TastingInputError."""
    require_finite(name, value)
    if not low <= value <= high:
        raise TastingInputError(f"{name} is {value:g}: give a number from {low:g} to {high:g}")
    return float(value)


def require_part(part_name: str, part: int, whole_name: str, whole: int) -> int:
    """Return `part` if both are counts and 0 <= part <= whole, with at least one in the whole."""
    require_count(whole_name, whole, low=1)
    require_count(part_name, part)
    if part > whole:
        raise TastingInputError(
            f"{part_name} is {part} but {whole_name} is {whole}: count each taster once, at most {whole}"
        )
    return int(part)
