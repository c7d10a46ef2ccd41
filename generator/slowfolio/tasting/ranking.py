"""Products put in order by each taster: Friedman, Page, and which pairs differ.

Rankings come as one row for each taster, rank 1 first (or any scores with `ranks_of_scores`). P-values are
exact for small panels, ties included, and simulated with a stated seed beyond; the large-sample values
stand beside them. Pairs are judged by the exact distribution of the widest gap between rank sums. Called by
`plan` and `verdict`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from slowfolio.tasting import binomial
from slowfolio.tasting.distributions import (
    FloatArray,
    chi_square_upper,
    normal_upper,
    range_quantile,
    two_sided_z,
)
from slowfolio.tasting.errors import TastingInputError, require_count, require_inside
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.multiplicity import shaffer_pairs
from slowfolio.tasting.rank_null import IntArray, page_null, rank_sum_null, untied
from slowfolio.tasting.sign_flips import sign_flip_p_value

MOST_RANKED = 8
"""More pieces than a palate can put in order, and than orders can be listed (common practice, no source)."""

SEED = 20_240_601
"""Seed of simulated null distributions; any number would do (CALIBRATED)."""


@dataclass(frozen=True, slots=True)
class Rankings:
    """Doubled ranks, shape (tasters, products), with the products' names; made by the functions below."""

    products: tuple[str, ...]
    doubled: IntArray

    @property
    def tasters(self) -> int:
        """Number of rows."""
        return int(self.doubled.shape[0])

    @property
    def rank_sums(self) -> tuple[float, ...]:
        """Rank sums in the order of `products`; small means ranked first."""
        return tuple(float(total) / 2.0 for total in self.doubled.sum(axis=0))


@dataclass(frozen=True, slots=True)
class FriedmanResult:
    """Friedman's test that all products are ranked alike; `p_large` is the chi-square approximation."""

    statistic: float
    degrees: int
    p_value: float
    how: str
    p_large: float
    rank_sums: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PageResult:
    """Page's test that the products are ranked in the order named beforehand, first to last."""

    statistic: float
    p_value: float
    how: str
    p_large: float


@dataclass(frozen=True, slots=True)
class RankedPair:
    """Two products of a ranking.

    `ahead` is the share of tasters with a view who put `first` before `second`, with its exact interval;
    `level` counts those without. `p_adjusted` is corrected over all pairs; `p_widest` is the chance that
    the widest gap of any pair is this wide when all products are alike.
    """

    first: str
    second: str
    difference: float
    p_adjusted: float
    how: str
    p_widest: float
    ahead: Estimate
    level: int


def rankings(products: Sequence[str], rows: Sequence[Sequence[float]]) -> Rankings:
    """Return rankings from ranks as tasters wrote them (1 best; shared places may be equal numbers or
    midranks).

    Rows are ranked anew, so 1, 1, 3 and 1.5, 1.5, 3 mean the same. Raises TastingInputError on rows that
    are not rankings of all products.
    """
    for row in rows:
        if len(row) == len(products) and any(not 1 <= rank <= len(products) for rank in row):
            raise TastingInputError(f"a ranking holds {list(row)}: write ranks from 1 to {len(products)}")
    return _ranked(products, rows, sign=1.0)


def rankings_of_scores(products: Sequence[str], rows: Sequence[Sequence[float]]) -> Rankings:
    """Return rankings from scores, the highest score ranked first and equal scores sharing a place."""
    return _ranked(products, rows, sign=-1.0)


def friedman_test(given: Rankings, *, seed: int = SEED) -> FriedmanResult:
    """Return Friedman's test with the tie correction.

    The p-value is exact given each taster's ties (see `rank_null`).

    Source: Friedman (1937), J. American Statistical Association 32; ISO 8587 (MEMORY).
    """
    sums = given.doubled.sum(axis=0)
    null = rank_sum_null(given.doubled, seed=seed)
    statistic = _friedman_statistic(given.doubled)
    degrees = len(given.products) - 1
    return FriedmanResult(
        statistic=statistic,
        degrees=degrees,
        p_value=null.chance_squares_reach(int(np.sum(sums**2))),
        how=null.how,
        p_large=chi_square_upper(statistic, degrees),
        rank_sums=given.rank_sums,
    )


