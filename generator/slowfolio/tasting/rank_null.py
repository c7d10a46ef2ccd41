"""Exact null distributions of rank sums: what chance alone does when tasters rank products at random.

Given every taster's own pattern of ties, each order of that pattern is equally likely. The distribution of
the sorted rank sums is built up taster by taster; where that would be too large, a seeded simulation takes
its place and says so. `ranking` turns rankings into these arrays; ranks are doubled here so that shared
ranks stay whole.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from slowfolio.tasting.distributions import FloatArray

IntArray = NDArray[np.int64]

MOST_STATES = 1_500_000
"""Largest number of rank-sum vectors handled in one step, a few hundred megabytes at most (CALIBRATED)."""

MOST_STEPS = 8_000_000
"""Largest number of vectors handled in all before the simulation takes over (CALIBRATED)."""

DRAWS = 40_000
"""Simulated panels where the exact sum is too large; an error of 0.0011 at p = 0.05 (CALIBRATED)."""


@dataclass(frozen=True, slots=True)
class RankSumNull:
    """Chance distribution of the rank sums of a panel.

    `sums`, shape (S, k), holds sorted doubled rank sums and `weights`, shape (S,), their chances. `how` says
    whether they are exact or simulated; `draws` is 0 where they are exact.
    """

    sums: IntArray
    weights: FloatArray
    draws: int
    how: str

    def chance_squares_reach(self, squares: int) -> float:
        """Return P(sum of squared doubled rank sums >= squares)."""
        return self._chance(np.sum(self.sums**2, axis=1) >= squares)

    def chance_range_reaches(self, spread: int) -> float:
        """Return P(largest less smallest doubled rank sum >= spread)."""
        return self._chance(self.sums[:, -1] - self.sums[:, 0] >= spread)

    def _chance(self, reached: NDArray[np.bool_]) -> float:
        if self.draws:
            # The observed panel counts as one of the draws, so a simulated p-value is never 0.
            return (float(np.sum(self.weights[reached])) * self.draws + 1.0) / (self.draws + 1.0)
        return min(math.fsum(self.weights[reached]), 1.0)


def rank_sum_null(doubled: IntArray, *, seed: int) -> RankSumNull:
    """Return the null distribution for a panel of doubled ranks, shape (tasters, products).

    Exact by convolution where the work stays within `MOST_STEPS`, otherwise `DRAWS` simulated panels. All
    products are alike under the null, so only sorted rank sums need to be told apart.
    """
    patterns = tuple(sorted(tuple(int(rank) for rank in sorted(row)) for row in doubled))
    exact = _convolved(patterns)
    return exact if exact is not None else _simulated(doubled, seed)


@lru_cache(maxsize=32)
def _convolved(patterns: tuple[tuple[int, ...], ...]) -> RankSumNull | None:
    products = len(patterns[0])
    if math.factorial(products) > MOST_STATES:
        return None
    sums = np.array([patterns[0]], dtype=np.int64)
    weights: FloatArray = np.ones(1)
    base = sum(max(pattern) for pattern in patterns) + 1
    if base**products > np.iinfo(np.int64).max:
        return None
    powers = base ** np.arange(products, dtype=np.int64)
    steps = 0
    for pattern in patterns[1:]:
        orders = np.array(sorted(set(permutations(pattern))), dtype=np.int64)
        steps += len(sums) * len(orders)
        if len(sums) * len(orders) > MOST_STATES or steps > MOST_STEPS:
            return None
        reached = np.sort((sums[:, None, :] + orders[None, :, :]).reshape(-1, products), axis=1)
        chances = np.repeat(weights / len(orders), len(orders))
        _, first, group = np.unique(reached @ powers, return_index=True, return_inverse=True)
        sums = reached[first]
        weights = np.asarray(np.bincount(group.ravel(), weights=chances), dtype=np.float64)
    return RankSumNull(sums, weights, 0, "exact, all orders given each taster's ties")


def _simulated(doubled: IntArray, seed: int) -> RankSumNull:
    rng = np.random.default_rng(seed)
    sums = np.zeros((DRAWS, doubled.shape[1]), dtype=np.int64)
    for row in doubled:
        sums += rng.permuted(np.broadcast_to(row, sums.shape), axis=1)
    how = f"simulated, {DRAWS} panels ranked at random, seed {seed}"
    return RankSumNull(np.sort(sums, axis=1), np.full(DRAWS, 1.0 / DRAWS), DRAWS, how)


def untied(tasters: int, products: int) -> IntArray:
    """Return doubled ranks of a panel without ties, shape (tasters, products); the order does not matter."""
    return np.tile(2 * np.arange(1, products + 1, dtype=np.int64), (tasters, 1))


def page_null(doubled: IntArray) -> tuple[int, FloatArray]:
    """Return the exact null of the doubled Page statistic: its smallest value and the chances from there up.

    L is a sum over tasters, so its distribution is the convolution of every taster's own.
    """
    start, chances = 0, np.ones(1)
    for row in doubled:
        low, own = _page_of_one(tuple(int(rank) for rank in sorted(row)))
        start += low
        chances = np.convolve(chances, own)
    return start, chances


@lru_cache(maxsize=256)
def _page_of_one(pattern: tuple[int, ...]) -> tuple[int, FloatArray]:
    orders = np.array(sorted(set(permutations(pattern))), dtype=np.int64)
    values = orders @ np.arange(1, len(pattern) + 1, dtype=np.int64)
    low = int(values.min())
    return low, np.bincount(values - low) / len(orders)
