"""Where a falling function crosses zero, and where a function of one hump is highest.

The two searches behind every interval and fit of one parameter. Neither needs a derivative, and both end.
"""

from __future__ import annotations

import math
from collections.abc import Callable

GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
"""The share of an interval that golden-section search keeps (COMPUTED)."""


def bisect(function: Callable[[float], float], low: float, high: float, *, within: float = 0.0) -> float:
    """Return where a function that falls from `low` to `high` crosses zero, `within` 0 to the last bit.

    The caller guarantees function(low) >= 0 >= function(high).
    """
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high) or high - low <= within:
            break
        low, high = (middle, high) if function(middle) > 0 else (low, middle)
    return 0.5 * (low + high)


def highest(function: Callable[[float], float], low: float, high: float, *, steps: int) -> float:
    """Return where a function with one hump between `low` and `high` is highest.

    Golden-section search, Kiefer (1953) (MEMORY); the interval shrinks by `GOLDEN` at each of the `steps`.
    """
    left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    at_left, at_right = function(left), function(right)
    for _ in range(steps):
        if at_left < at_right:
            low, left, at_left = left, right, at_right
            right = low + GOLDEN * (high - low)
            at_right = function(right)
        else:
            high, right, at_right = right, left, at_left
            left = high - GOLDEN * (high - low)
            at_left = function(left)
    return 0.5 * (low + high)
