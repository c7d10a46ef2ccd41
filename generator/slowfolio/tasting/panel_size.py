"""How many tasters a question needs, and what a given number can find.

One function for each kind of tasting: preference, scores, ranking; right-or-wrong tests have theirs in
`discrimination`. Every size starts from a difference named beforehand: never from the one that was found.
Called by `plan` and `verdict`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np

from slowfolio.tasting import binomial
from slowfolio.tasting.binomial import SampleSize
from slowfolio.tasting.distributions import noncentral_t_upper, two_sided_t
from slowfolio.tasting.errors import TastingInputError, require_count, require_inside, require_range
from slowfolio.tasting.ranking import MOST_RANKED, SEED, friedman_critical

DRAWS = 4_000
"""Simulated panels behind the power of a ranking; an error of 0.006 at a power of 0.8 (CALIBRATED)."""

MOST_PLANNED = 512
"""Largest panel a plan looks at for scores and rankings (CALIBRATED)."""


def preference_power(tasters: int, *, share: float, undecided: float = 0.0, alpha: float = 0.05) -> float:
    """Return the chance to find that a share (above a half, of those with a view) prefers one of two.

    `undecided` is the share without a preference: they thin out the panel, and the number with a view varies.
    """
    require_inside("the share who prefer one", share, low=0.5)
    require_range("the share without a preference", undecided, low=0.0, high=0.99)
    views = binomial.probabilities(require_count("tasters", tasters, low=1), 1.0 - undecided)
    return sum(
        float(chance) * binomial.power_above(number, p_null=0.5, p_true=share, alpha=0.5 * alpha)
        for number, chance in enumerate(views)
        if number and chance > 1e-12
    )


def tasters_for_preference(
    *, share: float, undecided: float = 0.0, alpha: float = 0.05, power: float = 0.8
) -> SampleSize:
    """Return how many tasters find a preference of `share` among those with a view.

    With undecided tasters the number with a view is scaled up by their expected share.
    """
    require_inside("the share who prefer one", share, low=0.5)
    require_range("the share without a preference", undecided, low=0.0, high=0.99)
    views = binomial.sizes_above(p_null=0.5, p_true=share, alpha=0.5 * alpha, power=power)
    return SampleSize(math.ceil(views.first / (1.0 - undecided)), math.ceil(views.stable / (1.0 - undecided)))


def score_power(tasters: int, *, difference: float, spread: float, alpha: float = 0.05) -> float:
    """Return the chance of the paired t-test to find a mean difference, in the right direction.

    `spread` is the standard deviation of tasters' differences. Source: noncentral t with n - 1 degrees of
    freedom.
    """
    require_count("tasters", tasters, low=2)
    require_inside("the difference to find", difference, low=0.0, high=math.inf)
    require_inside("the spread of differences", spread, low=0.0, high=math.inf)
    limit = two_sided_t(1.0 - require_inside("alpha", alpha), tasters - 1)
    return noncentral_t_upper(limit, tasters - 1, difference / spread * math.sqrt(tasters))


def tasters_for_scores(
    *, difference: float, spread: float, alpha: float = 0.05, power: float = 0.8
) -> SampleSize:
    """Return how many tasters find a mean difference; power rises with each, so both sizes are equal."""
    require_inside("the power", power)

    def enough(tasters: int) -> bool:
        return score_power(tasters, difference=difference, spread=spread, alpha=alpha) >= power

    return _smallest(enough)


@lru_cache(maxsize=512)
def ranking_power(
    tasters: int, *, products: int, d_prime: float, alpha: float = 0.05, seed: int = SEED
) -> float:
    """Return the chance of Friedman's test to find products spaced evenly over `d_prime` from end to end.

    Sensations are normal with unit deviation about each product; `DRAWS` simulated panels from a stated seed.
    """
    require_count("tasters", tasters, low=2, high=MOST_PLANNED)
    require_count("the number of products", products, low=2, high=MOST_RANKED)
    require_inside("d-prime from end to end", d_prime, low=0.0, high=12.0)
    critical = friedman_critical(tasters, products, alpha)
    if critical is None:
        return 0.0
    rng = np.random.default_rng(seed)
    sums = np.zeros((DRAWS, products))
    for _ in range(tasters):
        sensed = rng.normal(size=(DRAWS, products)) + np.linspace(0.0, d_prime, products)
        sums += np.argsort(np.argsort(sensed, axis=1), axis=1) + 1
    scale = 12.0 / (tasters * products * (products + 1))
    statistics = scale * np.sum(sums**2, axis=1) - 3.0 * tasters * (products + 1)
    return float(np.mean(statistics >= critical.statistic - 1e-9))


def tasters_for_ranking(
    *, products: int, d_prime: float, alpha: float = 0.05, power: float = 0.8
) -> SampleSize:
    """Return how many tasters find products spaced evenly over `d_prime` from end to end.

    Power is simulated, so the answer may be a taster or two off; both sizes are the same.
    """
    require_inside("the power", power)

    def enough(tasters: int) -> bool:
        return ranking_power(tasters, products=products, d_prime=d_prime, alpha=alpha) >= power

    return _smallest(enough)


def _smallest(enough: Callable[[int], bool]) -> SampleSize:
    # Doubling, then halving the step: for powers that rise with the panel.
    low, high = 1, 2
    while not enough(high):
        low, high = high, 2 * high
        if high > MOST_PLANNED:
            raise TastingInputError(
                f"more than {MOST_PLANNED} tasters would be needed: look for a larger difference"
            )
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return SampleSize(high, high)
