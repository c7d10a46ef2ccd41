"""Tasters who answered several sets each: never counted as if every answer came from another taster.

Some people taste better than others, so one person's answers hang together and the pooled count looks more
certain than it is. The beta-binomial lets the chance of being right vary between tasters; its intervals widen
accordingly. Called by `verdict` when a tasting has repeats.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowfolio.tasting import binomial
from slowfolio.tasting.distributions import FloatArray, chi_square_upper, two_sided_t
from slowfolio.tasting.errors import TastingInputError, require_part
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.protocols import Protocol, discriminators, guessing
from slowfolio.tasting.search import bisect, highest

SEARCH_STEPS = 34
"""Golden-section steps: a ten-millionth of the range, beyond which the likelihood is flat (CALIBRATED)."""

CLOSE_ENOUGH = 1e-7
"""How closely the ends of an interval are found (CALIBRATED)."""

EDGE = 1e-9
"""How near the ends of 0 to 1 the fit looks (CALIBRATED)."""


@dataclass(frozen=True, slots=True)
class TasterCount:
    """One taster's right answers among the sets they were served."""

    taster: str
    right: int
    sets: int


@dataclass(frozen=True, slots=True)
class BetaBinomial:
    """A beta-binomial fit: mean share right, spread between tasters (0 none, 1 all or nothing).

    `g_squared` is twice the gain in log-likelihood over one common probability; `p_value` tests whether
    tasters differ (half a chi-square with one degree of freedom, because spread cannot be negative).
    """

    mean: float
    spread: float
    log_likelihood: float
    g_squared: float
    p_value: float


@dataclass(frozen=True, slots=True)
class ReplicatedResult:
    """A replicated tasting.

    `p_value` tests "nobody can tell": only under that do repeated answers of one taster count separately, and
    the pooled exact test is right. `share_right` and `telling` describe the panel and allow for tasters who
    differ; `answers` is not a number of tasters.
    """

    protocol: Protocol
    tasters: int
    answers: int
    right: int
    alpha: float
    p_value: float
    fit: BetaBinomial
    share_right: Estimate
    telling: Estimate

    @property
    def found(self) -> bool:
        """Whether "nobody can tell" is rejected at alpha."""
        return self.p_value <= self.alpha * (1.0 + binomial.SLACK)


def replicated_test(
    protocol: Protocol, counts: Sequence[TasterCount], *, alpha: float = 0.05, confidence: float = 0.95
) -> ReplicatedResult:
    """Return the exact test of "nobody can tell" and the panel's share with a beta-binomial interval.

    Source: the pooled binomial is exact under the null, Kunert & Meyners (1999), Food Quality and
    Preference 10; beta-binomial for the alternative, Ennis & Bi (1998), J. Sensory Studies 13 (both
    MEMORY).
    """
    right, sets = _checked(counts)
    total_right, total = int(right.sum()), int(sets.sum())
    fit = fit_beta_binomial(counts)
    share = _mean_interval(right, sets, fit, confidence)
    low, high = discriminators(protocol, share.interval.low), discriminators(protocol, share.interval.high)
    return ReplicatedResult(
        protocol=protocol,
        tasters=len(counts),
        answers=total,
        right=total_right,
        alpha=alpha,
        p_value=binomial.upper_tail(total_right, total, guessing(protocol)),
        fit=fit,
        share_right=share,
        telling=Estimate(
            discriminators(protocol, share.value),
            Interval(low, high, confidence, f"{share.interval.how}, less guessing"),
        ),
    )


