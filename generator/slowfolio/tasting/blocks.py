"""Several products scored by tasters who need not have had all of them: tasters as blocks.

Score = taster + product (+ place in the serving order) by least squares, gaps allowed. Products are
compared only within tasters: what a gap hides is not filled in from other tasters' general level. The test
over all products permutes within tasters. Called by `verdict`; `scores` makes the tables.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from slowfolio.tasting.distributions import FloatArray, student_t_upper, two_sided_t
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.interval import Estimate, Interval
from slowfolio.tasting.multiplicity import holm
from slowfolio.tasting.scores import Score, ScoreTable
from slowfolio.tasting.sign_flips import DRAWS, SEED

DRAWS_AT_ONCE = 2_000
"""Permutations held in memory together (CALIBRATED)."""


@dataclass(frozen=True, slots=True)
class BlockPair:
    """First less second, adjusted for tasters; the interval holds for all pairs of the fit together."""

    first: str
    second: str
    difference: Estimate
    p_value: float
    p_adjusted: float


@dataclass(frozen=True, slots=True)
class BlockFit:
    """A fit of one attribute of one part.

    `p_overall` is the permutation test that all products score alike; `adjusted` are product means as if
    every taster had scored each; `spread` is the residual standard deviation of one score.
    """

    attribute: str
    part: str
    products: tuple[str, ...]
    adjusted: tuple[float, ...]
    pairs: tuple[BlockPair, ...]
    spread: float
    degrees: int
    tasters: int
    missing: int
    p_overall: float
    how: str


def fit_blocks(table: ScoreTable, *, confidence: float = 0.95, seed: int = SEED) -> BlockFit:
    """Return taster + product by least squares with gaps.

    Raises TastingInputError where the gaps leave products unconnected or no degrees of freedom.

    One spread is taken for all pairs; where every taster scored every product, `scores.compare_scores` judges
    each pair by its own and is the more cautious choice.

    Source: intra-block analysis, Cochran & Cox, Experimental Designs (1957) (MEMORY). Intervals are Student's
    with Bonferroni's correction over the pairs, p-values Holm's.
    """
    filled = ~np.isnan(table.means)
    taster, product = np.nonzero(filled)
    return _fit(table, taster, product, table.means[filled], np.zeros((taster.size, 0)), confidence, seed)


def fit_blocks_and_positions(
    table: ScoreTable, scores: Sequence[Score], *, confidence: float = 0.95, seed: int = SEED
) -> BlockFit:
    """Return taster + product + place in the serving order, from the table's own scores with their positions.

    Raises TastingInputError where a score has no position, a taster scored a product twice, or products and
    places cannot be told apart.
    """
    own = [score for score in scores if (score.attribute, score.part) == (table.attribute, table.part)]
    if len({(score.taster, score.product) for score in own}) < len(own):
        raise TastingInputError("a taster scored a product twice: leave out the places, or one of the scores")
    if any(score.position < 1 for score in own):
        raise TastingInputError("a score has no place in the serving order: number the places from 1")
    taster = np.array([table.tasters.index(score.taster) for score in own])
    product = np.array([table.products.index(score.product) for score in own])
    places = sorted({score.position for score in own})
    columns = [[float(score.position == place) for place in places[1:]] for score in own]
    extra = np.array(columns).reshape(len(own), len(places) - 1)
    return _fit(table, taster, product, np.array([score.value for score in own]), extra, confidence, seed)


def _fit(
    table: ScoreTable,
    taster: NDArray[np.intp],
    product: NDArray[np.intp],
    values: FloatArray,
    extra: FloatArray,
    confidence: float,
    seed: int,
) -> BlockFit:
    count = len(table.products)
    if count < 2:
        raise TastingInputError(f"only {table.products[0]} was scored on {table.attribute}: give a second")
    _require_connected(table)
    blocks = np.eye(len(table.tasters))[taster]
    nuisance = np.column_stack([blocks, extra])
    treatment = np.eye(count)[product][:, 1:]
    design = np.column_stack([treatment, nuisance])
    rank = int(np.linalg.matrix_rank(design))
    if rank < count - 1 + int(np.linalg.matrix_rank(nuisance)):
        raise TastingInputError("products and places in the serving order go together: vary the order")
    degrees = values.size - rank
    if degrees < 1:
        raise TastingInputError(
            f"{values.size} scores of {table.attribute} leave nothing to judge chance by: add tasters who "
            "score at least two products each"
        )
    solution = np.linalg.lstsq(design, values, rcond=None)[0]
    residual = values - design @ solution
    spread = math.sqrt(max(float(residual @ residual) / degrees, 0.0))
    unit = np.linalg.pinv(design.T @ design)[: count - 1, : count - 1]
    effects = np.append(0.0, solution[: count - 1])
    inner = effects - effects.mean()
    level = float(np.mean(values - inner[product]))
    return BlockFit(
        attribute=table.attribute,
        part=table.part,
        products=table.products,
        adjusted=tuple(float(level + effect) for effect in inner),
        pairs=_pairs(table.products, effects, unit * spread**2, degrees, confidence),
        spread=spread,
        degrees=degrees,
        tasters=len(table.tasters),
        missing=len(table.tasters) * count - values.size,
        p_overall=_permuted(values, taster, treatment, nuisance, seed),
        how=f"simulated, {DRAWS} orders within tasters, seed {seed}",
    )


def _pairs(
    products: tuple[str, ...], effects: FloatArray, covariance: FloatArray, degrees: int, confidence: float
) -> tuple[BlockPair, ...]:
    padded = np.zeros((len(products), len(products)))
    padded[1:, 1:] = covariance
    indices = list(combinations(range(len(products)), 2))
    limit = two_sided_t(1.0 - (1.0 - confidence) / len(indices), degrees)
    found = []
    for i, j in indices:
        error = math.sqrt(max(float(padded[i, i] + padded[j, j] - 2.0 * padded[i, j]), 0.0))
        gap = float(effects[i] - effects[j])
        # Scores that fit to the last digit leave no spread to judge by, so nothing is claimed.
        reach = limit * error if error > 1e-12 else math.inf
        chance = 2.0 * student_t_upper(abs(gap) / error, degrees) if error > 1e-12 else 1.0
        found.append((gap, reach, min(chance, 1.0)))
    how = (
        f"Student's t, all {len(indices)} pairs together (Bonferroni)" if len(indices) > 1 else "Student's t"
    )
    return tuple(
        BlockPair(
            products[i],
            products[j],
            Estimate(gap, Interval(gap - reach, gap + reach, confidence, how)),
            chance,
            adjusted,
        )
        for (i, j), (gap, reach, chance), adjusted in zip(
            indices, found, holm([chance for _, _, chance in found]), strict=True
        )
    )


def _permuted(
    values: FloatArray, taster: NDArray[np.intp], treatment: FloatArray, nuisance: FloatArray, seed: int
) -> float:
    # The sum of squares of products after tasters is the squared length of a projection of the scores.
    clean = treatment - nuisance @ np.linalg.lstsq(nuisance, treatment, rcond=None)[0]
    basis = np.linalg.qr(clean)[0]
    observed = float(np.sum((values @ basis) ** 2))
    limit = observed - 1e-9 * max(float(values @ values), 1.0)
    rng = np.random.default_rng(seed)
    order = np.argsort(taster, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(taster[order])) + 1)
    hits, done = 0, 0
    while done < DRAWS:
        size = min(DRAWS_AT_ONCE, DRAWS - done)
        shuffled = np.empty((size, values.size))
        for group in groups:
            shuffled[:, group] = rng.permuted(np.broadcast_to(values[group], (size, group.size)), axis=1)
        hits += int(np.sum(np.sum((shuffled @ basis) ** 2, axis=1) >= limit))
        done += size
    return (hits + 1) / (DRAWS + 1)


def _require_connected(table: ScoreTable) -> None:
    filled = ~np.isnan(table.means)
    meets = (filled.T.astype(int) @ filled.astype(int)) > 0
    for via in range(len(table.products)):
        meets |= meets[:, via : via + 1] & meets[via : via + 1, :]
    apart = [name for j, name in enumerate(table.products) if not meets[0, j]]
    if apart:
        joined = ", ".join(name for name in table.products if name not in apart)
        raise TastingInputError(
            f"no taster links {joined} with {', '.join(apart)} on {table.attribute}: let somebody score both"
        )
