"""How far apart two products taste, as d-prime: one scale for every right-or-wrong protocol.

d-prime is the distance between the two products' sensations in units of their common standard deviation
(Thurstone's model). Here are the psychometric functions, their slopes, their inverses and exact intervals.
Integrals are Gauss-Legendre sums over `distributions.NODES` nodes on plus or minus `REACH` + 6 deviations.
Called by `plan` (power for a difference of given size) and `verdict`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from slowfolio.tasting import binomial
from slowfolio.tasting.distributions import (
    FloatArray,
    legendre_nodes,
    normal_cdf,
    normal_density,
    normal_quantile,
    two_sided_z,
)
from slowfolio.tasting.errors import TastingInputError, require_part, require_range
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.protocols import Protocol, discriminators, guessing
from slowfolio.tasting.search import bisect

LARGEST = 12.0
"""d-prime beyond which every protocol is right with certainty to double precision (COMPUTED)."""

ROOT2, ROOT3, ROOT6 = math.sqrt(2.0), math.sqrt(3.0), math.sqrt(6.0)


@dataclass(frozen=True, slots=True)
class DPrime:
    """A d-prime with its exact interval; `standard_error` is None where it is not defined (0 or infinite)."""

    protocol: Protocol
    estimate: Estimate
    standard_error: float | None


def share_correct(protocol: Protocol, d_prime: float) -> float:
    """Return the share of right answers at a d-prime of 0 to `LARGEST`.

    Sources: Ennis (1993), J. Sensory Studies 8 (triangle, duo-trio, two- and three-choice); Ennis & Jesionka
    (2011), J. Sensory Studies 26 (tetrad); MEMORY, values read in sensR's tests. Double duo-trio: both
    of two independent duo-trios right, Bi (2001) (MEMORY).
    """
    require_range("d-prime", d_prime, low=0.0, high=LARGEST)
    return _VALUES[protocol](d_prime)


def share_correct_slope(protocol: Protocol, d_prime: float) -> float:
    """Return the derivative of `share_correct` in d-prime, differentiated under the integral (COMPUTED)."""
    require_range("d-prime", d_prime, low=0.0, high=LARGEST)
    return _SLOPES[protocol](d_prime)


def d_prime_of(protocol: Protocol, share: float) -> float:
    """Return the d-prime behind a share of right answers: 0 at or below guessing, infinite at 1."""
    require_range("the share of right answers", share, low=0.0, high=1.0)
    if share <= guessing(protocol):
        return 0.0
    if share >= share_correct(protocol, LARGEST):
        return math.inf
    return bisect(lambda d: share - share_correct(protocol, d), 0.0, LARGEST)


def d_prime(protocol: Protocol, correct: int, tasters: int, *, confidence: float = 0.95) -> DPrime:
    """Return d-prime with the exact interval of the right answers carried through the psychometric function.

    The function rises with d-prime, so the interval covers at least as often as Clopper-Pearson's. The
    standard error is the delta method's, sqrt(pc (1 - pc)/n)/slope (MEMORY), for
    comparison with other reports; it does not make the interval.
    """
    require_part("right answers", correct, "tasters", tasters)
    share = correct / tasters
    exact = binomial.clopper_pearson(correct, tasters, confidence)
    best = d_prime_of(protocol, share)
    limits = Interval(
        d_prime_of(protocol, exact.low),
        d_prime_of(protocol, exact.high),
        confidence,
        f"{exact.how}, through the psychometric function",
    )
    error = None
    if 0.0 < best < math.inf:
        error = math.sqrt(share * (1.0 - share) / tasters) / share_correct_slope(protocol, best)
    return DPrime(protocol, Estimate(best, limits), error)


def d_prime_of_telling(protocol: Protocol, telling: float) -> float:
    """Return the d-prime at which a protocol shows the given share of tasters who can tell."""
    guess = guessing(protocol)
    return d_prime_of(
        protocol, guess + require_range("the share who can tell", telling, low=0, high=1) * (1 - guess)
    )


def telling_at(protocol: Protocol, d: float) -> float:
    """Return the share of tasters who can tell, above guessing, that a protocol shows at a d-prime."""
    return discriminators(protocol, share_correct(protocol, d))


def p_value_of_at_most(protocol: Protocol, correct: int, tasters: int, *, d_limit: float) -> float:
    """Return the exact p-value of the similarity test of "d-prime is `d_limit` or more"."""
    if d_limit <= 0:
        raise TastingInputError("the largest d-prime that does not matter must be above 0: give, say, 1")
    return binomial.lower_tail(correct, tasters, share_correct(protocol, d_limit))


def _integral(integrand: Callable[[FloatArray], FloatArray], d: float) -> float:
    z, weights = legendre_nodes(-8.5, 8.5 + math.ceil(d))
    return float(np.sum(weights * integrand(z)))


def _two_choice(d: float) -> float:
    return float(normal_cdf(d / ROOT2))


def _two_choice_slope(d: float) -> float:
    return float(normal_density(d / ROOT2)) / ROOT2


def _duo_trio(d: float) -> float:
    a, b = float(normal_cdf(d / ROOT2)), float(normal_cdf(d / ROOT6))
    return 1.0 - a - b + 2.0 * a * b


def _duo_trio_slope(d: float) -> float:
    a, b = float(normal_cdf(d / ROOT2)), float(normal_cdf(d / ROOT6))
    a_slope, b_slope = float(normal_density(d / ROOT2)) / ROOT2, float(normal_density(d / ROOT6)) / ROOT6
    return a_slope * (2.0 * b - 1.0) + b_slope * (2.0 * a - 1.0)


def _three_choice(d: float) -> float:
    return _integral(lambda z: normal_density(z - d) * normal_cdf(z) ** 2, d)


def _three_choice_slope(d: float) -> float:
    return _integral(lambda z: (z - d) * normal_density(z - d) * normal_cdf(z) ** 2, d)


def _triangle(d: float) -> float:
    shift = d * math.sqrt(2.0 / 3.0)
    z, weights = legendre_nodes(0.0, 8.5)
    inside = normal_cdf(shift - z * ROOT3) + normal_cdf(-shift - z * ROOT3)
    return 2.0 * float(np.sum(weights * normal_density(z) * inside))


def _triangle_slope(d: float) -> float:
    scale = math.sqrt(2.0 / 3.0)
    z, weights = legendre_nodes(0.0, 8.5)
    inside = normal_density(d * scale - z * ROOT3) - normal_density(-d * scale - z * ROOT3)
    return 2.0 * scale * float(np.sum(weights * normal_density(z) * inside))


def _tetrad(d: float) -> float:
    def integrand(z: FloatArray) -> FloatArray:
        near, far = normal_cdf(z), normal_cdf(z - d)
        return normal_density(z) * (2.0 * near * far - far**2)

    return 1.0 - 2.0 * _integral(integrand, d)


def _tetrad_slope(d: float) -> float:
    def integrand(z: FloatArray) -> FloatArray:
        return normal_density(z) * normal_density(z - d) * (normal_cdf(z) - normal_cdf(z - d))

    return 4.0 * _integral(integrand, d)


_VALUES: dict[Protocol, Callable[[float], float]] = {
    Protocol.TRIANGLE: _triangle,
    Protocol.DUO_TRIO: _duo_trio,
    Protocol.PAIRED_COMPARISON: _two_choice,
    Protocol.THREE_CHOICE: _three_choice,
    Protocol.TETRAD: _tetrad,
    Protocol.DOUBLE_DUO_TRIO: lambda d: _duo_trio(d) ** 2,
}
_SLOPES: dict[Protocol, Callable[[float], float]] = {
    Protocol.TRIANGLE: _triangle_slope,
    Protocol.DUO_TRIO: _duo_trio_slope,
    Protocol.PAIRED_COMPARISON: _two_choice_slope,
    Protocol.THREE_CHOICE: _three_choice_slope,
    Protocol.TETRAD: _tetrad_slope,
    Protocol.DOUBLE_DUO_TRIO: lambda d: 2.0 * _duo_trio(d) * _duo_trio_slope(d),
}


# --- a single piece called "A" or "not A" -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ANotA:
    """d-prime from pieces called "A" or "not A", one by one, with Fisher's exact one-sided p-value."""

    d_prime: float
    standard_error: float
    interval: Interval
    p_value: float