def fit_beta_binomial(counts: Sequence[TasterCount]) -> BetaBinomial:
    """Return the maximum-likelihood beta-binomial of the right answers, without allowance for guessing.

    With mean m and spread g the log-likelihood is, for each taster, the log of the binomial coefficient plus
    sum log(m(1-g) + i g) + sum log((1-m)(1-g) + i g) - sum log(1-g + i g), which stays exact at g = 0.

    Source: Griffiths (1973), Biometrics 29 (MEMORY); spread = 1/(a + b + 1).
    """
    right, sets = _checked(counts)
    rising = _RisingLogs.of(right, sets)
    mean = highest(lambda m: rising.best_spread(m)[1], EDGE, 1.0 - EDGE, steps=SEARCH_STEPS)
    spread, best = rising.best_spread(mean)
    pooled = float(right.sum() / sets.sum())
    plain = rising.log_likelihood(pooled, 0.0)
    if best <= plain + 1e-9:
        mean, spread, best = pooled, 0.0, plain
    gain = max(2.0 * (best - plain), 0.0)
    best += math.fsum(math.log(math.comb(count.sets, count.right)) for count in counts)
    return BetaBinomial(mean, spread, best, gain, 0.5 * chi_square_upper(gain, 1) if gain > 0 else 1.0)


@dataclass(frozen=True, slots=True)
class _RisingLogs:
    # How many tasters have more than i right answers, wrong answers and sets: all the likelihood needs.
    right: FloatArray
    wrong: FloatArray
    sets: FloatArray

    @staticmethod
    def of(right: FloatArray, sets: FloatArray) -> _RisingLogs:
        steps = np.arange(int(sets.max()))[:, None]
        above = [np.sum(values[None, :] > steps, axis=1) for values in (right, sets - right, sets)]
        return _RisingLogs(*(np.asarray(count, dtype=np.float64) for count in above))

    def log_likelihood(self, mean: float, spread: float) -> float:
        steps = np.arange(self.sets.size)
        base = 1.0 - spread
        mean = min(max(mean, EDGE), 1.0 - EDGE)
        return float(
            self.right @ np.log(mean * base + steps * spread)
            + self.wrong @ np.log((1.0 - mean) * base + steps * spread)
            - self.sets @ np.log(base + steps * spread)
        )

    def best_spread(self, mean: float) -> tuple[float, float]:
        spread = highest(lambda g: self.log_likelihood(mean, g), 0.0, 1.0 - 1e-6, steps=SEARCH_STEPS)
        ends = [(g, self.log_likelihood(mean, g)) for g in (0.0, spread)]
        return max(ends, key=lambda end: end[1])


def _mean_interval(right: FloatArray, sets: FloatArray, fit: BetaBinomial, confidence: float) -> Estimate:
    # Student's t on tasters in place of the normal: a panel of few tasters says little of people at large.
    rising = _RisingLogs.of(right, sets)
    floor = rising.best_spread(fit.mean)[1] - 0.5 * two_sided_t(confidence, right.size - 1) ** 2

    def surplus(mean: float) -> float:
        return floor - rising.best_spread(mean)[1]

    low, high = 0.0, 1.0
    if surplus(EDGE) > 0:
        low = bisect(surplus, EDGE, max(fit.mean, EDGE), within=CLOSE_ENOUGH)
    if surplus(1.0 - EDGE) > 0:
        high = 1.0 - bisect(lambda u: surplus(1.0 - u), EDGE, max(1.0 - fit.mean, EDGE), within=CLOSE_ENOUGH)
    how = "beta-binomial profile likelihood with t on the tasters"
    return Estimate(fit.mean, Interval(low, high, confidence, how))


def _checked(counts: Sequence[TasterCount]) -> tuple[FloatArray, FloatArray]:
    if len(counts) < 2:
        raise TastingInputError("a replicated tasting needs at least two tasters: one person is not a panel")
    names = [count.taster for count in counts]
    if len(set(names)) < len(names):
        raise TastingInputError("a taster is listed twice: add up each taster's answers in one row")
    for count in counts:
        require_part(f"right answers of {count.taster}", count.right, "sets", count.sets)
    right = np.array([count.right for count in counts], dtype=np.float64)
    sets = np.array([count.sets for count in counts], dtype=np.float64)
    if sets.max() == 1:
        raise TastingInputError("every taster answered once: use the plain test, there is nothing replicated")
    return right, sets
