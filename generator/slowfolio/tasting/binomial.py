"""Exact binomial tails, limits, power and sample sizes: the arithmetic under every right-or-wrong tasting.

Knows nothing of tasting protocols; `discrimination` and `paired_preference` bring the guessing probabilities.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from slowfolio.tasting.distributions import FloatArray
from slowfolio.tasting.errors import (
    MOST_TASTERS,
    TastingInputError,
    require_count,
    require_inside,
    require_part,
    require_range,
)
from slowfolio.tasting.interval import Interval
from slowfolio.tasting.search import bisect

SLACK = 1e-9
"""Relative slack when a tail that equals alpha is compared with it (CALIBRATED): 1/16 is not above 0.0625."""


@dataclass(frozen=True, slots=True)
class SampleSize:
    """How many answers reach the wanted power.

    `first` is the smallest number that does. Power of an exact test rises in a saw-tooth, so a few more
    tasters can have less; `stable` is the number from which every larger one does too. Plan with `stable`.
    """

    first: int
    stable: int


@lru_cache(maxsize=8)
def _log_choose(trials: int) -> FloatArray:
    logs = np.concatenate(([0.0], np.cumsum(np.log(np.arange(1, trials + 1)))))
    return np.asarray(logs[trials] - logs - logs[::-1])


def probabilities(trials: int, p: float) -> FloatArray:
    """Return P(X = x) for x = 0..trials, shape (trials + 1,)."""
    require_count("the number of answers", trials, low=1)
    require_range("the probability", p, low=0.0, high=1.0)
    if p in (0.0, 1.0):
        certain = np.zeros(trials + 1)
        certain[trials if p == 1.0 else 0] = 1.0
        return certain
    x = np.arange(trials + 1)
    return np.asarray(np.exp(_log_choose(trials) + x * math.log(p) + (trials - x) * math.log1p(-p)))


def upper_tail(successes: int, trials: int, p: float) -> float:
    """Return P(X >= successes)."""
    require_part("the count", successes, "the number of answers", trials)
    return min(float(np.sum(probabilities(trials, p)[successes:])), 1.0)


def lower_tail(successes: int, trials: int, p: float) -> float:
    """Return P(X <= successes)."""
    require_part("the count", successes, "the number of answers", trials)
    return min(float(np.sum(probabilities(trials, p)[: successes + 1])), 1.0)


def fewest_to_reject(trials: int, p: float, alpha: float) -> int | None:
    """Return the smallest x with P(X >= x) <= alpha; None where even all answers are not enough."""
    require_inside("alpha", alpha)
    tails = np.cumsum(probabilities(trials, p)[::-1])[::-1]
    reached = np.flatnonzero(tails <= alpha * (1.0 + SLACK))
    return int(reached[0]) if reached.size else None


def most_to_reject(trials: int, p: float, alpha: float) -> int | None:
    """Return the largest x with P(X <= x) <= alpha; None where even no answer at all is not few enough."""
    mirrored = fewest_to_reject(trials, 1.0 - p, alpha)
    return None if mirrored is None else trials - mirrored


def clopper_pearson(successes: int, trials: int, confidence: float = 0.95) -> Interval:
    """Return the exact two-sided interval for a probability.

    Source: Clopper & Pearson (1934), Biometrika 26 (MEMORY): the probabilities that neither tail rejects at
    half of one minus the confidence.
    """
    require_part("the count", successes, "the number of answers", trials)
    tail = 0.5 * (1.0 - require_inside("the confidence", confidence))
    low = high = 0.0
    if successes > 0:
        low = bisect(lambda p: tail - upper_tail(successes, trials, p), 0.0, 1.0)
    high = 1.0 if successes == trials else bisect(lambda p: lower_tail(successes, trials, p) - tail, 0.0, 1.0)
    return Interval(low, high, confidence, "exact binomial (Clopper-Pearson)")


def power_above(trials: int, *, p_null: float, p_true: float, alpha: float) -> float:
    """Return the chance that the exact test of p <= p_null rejects when the truth is p_true."""
    fewest = fewest_to_reject(trials, p_null, alpha)
    return 0.0 if fewest is None else upper_tail(fewest, trials, p_true)


def power_below(trials: int, *, p_null: float, p_true: float, alpha: float) -> float:
    """Return the chance that the exact test of p >= p_null rejects when the truth is p_true."""
    return power_above(trials, p_null=1.0 - p_null, p_true=1.0 - p_true, alpha=alpha)


def sizes_above(*, p_null: float, p_true: float, alpha: float, power: float) -> SampleSize:
    """Return how many answers let the exact test of p <= p_null find p_true with the wanted power.

    One sweep over n carries both tails along by P(n+1; X >= c) = P(n; X >= c) + p P(n; X = c-1). It ends
    where Hoeffding's inequality (1963, MEMORY) proves the power for every larger n, so `stable` is not a
    guess.
    """
    require_range("the guessing probability", p_null, low=0.0, high=1.0)
    require_range("the true probability", p_true, low=0.0, high=1.0)
    require_inside("alpha", alpha)
    require_inside("the power", power)
    if p_true <= p_null:
        raise TastingInputError(
            f"the effect to find ({p_true:g}) is not above {p_null:g}: give a larger difference to look for"
        )
    reach = math.sqrt(-0.5 * math.log(alpha)) + math.sqrt(-0.5 * math.log(1.0 - power))
    end = math.ceil((reach / (p_true - p_null)) ** 2) + 1
    if end > MOST_TASTERS:
        raise TastingInputError("the difference to be found is too small to plan for: give a larger one")
    first, last_miss = 0, 0
    critical, tail_null, tail_true = 1, 0.0, 0.0
    for n in range(1, end + 1):
        tail_null += p_null * _pmf(n - 1, critical - 1, p_null)
        tail_true += p_true * _pmf(n - 1, critical - 1, p_true)
        if tail_null > alpha * (1.0 + SLACK):
            tail_null -= _pmf(n, critical, p_null)
            tail_true -= _pmf(n, critical, p_true)
            critical += 1
        if tail_true < power - SLACK:
            last_miss = n
        elif not first:
            first = n
    return SampleSize(first, last_miss + 1)


def sizes_below(*, p_null: float, p_true: float, alpha: float, power: float) -> SampleSize:
    """Return how many answers let the exact test of p >= p_null find the smaller p_true."""
    return sizes_above(p_null=1.0 - p_null, p_true=1.0 - p_true, alpha=alpha, power=power)


def _pmf(trials: int, x: int, p: float) -> float:
    if x > trials:
        return 0.0
    if p in (0.0, 1.0):
        return 1.0 if x == trials * p else 0.0
    choose = math.lgamma(trials + 1) - math.lgamma(x + 1) - math.lgamma(trials - x + 1)
    return math.exp(choose + x * math.log(p) + (trials - x) * math.log1p(-p))
