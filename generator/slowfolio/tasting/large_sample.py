"""Large-sample p-values and powers, for comparing with reports that used them.

No verdict of Slowfolio rests on these: small panels get the exact values of `discrimination`. They are here
because published tastings often print them, and a reader wants to see that the same counts were meant.
"""

from __future__ import annotations

import math

from slowfolio.tasting.distributions import normal_quantile, normal_upper
from slowfolio.tasting.errors import require_inside, require_part
from slowfolio.tasting.protocols import Protocol, guessing


def score_p_value(protocol: Protocol, correct: int, tasters: int) -> float:
    """Return the one-sided p-value of the score statistic, the square root of Pearson's chi-square."""
    require_part("right answers", correct, "tasters", tasters)
    guess = guessing(protocol)
    return normal_upper((correct - tasters * guess) / math.sqrt(tasters * guess * (1.0 - guess)))


def likelihood_p_value(protocol: Protocol, correct: int, tasters: int) -> float:
    """Return the one-sided p-value of the signed root of the likelihood-ratio statistic."""
    require_part("right answers", correct, "tasters", tasters)
    guess, share = guessing(protocol), correct / tasters
    terms = ((correct, share, guess), (tasters - correct, 1.0 - share, 1.0 - guess))
    g_squared = 2.0 * sum(count * math.log(seen / null) for count, seen, null in terms if count)
    return normal_upper(math.copysign(math.sqrt(max(g_squared, 0.0)), share - guess))


def normal_power(tasters: int, *, p_null: float, p_true: float, alpha: float) -> float:
    """Return the power of the one-sided test by the normal approximation, without continuity correction."""
    return _normal_power(tasters, p_null, p_true, alpha, correction=0.0)


def corrected_normal_power(tasters: int, *, p_null: float, p_true: float, alpha: float) -> float:
    """Return the power of the one-sided test by the normal approximation with continuity correction."""
    return _normal_power(tasters, p_null, p_true, alpha, correction=0.5)


def _normal_power(tasters: int, p_null: float, p_true: float, alpha: float, *, correction: float) -> float:
    require_inside("alpha", alpha)
    critical = (
        tasters * p_null
        + correction
        + normal_quantile(1.0 - alpha) * math.sqrt(tasters * p_null * (1.0 - p_null))
    )
    spread = math.sqrt(tasters * p_true * (1.0 - p_true))
    return normal_upper((critical - tasters * p_true) / spread)