def page_test(given: Rankings, predicted: Sequence[str]) -> PageResult:
    """Return Page's test of the order `predicted`, which must have been named before the tasting.

    `predicted` runs from the product expected at rank 1 to the last.

    Source: Page (1963), J. American Statistical Association 58; exact p-value by convolution given the ties.
    """
    if sorted(predicted) != sorted(given.products):
        raise TastingInputError(f"the predicted order must name each of {', '.join(given.products)} once")
    columns = [given.products.index(name) for name in predicted]
    places = np.arange(1, len(columns) + 1)
    doubled = int(np.sum(given.doubled.sum(axis=0)[columns] * places))
    start, chances = page_null(given.doubled)
    tail = math.fsum(chances[max(doubled - start, 0) :])
    statistic = doubled / 2.0
    return PageResult(
        statistic=statistic,
        p_value=min(tail, 1.0),
        how="exact, all orders given each taster's ties",
        p_large=page_large_sample(statistic, given.tasters, len(columns)),
    )


def page_large_sample(statistic: float, tasters: int, products: int) -> float:
    """Return the normal approximation of P(L >= statistic), without ties (MEMORY)."""
    mean = tasters * products * (products + 1) ** 2 / 4
    variance = tasters * products**2 * (products + 1) ** 2 * (products - 1) / 144
    return normal_upper((statistic - mean) / math.sqrt(variance))


def page_tail(statistic: float, tasters: int, products: int) -> float:
    """Return P(L >= statistic) without ties, exact."""
    start, chances = page_null(_untied(tasters, products))
    return min(math.fsum(chances[max(math.ceil(2 * statistic - 1e-9) - start, 0) :]), 1.0)


def page_critical(tasters: int, products: int, alpha: float) -> int | None:
    """Return the smallest L that establishes the predicted order without ties; None where none does."""
    require_inside("alpha", alpha)
    start, chances = page_null(_untied(tasters, products))
    tails = np.cumsum(chances[::-1])[::-1]
    # Doubled statistics without ties are even numbers; the gaps between them carry no chance.
    reached = [
        (start + i) // 2
        for i, tail in enumerate(tails)
        if chances[i] > 0 and tail <= alpha * (1.0 + binomial.SLACK)
    ]
    return reached[0] if reached else None


@dataclass(frozen=True, slots=True)
class CriticalValue:
    """The smallest attainable statistic with a chance of at most alpha, and that chance."""

    statistic: float
    p_value: float


@lru_cache(maxsize=256)
def friedman_critical(tasters: int, products: int, alpha: float) -> CriticalValue | None:
    """Return the exact critical value of Friedman's statistic without ties; None where none is small enough.

    Beyond the reach of the exact sum it is simulated with `SEED`.
    """
    require_inside("alpha", alpha)
    null = rank_sum_null(_untied(tasters, products), seed=SEED)
    squares = np.sum(null.sums**2, axis=1)
    order = np.argsort(-squares)
    values, first = np.unique(-squares[order], return_index=True)
    tails = np.cumsum(null.weights[order])
    ends = np.append(first[1:], len(order)) - 1
    best: CriticalValue | None = None
    for value, end in zip(-values, ends, strict=True):
        if tails[end] > alpha * (1.0 + binomial.SLACK):
            break
        statistic = _statistic_of_squares(float(value) / 4.0, tasters, products)
        best = CriticalValue(statistic, float(tails[end]))
    return best


def ranked_pairs(given: Rankings, *, confidence: float = 0.95, seed: int = SEED) -> tuple[RankedPair, ...]:
    """Return every pair with its gap in rank sums, adjusted p-value and share put ahead.

    The choice: Friedman's test first, then for each pair the exact swap of its two labels within tasters,
    with Shaffer's correction. It assumes nothing of the other products. The widest-gap value beside it
    (Nemenyi's all-pairs idea, exact) is what published tables of critical differences use; it misleads
    where tasters are of two minds about a product, so no verdict rests on it.
    """
    null = rank_sum_null(given.doubled, seed=seed)
    sums = given.doubled.sum(axis=0)
    indices = list(combinations(range(len(given.products)), 2))
    swapped = [
        sign_flip_p_value((given.doubled[:, i] - given.doubled[:, j]).astype(np.float64), seed=seed)
        for i, j in indices
    ]
    overall = null.chance_squares_reach(int(np.sum(sums**2)))
    adjusted = shaffer_pairs([chance for chance, _ in swapped], len(given.products), p_overall=overall)
    pairs = []
    for (i, j), (_, how), p_adjusted in zip(indices, swapped, adjusted, strict=True):
        ahead, level = _ahead(given, i, j, confidence)
        gap = int(sums[i] - sums[j])
        pairs.append(
            RankedPair(
                first=given.products[i],
                second=given.products[j],
                difference=gap / 2.0,
                p_adjusted=p_adjusted,
                how=f"{how}; Friedman first, Shaffer's correction",
                p_widest=null.chance_range_reaches(abs(gap)),
                ahead=ahead,
                level=level,
            )
        )
    return tuple(pairs)