def a_not_a(
    *, hits: int, shown_a: int, false_alarms: int, shown_other: int, confidence: float = 0.95
) -> ANotA:
    """Return d-prime of "A" called on A (`hits` of `shown_a`) and on the other (`false_alarms`).

    Every piece must come from another taster. d = z(hit rate) - z(false-alarm rate) with the delta-method
    standard error; both rates must lie strictly between 0 and 1, or d-prime is not bounded.

    Source: Bi (2006), Sensory Discrimination Tests and Measurements (MEMORY).
    """
    require_part("hits", hits, "pieces of A", shown_a)
    require_part("false alarms", false_alarms, "pieces of the other", shown_other)
    if hits in (0, shown_a) or false_alarms in (0, shown_other):
        raise TastingInputError(
            "every piece of one kind got the same answer, so d-prime has no bound: taste more pieces, or "
            "report the p-value alone (fisher_upper)"
        )
    z_hit, z_false = normal_quantile(hits / shown_a), normal_quantile(false_alarms / shown_other)
    variance = sum(
        share * (1.0 - share) / (shown * float(normal_density(z)) ** 2)
        for share, shown, z in (
            (hits / shown_a, shown_a, z_hit),
            (false_alarms / shown_other, shown_other, z_false),
        )
    )
    error = math.sqrt(variance)
    best = z_hit - z_false
    reach = two_sided_z(confidence) * error
    limits = Interval(best - reach, best + reach, confidence, "normal approximation (delta method)")
    p_value = fisher_upper(hits, shown_a, false_alarms, shown_other)
    return ANotA(best, error, limits, p_value)


def fisher_upper(hits: int, shown_a: int, false_alarms: int, shown_other: int) -> float:
    """Return Fisher's exact one-sided p-value: at least so many hits given all the calls of "A"."""
    calls = hits + false_alarms
    ways = sum(
        math.comb(shown_a, x) * math.comb(shown_other, calls - x)
        for x in range(hits, min(calls, shown_a) + 1)
    )
    return ways / math.comb(shown_a + shown_other, calls)
