"""Preferences among several products from pairs: Bradley-Terry strengths, with ties after Davidson.

Tasters need not meet every pair, so panels may be mixed. Strengths exist only if every product is connected
with every other by wins or ties (Ford's condition); otherwise the fit is refused with the reason, or, where
the caller asks for it by name, held in place by a stated prior. Several votes of one taster never count as
several tasters.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from slowfolio.tasting.distributions import (
    FloatArray,
    chi_square_upper,
    normal_upper,
    student_t_upper,
    two_sided_t,
    two_sided_z,
)
from slowfolio.tasting.errors import TastingInputError, require_inside
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.multiplicity import holm
from slowfolio.tasting.strength_likelihood import (
    Comparison,
    Outcome,
    StrengthLikelihood,
    products_of,
    shares_at,
)

PRIOR_SPREAD = 2.0
"""Standard deviation of log strengths under the prior of `fit_held` (CALIBRATED): odds of 7 to 1 are one of
them."""


@dataclass(frozen=True, slots=True)
class StrengthPair:
    """How often `first` is preferred to `second` by those with a preference, with interval.

    `p_adjusted` tests equal strength, corrected over all pairs by Holm's method.
    """

    first: str
    second: str
    preferred: Estimate
    log_odds: Estimate
    p_adjusted: float


@dataclass(frozen=True, slots=True)
class Strengths:
    """A fit: log strengths against the mean of all products, the tie parameter, and every pair.

    `g_squared` compares the fit with each pair taken for itself; `degrees` is 0 where nothing is left to
    test and `p_fit` then 1. `held` says whether a prior held the strengths in place.
    """

    products: tuple[str, ...]
    log_strengths: tuple[float, ...]
    tie: float
    pairs: tuple[StrengthPair, ...]
    votes: int
    tasters: int
    g_squared: float
    degrees: int
    p_fit: float
    held: bool
    how: str


def groups_not_connected(comparisons: Sequence[Comparison]) -> tuple[tuple[str, ...], ...]:
    """Return the products in groups that are connected by wins and ties, strongest group first as far as
    known.

    One group means that strengths exist.

    Source: Ford (1957), American Mathematical Monthly 64: in every split into two groups, some product of
    either group is preferred to some of the other (MEMORY). A tie counts as a preference both ways,
    Davidson (1970), J. American Statistical Association 65 (MEMORY).
    """
    products = products_of(comparisons)
    reach = _reach(products, comparisons)
    mutual = reach & reach.T
    groups: list[tuple[str, ...]] = []
    for i, name in enumerate(products):
        if not any(name in group for group in groups):
            groups.append(tuple(other for j, other in enumerate(products) if mutual[i, j]))
    return tuple(sorted(groups, key=lambda group: -int(reach[products.index(group[0])].sum())))


def fit(comparisons: Sequence[Comparison], *, confidence: float = 0.95) -> Strengths:
    """Return the maximum-likelihood strengths, refusing data that do not determine them.

    Raises TastingInputError naming the products that are not connected.

    Source: Bradley & Terry (1952), Biometrika 39; ties by Davidson (1970): P(i) : P(tie) : P(j) =
    s_i : v sqrt(s_i s_j) : s_j (both MEMORY).
    """
    _checked(comparisons)
    groups = groups_not_connected(comparisons)
    if len(groups) > 1:
        raise TastingInputError(_why_not(comparisons, groups))
    return _fitted(comparisons, prior_spread=math.inf, confidence=confidence)


def fit_held(
    comparisons: Sequence[Comparison], *, prior_spread: float = PRIOR_SPREAD, confidence: float = 0.95
) -> Strengths:
    """Return strengths pulled towards each other by a normal prior on log strengths.

    For data that `fit` refuses. What it says of groups that never met, or of a product that always won, comes
    partly from the prior; the result says so in `how`.
    """
    _checked(comparisons)
    require_inside("the spread of the prior", prior_spread, low=0.0, high=100.0)
    return _fitted(comparisons, prior_spread=prior_spread, confidence=confidence)


def _fitted(comparisons: Sequence[Comparison], *, prior_spread: float, confidence: float) -> Strengths:
    model = StrengthLikelihood.of(comparisons, prior_spread=prior_spread)
    point = model.maximum()
    theta, log_tie = model.log_strengths(point), model.log_tie(point)
    repeated = len(comparisons) > model.tasters
    pairs = _pairs(model, point, repeated_tasters=model.tasters if repeated else 0, confidence=confidence)
    g_squared, degrees = _lack_of_fit(comparisons, dict(zip(model.products, theta, strict=True)), log_tie)
    held = math.isfinite(prior_spread)
    how = "normal approximation of the likelihood"
    if repeated:
        how += ", the wider of model-based and between-taster errors, t on the tasters"
    if held:
        how += f", held by a prior of {prior_spread:g} on log strengths"
    return Strengths(
        products=model.products,
        log_strengths=tuple(float(value) for value in theta - theta.mean()),
        tie=math.exp(log_tie),
        pairs=pairs,
        votes=len(comparisons),
        tasters=model.tasters,
        g_squared=g_squared,
        degrees=degrees,
        p_fit=chi_square_upper(g_squared, degrees) if degrees else 1.0,
        held=held,
        how=how,
    )


def _pairs(
    model: StrengthLikelihood, point: FloatArray, *, repeated_tasters: int, confidence: float
) -> tuple[StrengthPair, ...]:
    if repeated_tasters == 1:
        raise TastingInputError("all votes are one taster's: one person is not a panel, so ask others")
    _, scores, curvature = model.at(point)
    plain = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    used = [plain] + ([_between_tasters(model, scores, plain)] if repeated_tasters else [])
    theta, count = model.log_strengths(point), len(model.products)
    indices = list(combinations(range(count), 2))
    found: list[tuple[float, float]] = []
    for i, j in indices:
        contrast = np.zeros(point.size + 1)
        contrast[i], contrast[j] = 1.0, -1.0
        contrast = np.delete(contrast, count - 1)
        error = math.sqrt(max(float(contrast @ covariance @ contrast) for covariance in used))
        found.append((float(theta[i] - theta[j]), error))
    degrees = repeated_tasters - 1
    if repeated_tasters:
        reach, how = two_sided_t(confidence, degrees), "t on the tasters"
        chances = [2.0 * student_t_upper(abs(gap) / error, degrees) for gap, error in found]
    else:
        reach, how = two_sided_z(confidence), "normal approximation"
        chances = [2.0 * normal_upper(abs(gap) / error) for gap, error in found]
    pairs = []
    for (i, j), (gap, error), p_adjusted in zip(indices, found, holm(chances), strict=True):
        limits = Interval(gap - reach * error, gap + reach * error, confidence, how)
        shares = Interval(_odds_share(limits.low), _odds_share(limits.high), confidence, how)
        pairs.append(
            StrengthPair(
                model.products[i],
                model.products[j],
                Estimate(_odds_share(gap), shares),
                Estimate(gap, limits),
                p_adjusted,
            )
        )
    return tuple(pairs)


def _between_tasters(model: StrengthLikelihood, scores: FloatArray, plain: FloatArray) -> FloatArray:
    # The sandwich with every taster's votes summed: Liang & Zeger (1986), Biometrika 73 (MEMORY), with the
    # usual factor n/(n-1).
    summed = np.zeros((model.tasters, scores.shape[1]))
    np.add.at(summed, model.taster, scores)
    return np.asarray(plain @ (summed.T @ summed) @ plain * model.tasters / (model.tasters - 1))


def _odds_share(log_odds: float) -> float:
    return 0.5 * (1.0 + math.tanh(0.5 * log_odds))


def _lack_of_fit(
    comparisons: Sequence[Comparison], theta: dict[str, float], log_tie: float
) -> tuple[float, int]:
    outcomes = 2 if math.isfinite(log_tie) else 1
    g_squared, free, cells = 0.0, len(theta) - 2 + outcomes, 0
    for a, b in combinations(theta, 2):
        counts = _counts(comparisons, a, b)
        if sum(counts) == 0:
            continue
        cells += outcomes
        first, tie, second = (
            float(share[0]) for share in shares_at(np.array([theta[a] - theta[b]]), log_tie)
        )
        for count, share in zip(counts, (first, tie, second), strict=True):
            if count:
                g_squared += 2.0 * count * math.log(count / (sum(counts) * share))
    return max(g_squared, 0.0), max(cells - free, 0)


def _counts(comparisons: Sequence[Comparison], a: str, b: str) -> tuple[int, int, int]:
    wins = ties = losses = 0
    for one in comparisons:
        if {one.first, one.second} != {a, b}:
            continue
        if one.outcome is Outcome.TIE:
            ties += 1
        elif (one.outcome is Outcome.FIRST) == (one.first == a):
            wins += 1
        else:
            losses += 1
    return wins, ties, losses


def _checked(comparisons: Sequence[Comparison]) -> None:
    if not comparisons:
        raise TastingInputError("there are no votes: give each taster's choice between two products")
    for one in comparisons:
        if one.first == one.second:
            raise TastingInputError(f"{one.taster} compared {one.first} with itself: name two products")


def _reach(products: tuple[str, ...], comparisons: Sequence[Comparison]) -> NDArray[np.bool_]:
    place = {name: i for i, name in enumerate(products)}
    reach = np.eye(len(products), dtype=np.bool_)
    for one in comparisons:
        i, j = place[one.first], place[one.second]
        if one.outcome is not Outcome.SECOND:
            reach[i, j] = True
        if one.outcome is not Outcome.FIRST:
            reach[j, i] = True
    for via in range(len(products)):
        reach |= reach[:, via : via + 1] & reach[via : via + 1, :]
    return reach


def _why_not(comparisons: Sequence[Comparison], groups: tuple[tuple[str, ...], ...]) -> str:
    products = products_of(comparisons)
    inside = {products.index(name) for name in groups[0]}
    outside = [name for i, name in enumerate(products) if i not in inside]
    met = any((one.first in groups[0]) != (one.second in groups[0]) for one in comparisons)
    upper, lower = ", ".join(groups[0]), ", ".join(outside)
    if not met:
        return f"{upper} and {lower} were never compared: add votes between them, or analyse them apart"
    return (
        f"in every vote between them {upper} was preferred to {lower}, so no strength fits: add votes, "
        "report the counts alone, or ask for strengths held in place by a prior (fit_held)"
    )