def least_significant_difference(tasters: int, products: int, *, confidence: float = 0.95) -> float:
    """Return the gap of two rank sums that decides one pair, after a significant Friedman test only.

    Source: ISO 8587: z sqrt(n k (k + 1) / 6) (MEMORY; table in the tests). Without correction for many
    pairs.
    """
    _require_panel(tasters, products)
    return two_sided_z(confidence) * math.sqrt(tasters * products * (products + 1) / 6.0)


def honest_significant_difference(tasters: int, products: int, *, alpha: float = 0.05) -> float:
    """Return the gap of two rank sums that decides any pair, corrected for all of them.

    Source: q(alpha; k, infinity) sqrt(n k (k + 1) / 12), Newell & MacFarlane (1987) (READ in the project's
    notes).
    """
    _require_panel(tasters, products)
    return range_quantile(alpha, products) * math.sqrt(tasters * products * (products + 1) / 12.0)


def _ahead(given: Rankings, i: int, j: int, confidence: float) -> tuple[Estimate, int]:
    # The share who put i before j among those who told them apart, and how many did not.
    gaps = given.doubled[:, j] - given.doubled[:, i]
    wins, views = int(np.sum(gaps > 0)), int(np.sum(gaps != 0))
    level = given.tasters - views
    if views == 0:
        return Estimate(0.5, Interval(0.0, 1.0, confidence, "nobody told them apart")), level
    return Estimate(wins / views, binomial.clopper_pearson(wins, views, confidence)), level


def _ranked(products: Sequence[str], rows: Sequence[Sequence[float]], *, sign: float) -> Rankings:
    if len(set(products)) < len(products):
        raise TastingInputError("a product is named twice: give each product one name")
    require_count("the number of products", len(products), low=2, high=MOST_RANKED)
    if not rows:
        raise TastingInputError("there are no rankings: give one row for each taster")
    for row in rows:
        if len(row) != len(products):
            raise TastingInputError(
                f"a taster ranked {len(row)} of {len(products)} products: leave the taster out, or compare "
                "the products in pairs (Bradley-Terry), which allows gaps"
            )
        if not all(math.isfinite(value) for value in row):
            raise TastingInputError(
                "a ranking holds a value that is no number: write a rank for each product"
            )
    return Rankings(tuple(products), np.array([_doubled_midranks(sign * np.asarray(row)) for row in rows]))


def _doubled_midranks(values: FloatArray) -> IntArray:
    below = np.sum(values[None, :] < values[:, None], axis=1)
    level = np.sum(values[None, :] == values[:, None], axis=1)
    return np.asarray(2 * below + level + 1, dtype=np.int64)


def _friedman_statistic(doubled: IntArray) -> float:
    tasters, products = doubled.shape
    plain = _statistic_of_squares(float(np.sum(doubled.sum(axis=0) ** 2)) / 4.0, tasters, products)
    tied = 0
    for row in doubled:
        sizes = np.unique(row, return_counts=True)[1]
        tied += int(np.sum(sizes**3 - sizes))
    correction = 1.0 - tied / (tasters * products * (products**2 - 1))
    return plain / correction if correction > 1e-12 else 0.0


def _statistic_of_squares(squares: float, tasters: int, products: int) -> float:
    statistic = 12.0 * squares / (tasters * products * (products + 1)) - 3.0 * tasters * (products + 1)
    return max(statistic, 0.0)


def _untied(tasters: int, products: int) -> IntArray:
    _require_panel(tasters, products)
    return untied(tasters, products)


def _require_panel(tasters: int, products: int) -> None:
    require_count("tasters", tasters, low=1)
    require_count("the number of products", products, low=2, high=MOST_RANKED)
