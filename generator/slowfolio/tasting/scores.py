"""Scores on attributes, compared within each taster and like with like.

One taster's 7 may be another's 5, so only differences within a taster count; and flat is compared with
flat, never with point. Repeated scores of a taster are averaged first: the taster is the unit. Two products
are compared here; several at once, or with gaps, in `blocks`. Called by `verdict`.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from slowfolio.tasting import binomial
from slowfolio.tasting.distributions import FloatArray, student_t_upper, two_sided_t
from slowfolio.tasting.errors import TastingInputError, require_finite
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.multiplicity import holm
from slowfolio.tasting.sign_flips import SEED, sign_flip_p_value


@dataclass(frozen=True, slots=True)
class Score:
    """One score: who, of what, on which attribute and of which part of the piece ("flat", "point" or empty).

    `cook` names the cooking session the piece came from and `position` its place in the serving order, from
    1.
    """

    taster: str
    product: str
    attribute: str
    value: float
    part: str = ""
    cook: str = ""
    position: int = 0


@dataclass(frozen=True, slots=True)
class ScoreTable:
    """Mean scores of one attribute of one part: shape (tasters, products), NaN where a taster had no piece.

    NaN marks a gap and never enters a result.
    """

    attribute: str
    part: str
    products: tuple[str, ...]
    tasters: tuple[str, ...]
    means: FloatArray

    @property
    def complete(self) -> bool:
        """Whether every taster scored every product."""
        return not bool(np.isnan(self.means).any())


@dataclass(frozen=True, slots=True)
class PairedDifference:
    """First less second, within tasters.

    `difference` is the mean with Student's interval. `p_value` is the permutation test that swaps the two
    labels within each taster, free of any assumption on the scores; `p_student` the paired t and `p_ranks`
    the same permutation of signed ranks (Wilcoxon). `higher` is the share of tasters with a difference who
    scored the first higher. `p_adjusted` is corrected over the `family` comparisons asked together (Holm);
    `together` is the interval that holds for all of them at once (Bonferroni).
    """

    attribute: str
    part: str
    first: str
    second: str
    tasters: int
    difference: Estimate
    p_value: float
    p_student: float
    p_ranks: float
    how: str
    higher: Estimate
    level: int
    family: int
    p_adjusted: float
    together: Interval


@dataclass(frozen=True, slots=True)
class MethodDifference:
    """First less second as methods, over several cooks: the cook is the unit, not the taster."""

    attribute: str
    part: str
    first: str
    second: str
    cooks: int
    difference: Estimate
    p_student: float


def score_tables(scores: Sequence[Score]) -> tuple[ScoreTable, ...]:
    """Return one table for each attribute of each part, in order of first appearance.

    Raises TastingInputError when two products of an attribute share no part, because like must meet like.
    """
    if not scores:
        raise TastingInputError("there are no scores: give one for each taster, product and attribute")
    for score in scores:
        require_finite(f"the {score.attribute} score of {score.taster} for {score.product}", score.value)
    _require_like_with_like(scores)
    cells: dict[tuple[str, str], dict[tuple[str, str], list[float]]] = {}
    for score in scores:
        cell = cells.setdefault((score.attribute, score.part), {})
        cell.setdefault((score.taster, score.product), []).append(score.value)
    return tuple(_table(attribute, part, cell) for (attribute, part), cell in cells.items())


def paired_difference(
    table: ScoreTable, first: str, second: str, *, confidence: float = 0.95, seed: int = SEED
) -> PairedDifference:
    """Return the difference of two products over the tasters who scored both.

    Source: Fisher's permutation of signs, exact by summing over sign patterns; Student (1908) for the
    interval.
    """
    gaps = _gaps(table, first, second)
    if gaps.size < 2:
        raise TastingInputError(
            f"{gaps.size} taster(s) scored {table.attribute} of both {first} and {second}: at least two must"
        )
    difference, p_student = _student(gaps, confidence, "differences within tasters")
    p_value, how_exact = sign_flip_p_value(gaps, seed=seed)
    p_ranks, _ = sign_flip_p_value(_signed_ranks(gaps), seed=seed)
    wins, views = int(np.sum(gaps > 0)), int(np.sum(gaps != 0))
    higher = Estimate(0.5, Interval(0.0, 1.0, confidence, "nobody scored them apart"))
    if views:
        higher = Estimate(wins / views, binomial.clopper_pearson(wins, views, confidence))
    return PairedDifference(
        attribute=table.attribute,
        part=table.part,
        first=first,
        second=second,
        tasters=int(gaps.size),
        difference=difference,
        p_value=p_value,
        p_student=p_student,
        p_ranks=p_ranks,
        how=how_exact,
        higher=higher,
        level=int(gaps.size) - views,
        family=1,
        p_adjusted=p_value,
        together=difference.interval,
    )


def compare_scores(scores: Sequence[Score], *, confidence: float = 0.95) -> tuple[PairedDifference, ...]:
    """Return every pair on every attribute and part, with Holm's correction over all of them together."""
    found = [
        paired_difference(table, first, second, confidence=confidence)
        for table in score_tables(scores)
        for first, second in combinations(table.products, 2)
    ]
    adjusted = holm([one.p_value for one in found])
    return tuple(
        replace(one, family=len(found), p_adjusted=p, together=_widened(one, len(found)))
        for one, p in zip(found, adjusted, strict=True)
    )


