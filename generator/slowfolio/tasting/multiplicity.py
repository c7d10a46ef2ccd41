"""Many questions asked of one tasting: Holm's correction, so that one of them is not found by luck.

Called wherever a tasting compares several attributes or several pairs of products.
"""

from __future__ import annotations

from collections.abc import Sequence

from slowfolio.tasting.errors import require_range


def holm(p_values: Sequence[float]) -> tuple[float, ...]:
    """Return the p-values adjusted so that the chance of any false alarm among them stays at alpha.

    Source: Holm (1979), Scandinavian Journal of Statistics 6: the smallest times m, the next times m - 1
    and so on, never falling (MEMORY).
    """
    for p_value in p_values:
        require_range("a p-value", p_value, low=0.0, high=1.0)
    adjusted = [0.0] * len(p_values)
    highest = 0.0
    for place, index in enumerate(sorted(range(len(p_values)), key=lambda i: p_values[i])):
        highest = max(highest, min((len(p_values) - place) * p_values[index], 1.0))
        adjusted[index] = highest
    return tuple(adjusted)
