"""Can tasters tell them apart, or is the difference small enough not to matter: exact binomial tests.

Triangle, duo-trio, paired comparison, three-alternative choice, tetrad: p-values, numbers that decide, power,
number of tasters, and the share of tasters who can tell. Each taster answers once; repeated answers belong in
`replicated`. Called by `plan` and `verdict`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.tasting import binomial
from slowfolio.tasting.binomial import SampleSize
from slowfolio.tasting.errors import (
    TastingInputError,
    require_count,
    require_inside,
    require_part,
    require_range,
)
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.protocols import Protocol, Sides, chance_correct, discriminators, guessing

ALPHA = 0.05
"""Chance of calling a difference that is not there; ISO 4120 guidance 0.05 to 0.01 (MEMORY)."""

POWER = 0.8
"""Chance of finding the difference looked for that a plan aims at (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One taster's answer to one set."""

    taster: str
    right: bool


@dataclass(frozen=True, slots=True)
class DifferenceResult:
    """An exact test of "they taste the same".

    `fewest_correct` is the count that decides at `alpha`, None where the panel is too small for any count to
    decide. `telling` is the share of tasters who can tell, with its exact interval.
    """

    protocol: Protocol
    sides: Sides
    correct: int
    tasters: int
    alpha: float
    p_value: float
    fewest_correct: int | None
    telling: Estimate

    @property
    def found(self) -> bool:
        """Whether the difference is established at alpha."""
        return self.p_value <= self.alpha * (1.0 + binomial.SLACK)


@dataclass(frozen=True, slots=True)
class SimilarityResult:
    """An exact test of "at least `limit` of eaters can tell".

    When `shown`, fewer than `limit` can tell, at confidence 1 - alpha. `most_correct` is the count that
    decides, None where the panel is too small for any count to decide.
    """

    protocol: Protocol
    correct: int
    tasters: int
    limit: float
    alpha: float
    p_value: float
    most_correct: int | None
    telling: Estimate

    @property
    def shown(self) -> bool:
        """Whether similarity is established at alpha."""
        return self.p_value <= self.alpha * (1.0 + binomial.SLACK)


def count_answers(answers: Sequence[Answer]) -> tuple[int, int]:
    """Return right answers and tasters, refusing a taster who appears twice.

    Answers of one taster are not independent, so they may not be counted as if they came from several.
    """
    if not answers:
        raise TastingInputError("there are no answers: give one for each taster")
    repeats = sorted(name for name, times in Counter(one.taster for one in answers).items() if times > 1)
    if repeats:
        raise TastingInputError(
            f"{repeats[0]} answered more than once: answers of one taster are not independent, so count each "
            "taster once or analyse the tasting as replicated"
        )
    return sum(one.right for one in answers), len(answers)


def difference_test(
    protocol: Protocol, correct: int, tasters: int, *, alpha: float = ALPHA, sides: Sides = Sides.ONE
) -> DifferenceResult:
    """Return the exact test of "no taster can tell" for `correct` right answers of `tasters`.

    Two-sided is for the paired comparison alone: `correct` is then the count for either product.

    Source: exact binomial with the guessing probability, ISO 4120, 10399, 5495 (the rule READ in FAO
    Fisheries Technical Paper 348, Appendix A).
    """
    require_part("right answers", correct, "tasters", tasters)
    require_inside("alpha", alpha)
    p_value = _p_value(protocol, correct, tasters, sides)
    fewest = minimum_correct(protocol, tasters, alpha=alpha, sides=sides)
    telling = telling_share(protocol, correct, tasters)
    return DifferenceResult(protocol, sides, correct, tasters, alpha, p_value, fewest, telling)


def similarity_test(
    protocol: Protocol, correct: int, tasters: int, *, limit: float, alpha: float = ALPHA
) -> SimilarityResult:
    """Return the exact test of "a share `limit` or more of tasters can tell".

    Source: ISO 4120 similarity: P(X <= correct | pc = pg + limit (1 - pg)) (MEMORY).
    """
    require_part("right answers", correct, "tasters", tasters)
    p_value = binomial.lower_tail(correct, tasters, chance_correct(protocol, _limit(limit)))
    most = maximum_correct(protocol, tasters, limit=limit, alpha=alpha)
    telling = telling_share(protocol, correct, tasters)
    return SimilarityResult(protocol, correct, tasters, limit, alpha, p_value, most, telling)


def minimum_correct(
    protocol: Protocol, tasters: int, *, alpha: float = ALPHA, sides: Sides = Sides.ONE
) -> int | None:
    """Return the fewest right answers that establish a difference; None where no count can."""
    return binomial.fewest_to_reject(tasters, guessing(protocol), _tail(protocol, alpha, sides))


def maximum_correct(protocol: Protocol, tasters: int, *, limit: float, alpha: float = ALPHA) -> int | None:
    """Return the most right answers that still show fewer than `limit` can tell; None where no count can."""
    return binomial.most_to_reject(tasters, chance_correct(protocol, _limit(limit)), alpha)


def difference_power(
    protocol: Protocol,
    tasters: int,
    *,
    telling: float,
    alpha: float = ALPHA,
    sides: Sides = Sides.ONE,
) -> float:
    """Return the chance to establish a difference that a share `telling` of eaters can taste.

    Two-sided counts only the right direction: naming the wrong product is no success.
    """
    require_range("the share who can tell", telling, low=0.0, high=1.0)
    return binomial.power_above(
        require_count("tasters", tasters, low=1),
        p_null=guessing(protocol),
        p_true=chance_correct(protocol, telling),
        alpha=_tail(protocol, alpha, sides),
    )


def similarity_power(
    protocol: Protocol, tasters: int, *, limit: float, telling: float = 0.0, alpha: float = ALPHA
) -> float:
    """Return the chance to show that fewer than `limit` can tell when a share `telling` truly can."""
    return binomial.power_below(
        require_count("tasters", tasters, low=1),
        p_null=chance_correct(protocol, _limit(limit)),
        p_true=chance_correct(protocol, require_range("the share who can tell", telling, low=0.0, high=1.0)),
        alpha=alpha,
    )


def tasters_for_difference(
    protocol: Protocol,
    *,
    telling: float,
    alpha: float = ALPHA,
    power: float = POWER,
    sides: Sides = Sides.ONE,
) -> SampleSize:
    """Return how many tasters find a difference that a share `telling` of eaters can taste."""
    require_range("the share who can tell", telling, low=0.0, high=1.0)
    return binomial.sizes_above(
        p_null=guessing(protocol),
        p_true=chance_correct(protocol, telling),
        alpha=_tail(protocol, alpha, sides),
        power=power,
    )


def tasters_for_similarity(
    protocol: Protocol,
    *,
    limit: float,
    telling: float = 0.0,
    alpha: float = ALPHA,
    power: float = POWER,
) -> SampleSize:
    """Return how many tasters show that fewer than `limit` can tell when a share `telling` truly can."""
    require_range("the share who can tell", telling, low=0.0, high=1.0)
    return binomial.sizes_below(
        p_null=chance_correct(protocol, _limit(limit)),
        p_true=chance_correct(protocol, telling),
        alpha=alpha,
        power=power,
    )


def telling_share(protocol: Protocol, correct: int, tasters: int, *, confidence: float = 0.95) -> Estimate:
    """Return the share of eaters who can tell, with the exact interval of the right answers carried over.

    A share below guessing reads 0: nobody can tell less than nothing.
    """
    exact = binomial.clopper_pearson(correct, tasters, confidence)
    low, high = (discriminators(protocol, end) for end in (exact.low, exact.high))
    return Estimate(
        discriminators(protocol, correct / tasters),
        Interval(low, high, confidence, f"{exact.how}, less guessing"),
    )


def _p_value(protocol: Protocol, correct: int, tasters: int, sides: Sides) -> float:
    guess = guessing(protocol)
    if sides is Sides.ONE:
        return binomial.upper_tail(correct, tasters, guess)
    _tail(protocol, ALPHA, sides)
    return min(2.0 * binomial.upper_tail(max(correct, tasters - correct), tasters, guess), 1.0)


def _tail(protocol: Protocol, alpha: float, sides: Sides) -> float:
    require_inside("alpha", alpha)
    if sides is Sides.ONE:
        return alpha
    if protocol is not Protocol.PAIRED_COMPARISON:
        raise TastingInputError(f"a {protocol} has one right answer: only a paired comparison is two-sided")
    return 0.5 * alpha


def _limit(limit: float) -> float:
    return require_inside("the share who may tell", limit)