def product_means(table: ScoreTable, *, confidence: float = 0.95) -> tuple[tuple[str, Estimate], ...]:
    """Return each product's mean over its tasters with Student's interval, for plots of the table.

    Tasters' levels are in these intervals, so they overlap more than the products do: judge differences by
    `paired_difference`, never by eye from these. A product scored once has no interval.
    """
    found = []
    for column, product in enumerate(table.products):
        values = table.means[:, column]
        values = values[~np.isnan(values)]
        if values.size < 2:
            limits = Interval(-math.inf, math.inf, confidence, "no interval: one taster")
            found.append((product, Estimate(float(values[0]), limits)))
        else:
            found.append((product, _student(values, confidence, "the tasters' scores")[0]))
    return tuple(found)


def method_difference(
    scores: Sequence[Score],
    first: str,
    second: str,
    *,
    attribute: str,
    part: str = "",
    confidence: float = 0.95,
) -> MethodDifference:
    """Return the difference of two methods over the cooks in which both were scored.

    Each cook gives one number, the mean difference within its tasters; their spread between cooks makes the
    interval. More tasters cannot replace more cooks. Raises TastingInputError with fewer than two cooks.
    """
    by_cook: dict[str, list[Score]] = defaultdict(list)
    for score in scores:
        if score.attribute == attribute and score.part == part and score.product in (first, second):
            by_cook[score.cook].append(score)
    means = []
    for own in by_cook.values():
        if {score.product for score in own} == {first, second}:
            gaps = _gaps(score_tables(own)[0], first, second)
            if gaps.size:
                means.append(float(gaps.mean()))
    if len(means) < 2:
        raise TastingInputError(
            f"{len(means)} cook(s) hold scores of both {first} and {second} by the same tasters: one cook "
            "cannot tell the method from the piece of meat, so repeat the cook and name each in its scores"
        )
    difference, p_student = _student(np.array(means), confidence, "the means of the cooks")
    return MethodDifference(attribute, part, first, second, len(means), difference, p_student)


def _student(values: FloatArray, confidence: float, of_what: str) -> tuple[Estimate, float]:
    mean, error = float(values.mean()), float(values.std(ddof=1)) / math.sqrt(values.size)
    if error < 1e-12:
        how = f"no interval: {of_what} are all the same, so there is no spread to judge by"
        return Estimate(mean, Interval(-math.inf, math.inf, confidence, how)), 1.0
    reach = two_sided_t(confidence, values.size - 1) * error
    limits = Interval(mean - reach, mean + reach, confidence, f"Student's t on {of_what}")
    chance = 2.0 * student_t_upper(abs(mean) / error, values.size - 1)
    return Estimate(mean, limits), min(chance, 1.0)


def _widened(one: PairedDifference, family: int) -> Interval:
    limits, degrees = one.difference.interval, one.tasters - 1
    wide = two_sided_t(1.0 - (1.0 - limits.confidence) / family, degrees)
    factor = wide / two_sided_t(limits.confidence, degrees)
    middle, how = one.difference.value, f"{limits.how}, all {family} comparisons together (Bonferroni)"
    low, high = (middle + factor * (end - middle) for end in (limits.low, limits.high))
    return Interval(low, high, limits.confidence, how if family > 1 else limits.how)


def _signed_ranks(gaps: FloatArray) -> FloatArray:
    sizes = np.abs(gaps[gaps != 0])
    below = np.sum(sizes[None, :] < sizes[:, None], axis=1)
    level = np.sum(sizes[None, :] == sizes[:, None], axis=1)
    return np.asarray(np.sign(gaps[gaps != 0]) * (below + 0.5 * (level + 1)), dtype=np.float64)


def _gaps(table: ScoreTable, first: str, second: str) -> FloatArray:
    for name in (first, second):
        if name not in table.products:
            raise TastingInputError(
                f"{name} has no {table.attribute} scores: the products are {', '.join(table.products)}"
            )
    gaps = table.means[:, table.products.index(first)] - table.means[:, table.products.index(second)]
    # Means of repeats that are equal but for rounding are equal.
    gaps = np.where(np.abs(gaps) < 1e-12, 0.0, gaps)
    return np.asarray(gaps[~np.isnan(gaps)])


def _table(attribute: str, part: str, cell: dict[tuple[str, str], list[float]]) -> ScoreTable:
    tasters = tuple(dict.fromkeys(taster for taster, _ in cell))
    products = tuple(dict.fromkeys(product for _, product in cell))
    means = np.full((len(tasters), len(products)), np.nan)
    for (taster, product), values in cell.items():
        means[tasters.index(taster), products.index(product)] = math.fsum(values) / len(values)
    return ScoreTable(attribute, part, products, tasters, means)


def _require_like_with_like(scores: Sequence[Score]) -> None:
    parts: dict[tuple[str, str], set[str]] = defaultdict(set)
    for score in scores:
        parts[score.attribute, score.product].add(score.part)
    for attribute in dict.fromkeys(score.attribute for score in scores):
        names = [product for kind, product in parts if kind == attribute]
        for first, second in combinations(names, 2):
            if not parts[attribute, first] & parts[attribute, second]:
                own, other = (" and ".join(sorted(parts[attribute, name])) for name in (first, second))
                raise TastingInputError(
                    f"{attribute} was scored on the {own or 'whole'} of {first} and the {other or 'whole'} "
                    f"of {second}: compare like with like, the same part of both"
                )
