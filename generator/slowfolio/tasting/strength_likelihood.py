"""The likelihood of paired votes under Bradley-Terry strengths with Davidson's ties, and its summit.

Only the model's arithmetic: value, score of each vote, curvature, Newton's method. Whether strengths exist
at all and what they mean is `bradley_terry`'s business. Free parameters are the log strengths of all
products but the last, then the log of the tie parameter if anyone called a tie.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from slowfolio.tasting.distributions import FloatArray
from slowfolio.tasting.errors import TastingInputError

STEPS, CLOSE = 100, 1e-11
"""Most Newton steps, and the step at which they end (CALIBRATED); ten steps are usual."""


class Outcome(StrEnum):
    """What a taster said of two products."""

    FIRST = "first"
    SECOND = "second"
    TIE = "no preference"


@dataclass(frozen=True, slots=True)
class Comparison:
    """One vote of one taster between two products."""

    taster: str
    first: str
    second: str
    outcome: Outcome


def products_of(comparisons: Sequence[Comparison]) -> tuple[str, ...]:
    """Return the products in the order in which they first appear."""
    return tuple(dict.fromkeys(name for one in comparisons for name in (one.first, one.second)))


def shares_at(gap: FloatArray, log_tie: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the shares of first, tie and second at gaps of log strength; a `log_tie` of -inf means no ties.

    Source: Davidson (1970), J. American Statistical Association 65: s_i : v sqrt(s_i s_j) : s_j (MEMORY),
    divided by the largest so that nothing overflows.
    """
    half = 0.5 * gap
    top = np.maximum(np.abs(half), log_tie)
    first, tie, second = np.exp(half - top), np.exp(log_tie - top), np.exp(-half - top)
    whole = first + tie + second
    return first / whole, tie / whole, second / whole


@dataclass(frozen=True, slots=True)
class StrengthLikelihood:
    """Votes as arrays.

    `design`, shape (votes, products - 1), is +1 for the first and -1 for the second product; `half` is
    +1/2, -1/2 or 0 for first, second or tie; `tie` marks ties; `taster` numbers who voted.
    """

    products: tuple[str, ...]
    design: FloatArray
    half: FloatArray
    tie: FloatArray
    taster: NDArray[np.intp]
    prior_spread: float

    @staticmethod
    def of(comparisons: Sequence[Comparison], *, prior_spread: float) -> StrengthLikelihood:
        """Return the arrays for votes; an infinite `prior_spread` means no prior."""
        products = products_of(comparisons)
        place = {name: i for i, name in enumerate(products)}
        people = {name: i for i, name in enumerate(dict.fromkeys(one.taster for one in comparisons))}
        design = np.zeros((len(comparisons), len(products)))
        rows = np.arange(len(comparisons))
        design[rows, [place[one.first] for one in comparisons]] = 1.0
        design[rows, [place[one.second] for one in comparisons]] = -1.0
        half = {Outcome.FIRST: 0.5, Outcome.SECOND: -0.5, Outcome.TIE: 0.0}
        return StrengthLikelihood(
            products=products,
            design=design[:, :-1],
            half=np.array([half[one.outcome] for one in comparisons]),
            tie=np.array([float(one.outcome is Outcome.TIE) for one in comparisons]),
            taster=np.array([people[one.taster] for one in comparisons], dtype=np.intp),
            prior_spread=prior_spread,
        )

    @property
    def tasters(self) -> int:
        """How many people voted."""
        return int(self.taster.max()) + 1

    @property
    def with_ties(self) -> bool:
        """Whether anyone called a tie."""
        return bool(self.tie.any())

    def log_strengths(self, point: FloatArray) -> FloatArray:
        """Return the log strengths of all products, the last being 0."""
        return np.append(point[: len(self.products) - 1], 0.0)

    def log_tie(self, point: FloatArray) -> float:
        """Return the log of the tie parameter, -inf where nobody called a tie."""
        return float(point[-1]) if self.with_ties else -math.inf

    def at(self, point: FloatArray) -> tuple[float, FloatArray, FloatArray]:
        """Return the log-likelihood, each vote's score (votes, free) and the curvature (free, free).

        The prior is in the value and the curvature, not in the scores.
        """
        first, tie, second = shares_at(self.design @ point[: self.design.shape[1]], self.log_tie(point))
        seen = np.where(self.tie > 0, tie, np.where(self.half > 0, first, second))
        lean = 0.5 * (first - second)
        scores = (self.half - lean)[:, None] * self.design
        curvature = self.design.T @ (self.design * (0.25 * (first + second) - lean**2)[:, None])
        if self.with_ties:
            scores = np.column_stack([scores, self.tie - tie])
            cross = self.design.T @ (-lean * tie)
            corner = np.array([[np.sum(tie * (1.0 - tie))]])
            curvature = np.block([[curvature, cross[:, None]], [cross[None, :], corner]])
        pull = self._pull(point)
        value = float(np.sum(np.log(np.maximum(seen, 1e-300)))) - 0.5 * float(point @ pull @ point)
        return value, scores, curvature + pull

    def maximum(self) -> FloatArray:
        """Return the summit by Newton's method with step halving; the log-likelihood is concave."""
        point = np.zeros(self.design.shape[1] + int(self.with_ties))
        value, scores, curvature = self.at(point)
        for _ in range(STEPS):
            step = np.linalg.solve(curvature, scores.sum(axis=0) - self._pull(point) @ point)
            while float(np.max(np.abs(step))) >= CLOSE and self.at(point + step)[0] < value - 1e-12:
                step = 0.5 * step
            point = point + step
            if float(np.max(np.abs(step))) < CLOSE:
                return point
            value, scores, curvature = self.at(point)
        raise TastingInputError("the votes determine no strengths: add votes that link the products")

    def _pull(self, point: FloatArray) -> FloatArray:
        # Curvature of a normal prior on log strengths about their mean, and on the log of the tie parameter.
        free, strengths = point.size, self.design.shape[1]
        pull = np.zeros((free, free))
        if math.isfinite(self.prior_spread):
            pull[:strengths, :strengths] = np.eye(strengths) - 1.0 / (strengths + 1)
            if self.with_ties:
                pull[-1, -1] = 1.0
            pull /= self.prior_spread**2
        return pull
