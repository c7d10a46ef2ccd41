"""Distribution functions the tests need: normal, Student's t, chi-square, the range of normals, power of t.

Whole degrees of freedom make t and chi-square finite sums, so nothing here is a series cut short; the range
and the power of t are integrals by Gauss-Legendre quadrature. Called by every statistical room of the
package.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from slowfolio.tasting.errors import require_count, require_inside
from slowfolio.tasting.search import bisect

FloatArray = NDArray[np.float64]

NODES = 120
"""Gauss-Legendre nodes (CALIBRATED): doubling them changes no result of the package by more than 1e-12."""

REACH = 8.5
"""Deviations beyond which the normal density (below 1e-16) is left out of an integral (CALIBRATED)."""

_STANDARD = NormalDist()


def normal_cdf(x: ArrayLike) -> FloatArray:
    """Return the standard normal distribution function, any shape.

    Source: Phi(x) = erfc(-x/sqrt 2)/2, Abramowitz & Stegun (1964) 7.1.22 (MEMORY).
    """
    points = np.asarray(x, dtype=np.float64)
    scaled = (-points / math.sqrt(2.0)).ravel()
    return 0.5 * np.fromiter(map(math.erfc, scaled), dtype=np.float64, count=points.size).reshape(
        points.shape
    )


def normal_upper(x: float) -> float:
    """Return P(Z >= x), accurate far out in the tail."""
    return 0.5 * math.erfc(x / math.sqrt(2.0))


def normal_density(x: ArrayLike) -> FloatArray:
    """Return the standard normal density, any shape."""
    points = np.asarray(x, dtype=np.float64)
    return np.asarray(np.exp(-0.5 * points**2) / math.sqrt(2.0 * math.pi), dtype=np.float64)


def normal_quantile(probability: float) -> float:
    """Return the standard normal quantile for a probability between 0 and 1 (not 0 or 1 themselves)."""
    return _STANDARD.inv_cdf(require_inside("the probability", probability))


def two_sided_z(confidence: float) -> float:
    """Return z with P(-z <= Z <= z) = confidence."""
    return normal_quantile(0.5 + 0.5 * require_inside("the confidence", confidence))


def student_t_upper(t: float, degrees: int) -> float:
    """Return P(T >= t) for Student's t with a whole number of degrees of freedom.

    Source: the finite trigonometric sums of Abramowitz & Stegun (1964) 26.7.3 and 26.7.4 (MEMORY).
    """
    require_count("degrees of freedom", degrees, low=1)
    angle = math.atan2(abs(t), math.sqrt(degrees))
    cosine, sine = math.cos(angle), math.sin(angle)
    odd = degrees % 2 == 1
    term, total = (cosine, 0.0) if odd else (1.0, 0.0)
    for j in range(1 if odd else 0, degrees - 1, 2):
        total += term
        term *= cosine**2 * (j + 1) / (j + 2)
    inside = (2.0 / math.pi) * (angle + sine * total) if odd else sine * total
    tail = max(0.5 * (1.0 - inside), 0.0)
    return tail if t >= 0 else 1.0 - tail


@lru_cache(maxsize=512)
def two_sided_t(confidence: float, degrees: int) -> float:
    """Return t with P(-t <= T <= t) = confidence."""
    tail = 0.5 * (1.0 - require_inside("the confidence", confidence))
    high = 2.0
    while student_t_upper(high, degrees) > tail:
        high *= 2.0
    return bisect(lambda t: student_t_upper(t, degrees) - tail, 0.0, high)


def chi_square_upper(x: float, degrees: int) -> float:
    """Return P(chi-square >= x) for a whole number of degrees of freedom.

    Source: the finite sums of Abramowitz & Stegun (1964) 26.4.4 and 26.4.5 (MEMORY).
    """
    require_count("degrees of freedom", degrees, low=1)
    if x <= 0:
        return 1.0
    root = math.sqrt(x)
    if degrees % 2 == 0:
        term, total = 1.0, 0.0
        for j in range(1, degrees // 2 + 1):
            total += term
            term *= 0.5 * x / j
        return math.exp(-0.5 * x) * total
    term, total = root, 0.0
    for r in range(1, (degrees - 1) // 2 + 1):
        total += term
        term *= x / (2 * r + 1)
    return 2.0 * normal_upper(root) + 2.0 * float(normal_density(root)) * total


@lru_cache(maxsize=64)
def legendre_nodes(low: float, high: float, nodes: int = NODES) -> tuple[FloatArray, FloatArray]:
    """Return Gauss-Legendre nodes and weights, both of shape (nodes,), for the interval low to high."""
    places, weights = np.polynomial.legendre.leggauss(nodes)
    half = 0.5 * (high - low)
    return np.asarray(low + half * (places + 1.0)), np.asarray(half * weights)


def range_upper(q: float, count: int) -> float:
    """Return P(largest - smallest >= q) of `count` independent standard normals.

    Source: 1 - count * integral phi(z) [Phi(z) - Phi(z - q)]^(count-1) dz, the studentised range with
    infinite degrees of freedom, Tippett (1925) (MEMORY).
    """
    require_count("the number of products", count, low=2)
    if q <= 0:
        return 1.0
    z, weights = legendre_nodes(-REACH, REACH)
    inside = (normal_cdf(z) - normal_cdf(z - q)) ** (count - 1)
    return max(1.0 - count * float(np.sum(weights * normal_density(z) * inside)), 0.0)


def range_quantile(alpha: float, count: int) -> float:
    """Return q with `range_upper(q, count)` = alpha."""
    require_inside("alpha", alpha)
    return bisect(lambda q: range_upper(q, count) - alpha, 0.0, 40.0)


def noncentral_t_upper(t: float, degrees: int, shift: float) -> float:
    """Return P(T >= t) where T = (Z + shift)/S and S^2 is an independent chi-square over its degrees.

    Source: the definition of noncentral t, integrated over the density of S (COMPUTED; checked in the tests).
    """
    require_count("degrees of freedom", degrees, low=1)
    spread = REACH / math.sqrt(2.0 * degrees)
    s, weights = legendre_nodes(max(1.0 - spread, 0.0), 1.0 + spread + 3.0 / degrees)
    s = np.maximum(s, 1e-300)
    half = 0.5 * degrees
    log_density = (
        math.log(2.0) + half * math.log(half) - math.lgamma(half) + (degrees - 1) * np.log(s) - half * s**2
    )
    return float(np.sum(weights * np.exp(log_density) * normal_cdf(shift - t * s)))
