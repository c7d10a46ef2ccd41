"""Which of two do tasters prefer, with or without "no preference": counts, shares and the two-choice model.

A taster who has no preference is information, not noise to be shared out. The test uses those with a view
and is exact; the shares of the whole panel, and how the answer changes if the undecided are split, stand
beside it. Each taster votes once. More than two products belong in `bradley_terry`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from slowfolio.tasting import binomial
from slowfolio.tasting.distributions import (
    chi_square_upper,
    normal_quantile,
    normal_upper,
    two_sided_z,
)
from slowfolio.tasting.errors import TastingInputError, require_count, require_inside
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.search import bisect, highest

ROOT2 = math.sqrt(2.0)
SEARCH_STEPS = 48
"""Golden-section steps for tau: a billionth of the range (CALIBRATED)."""

FARTHEST = 12.0
"""d-prime beyond which the model is certain to double precision (COMPUTED)."""


@dataclass(frozen=True, slots=True)
class Votes:
    """Votes of a panel for two products."""

    first: int
    none: int
    second: int

    @property
    def tasters(self) -> int:
        """All who voted, undecided included."""
        return self.first + self.none + self.second


@dataclass(frozen=True, slots=True)
class PreferenceResult:
    """Preference between two products.

    `p_value` is the exact two-sided test among those with a view. `share_first` is for those with a view,
    `share_none` and `first_of_all` are of the whole panel. `p_split` is the same test with the undecided
    split evenly (an odd one against the larger count); a verdict that holds under both does not hang on the
    undecided.
    """

    votes: Votes
    alpha: float
    p_value: float
    p_split: float
    share_first: Estimate
    first_of_all: Estimate
    second_of_all: Estimate
    share_none: Estimate

    @property
    def found(self) -> bool:
        """Whether a preference is established at alpha among those with a view."""
        return self.p_value <= self.alpha * (1.0 + binomial.SLACK)


@dataclass(frozen=True, slots=True)
class TwoChoice:
    """Thurstone's model with a "no preference" band of half width tau; d above 0 favours the second product.

    `p_value` is the two-sided likelihood-ratio test of d = 0.
    """

    d_prime: Estimate
    tau: float
    g_squared: float
    p_value: float


def preference_test(votes: Votes, *, alpha: float = 0.05, confidence: float = 0.95) -> PreferenceResult:
    """Return the exact two-sided test of "as many prefer the one as the other".

    Source: ISO 5495 two-sided (MEMORY), on those who have a preference: conditional on
    their number, the count is binomial with one half whatever the share of undecided.
    """
    _checked(votes)
    require_inside("alpha", alpha)
    views = votes.first + votes.second
    whole = votes.tasters
    larger = max(votes.first, votes.second)
    if views == 0:
        share = Estimate(0.5, Interval(0.0, 1.0, confidence, "nobody had a preference"))
    else:
        share = Estimate(votes.first / views, binomial.clopper_pearson(votes.first, views, confidence))
    first, second, none = (
        Estimate(count / whole, binomial.clopper_pearson(count, whole, confidence))
        for count in (votes.first, votes.second, votes.none)
    )
    return PreferenceResult(
        votes=votes,
        alpha=alpha,
        p_value=_two_sided(larger, views),
        p_split=_two_sided(larger + votes.none // 2, whole),
        share_first=share,
        first_of_all=first,
        second_of_all=second,
        share_none=none,
    )


def two_choice_model(votes: Votes, *, confidence: float = 0.95) -> TwoChoice:
    """Return the fit of the two-choice model with "no preference", with a profile-likelihood interval for d.

    P(first) = Phi((-tau - d)/sqrt 2), P(none) = Phi((tau - d)/sqrt 2) - P(first), closed-form at the maximum.

    Source: Christensen, Lee & Brockhoff (2012), Food Quality and Preference 24 (MEMORY).
    """
    _checked(votes)
    if votes.first + votes.second == 0:
        raise TastingInputError("nobody had a preference, so there is no direction to estimate")
    d, tau = _best(votes)
    peak = _saturated(votes)
    same = _profile(votes, 0.0)
    g_squared = max(2.0 * (peak - same), 0.0)
    floor = peak - 0.5 * two_sided_z(confidence) ** 2
    anchor = min(max(d, -FARTHEST), FARTHEST)
    low, high = -math.inf, math.inf
    if d > -math.inf:
        low = -_edge(lambda u: _profile(votes, -u) - floor, -anchor)
    if d < math.inf:
        high = _edge(lambda u: _profile(votes, u) - floor, anchor)
    limits = Interval(low, high, confidence, "profile likelihood")
    return TwoChoice(Estimate(d, limits), tau, g_squared, chi_square_upper(g_squared, 1))


def _two_sided(larger: int, views: int) -> float:
    return min(2.0 * binomial.upper_tail(larger, views, 0.5), 1.0) if views else 1.0


def _checked(votes: Votes) -> None:
    for name, count in (("first", votes.first), ("none", votes.none), ("second", votes.second)):
        require_count(f"votes for {name}", count)
    if votes.tasters == 0:
        raise TastingInputError("nobody voted: give the votes for the first, the second and for neither")


def _best(votes: Votes) -> tuple[float, float]:
    if votes.first == 0:
        return math.inf, math.nan if votes.none else 0.0
    if votes.second == 0:
        return -math.inf, math.nan if votes.none else 0.0
    lower = normal_quantile(votes.first / votes.tasters)
    upper = normal_quantile((votes.first + votes.none) / votes.tasters)
    return -(lower + upper) / ROOT2, (upper - lower) / ROOT2


def _saturated(votes: Votes) -> float:
    counts = (votes.first, votes.none, votes.second)
    return sum(count * math.log(count / votes.tasters) for count in counts if count)


def _log_likelihood(votes: Votes, d: float, tau: float) -> float:
    first = normal_upper((tau + d) / ROOT2)
    second = normal_upper((tau - d) / ROOT2)
    none = max(1.0 - first - second, 0.0)
    total = 0.0
    for count, share in ((votes.first, first), (votes.none, none), (votes.second, second)):
        if count:
            total += count * math.log(share) if share > 0 else -math.inf
    return total


def _profile(votes: Votes, d: float) -> float:
    # The likelihood has one hump in tau; golden section needs no derivative.
    if votes.none == 0:
        return _log_likelihood(votes, d, 0.0)
    tau = highest(lambda t: _log_likelihood(votes, d, t), 0.0, FARTHEST + abs(d), steps=SEARCH_STEPS)
    return _log_likelihood(votes, d, tau)


def _edge(surplus: Callable[[float], float], start: float) -> float:
    end = start + 1.0
    while surplus(end) > 0:
        end += 1.0
        if end > start + 2 * FARTHEST:
            return math.inf
    return bisect(surplus, start, end, within=1e-9)
