"""The permutation test of differences within tasters: what if the two labels had been swapped?

When two products are alike, every taster's difference is as likely with either sign. All patterns of signs
are summed exactly, or simulated with a stated seed. Called by `scores` and `ranking`.
"""

from __future__ import annotations

import math

import numpy as np

from slowfolio.tasting.distributions import FloatArray

MOST_SUMS = 400_000
"""Distinct sums of signed differences kept before the simulation takes over (CALIBRATED)."""

DRAWS = 40_000
"""Simulated sign patterns where the exact sum is too large; an error of 0.0011 at p = 0.05 (CALIBRATED)."""

SEED = 20_240_602
"""Seed of simulated sign patterns; any number would do (CALIBRATED)."""


def sign_flip_p_value(gaps: FloatArray, *, seed: int = SEED) -> tuple[float, str]:
    """Return the two-sided permutation p-value of the sum of `gaps`, shape (n,), and how it was found.

    Every pattern of signs is equally likely when the labels mean nothing. Exact while the distinct sums stay
    below `MOST_SUMS`, which scores on a scale do for panels of hundreds.
    """
    sizes = np.abs(gaps[np.abs(gaps) > 1e-12])
    if sizes.size == 0:
        return 1.0, "exact, no taster told them apart"
    limit = abs(float(gaps.sum())) - 1e-9 * float(sizes.sum())
    sums, weights = np.zeros(1), np.ones(1)
    grain = 1e-9 * float(sizes.max())
    for size in sizes:
        reached = np.concatenate([sums - size, sums + size])
        _, first, group = np.unique(np.round(reached / grain), return_index=True, return_inverse=True)
        weights = np.asarray(np.bincount(group.ravel(), weights=np.tile(0.5 * weights, 2)), dtype=np.float64)
        sums = reached[first]
        if sums.size > MOST_SUMS:
            return _simulated_p_value(sizes, limit, seed)
    chance = math.fsum(weights[np.abs(sums) >= limit])
    return min(chance, 1.0), "exact, all swaps of labels within tasters"


def _simulated_p_value(sizes: FloatArray, limit: float, seed: int) -> tuple[float, str]:
    rng = np.random.default_rng(seed)
    sums = np.zeros(DRAWS)
    for size in sizes:
        sums += size * (2.0 * rng.integers(0, 2, size=DRAWS) - 1.0)
    hits = int(np.sum(np.abs(sums) >= limit))
    return (hits + 1) / (DRAWS + 1), f"simulated, {DRAWS} swaps of labels within tasters, seed {seed}"
