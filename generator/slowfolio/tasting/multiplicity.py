"""Many questions asked of one tasting, corrected so that none of them is found by luck: Holm and Shaffer.

Called wherever a tasting compares several attributes or several pairs of products.
"""

from __future__ import annotations

from collections.abc import Sequence

from slowfolio.tasting.errors import TastingInputError, require_range


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


def shaffer_pairs(p_values: Sequence[float], products: int, *, p_overall: float) -> tuple[float, ...]:
    """Return the p-values of all pairs of products, adjusted behind a test that all are alike.

    Once not all products are alike, fewer pairs can be: of four, at most three. The chance of any false alarm
    stays at alpha whichever products are alike.

    Source: Shaffer (1986), J. American Statistical Association 81, the procedure with an overall test first
    (MEMORY).
    """
    pairs = products * (products - 1) // 2
    if len(p_values) != pairs:
        raise TastingInputError(
            f"{products} products make {pairs} pairs but {len(p_values)} p-values are given"
        )
    possible = sorted(alike_pairs(products))[:-1]
    adjusted = [0.0] * pairs
    reached = require_range("the overall p-value", p_overall, low=0.0, high=1.0)
    for place, index in enumerate(sorted(range(pairs), key=lambda i: p_values[i])):
        still_alike = max((count for count in possible if count <= pairs - place), default=0)
        reached = max(reached, min(max(still_alike, 1) * p_values[index], 1.0))
        adjusted[index] = reached
    return tuple(adjusted)


def alike_pairs(products: int) -> frozenset[int]:
    """Return the numbers of pairs that can be alike at once, from none to all (Shaffer 1986)."""
    if products < 2:
        return frozenset({0})
    return frozenset(
        group * (group - 1) // 2 + rest
        for group in range(1, products + 1)
        for rest in alike_pairs(products - group)
    )
