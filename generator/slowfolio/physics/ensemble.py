"""The uncertain inputs of a cook: their distributions, how they are sampled, and which of them matters most.

Sampling is a shifted Kronecker (R-) sequence, so that few members cover the space evenly and a seed
repeats them exactly. ``cook`` reads ``Members``; ``forecast`` samples and ranks.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.errors import PhysicsInputError

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class InputSpread:
    """Distribution of one uncertain input: a normal or log-normal about its nominal value.

    ``spread`` is the standard deviation (of the logarithm where ``logarithmic``); ``limit`` cuts the tails
    at that many standard deviations; ``words`` is how the ranking names it to a cook.
    """

    nominal: float
    spread: float
    logarithmic: bool
    words: str
    limit: float = 2.5


# Every spread is CALIBRATED (a choice, no source) unless a remark says otherwise.
INPUT_SPREADS: dict[str, InputSpread] = {
    "thickness": InputSpread(1.0, 0.06, logarithmic=True, words="thickness of the piece"),
    "convection": InputSpread(1.0, 0.15, logarithmic=True, words="air speed and heat transfer"),
    "pit_drift": InputSpread(0.0, 1.0, logarithmic=False, words="pit temperature against the dial"),
    "humidity": InputSpread(0.0, 1.0, logarithmic=False, words="moisture of the pit air"),
    "fat": InputSpread(1.0, 0.18, logarithmic=True, words="fatness of the animal"),
    "release": InputSpread(1.0, 0.10, logarithmic=True, words="juice the meat lets go"),
    "wrap": InputSpread(1.0, 0.35, logarithmic=True, words="tightness of the wrap"),
    "probe": InputSpread(0.0, 0.06, logarithmic=False, words="where the probe sits"),
    "reaction": InputSpread(420.0, 0.5, logarithmic=True, words="how soon the cook acts"),
    "collagen": InputSpread(1.0, 0.25, logarithmic=True, words="age and toughness of the animal"),
}


@dataclass(frozen=True, slots=True)
class Members:
    """Uncertain inputs, one value for each member, each of shape (M,).

    ``thickness``, ``convection``, ``fat``, ``release``, ``wrap`` and ``collagen`` multiply
    their nominal quantity; ``pit_drift`` and ``humidity`` are in standard deviations of the pit's own
    spread; ``probe`` is the probe's distance from the depth middle as a fraction of the thickness;
    ``reaction`` is in s.
    """

    thickness: Array
    convection: Array
    pit_drift: Array
    humidity: Array
    fat: Array
    release: Array
    wrap: Array
    probe: Array
    reaction: Array
    collagen: Array

    @property
    def count(self) -> int:
        """Number of members."""
        return int(self.thickness.size)

    def __post_init__(self) -> None:
        """Check that all inputs have one finite value for each member."""
        for item in fields(self):
            values = np.asarray(getattr(self, item.name))
            if values.ndim != 1 or values.size == 0 or values.size != np.asarray(self.thickness).size:
                raise PhysicsInputError(f"{item.name}: give one value for each member")
            if not np.all(np.isfinite(values)):
                raise PhysicsInputError(f"{item.name}: every member needs a finite value")


def nominal_members(count: int = 1) -> Members:
    """Return ``count`` members that all carry the nominal inputs."""
    return Members(**{name: np.full(count, item.nominal) for name, item in INPUT_SPREADS.items()})


def select_members(members: Members, keep: NDArray[np.int64]) -> Members:
    """Return only the members ``keep`` (indices)."""
    return Members(**{item.name: getattr(members, item.name)[keep] for item in fields(members)})


def sequence_points(count: int, dimensions: int, *, seed: int = 0) -> Array:
    """Return ``count`` points of a shifted Kronecker sequence in (0, 1)^dimensions, shape (count,
    dimensions).

    Steps are powers of the inverse of the root of x^(d+1) = x + 1 (the R-sequence, a d-dimensional golden
    ratio; MEMORY); the seed draws the shift.
    """
    if not 1 <= count <= 100_000:
        raise PhysicsInputError(f"the number of members is {count}: give 1 to 100000")
    root = 2.0
    for _ in range(64):
        root = (1.0 + root) ** (1.0 / (dimensions + 1.0))
    steps = (1.0 / root) ** np.arange(1, dimensions + 1)
    shift = np.random.default_rng(seed).random(dimensions)
    points = (shift[None, :] + np.arange(1, count + 1)[:, None] * steps[None, :]) % 1.0
    return np.clip(points, 1e-9, 1.0 - 1e-9)


def sample_members(count: int, seed: int = 0) -> Members:
    """Return ``count`` members sampled from INPUT_SPREADS; the same seed gives the same members.

    A single member is the nominal one. Raises PhysicsInputError for a count outside 1-100000.
    """
    if count == 1:
        return nominal_members(1)
    points = sequence_points(count, len(INPUT_SPREADS), seed=seed)
    inverse = NormalDist().inv_cdf
    values: dict[str, Array] = {}
    for column, (name, item) in enumerate(INPUT_SPREADS.items()):
        deviates = np.array([inverse(p) for p in points[:, column]])
        deviates = np.clip(deviates, -item.limit, item.limit)
        if item.logarithmic:
            values[name] = item.nominal * np.exp(item.spread * deviates)
        else:
            values[name] = item.nominal + item.spread * deviates
    return Members(**values)


@dataclass(frozen=True, slots=True)
class InputRank:
    """How much one input moves an outcome.

    ``share``: its part (0..1) of the variance that the ranks explain; ``effect``: change of the outcome
    from the input's P10 to its P90, in the outcome's unit.
    """

    name: str
    words: str
    share: float
    effect: float


def rank_inputs(members: Members, outcome: Array) -> tuple[InputRank, ...]:
    """Return the inputs ordered by how much they move ``outcome``, shape (M,), most first.

    Squared standardised rank-regression coefficients (Saltelli et al., Sensitivity Analysis, 2000; MEMORY),
    scaled to add up to one; effects from a linear regression. Needs at least 24 members, and a varying
    outcome.
    """
    values = np.asarray(outcome, dtype=np.float64)
    if members.count < 24:
        raise PhysicsInputError("a ranking needs at least 24 members")
    if values.shape != (members.count,) or not np.all(np.isfinite(values)):
        raise PhysicsInputError("give one finite outcome for each member")
    names = [n for n in INPUT_SPREADS if np.ptp(getattr(members, n)) > 0]
    inputs = np.column_stack([getattr(members, n) for n in names])
    ranks = standardise(np.argsort(np.argsort(inputs, axis=0), axis=0).astype(np.float64))
    linear = standardise(inputs)
    if np.ptp(values) <= 1e-12 * max(1.0, float(np.abs(values).max())):
        return tuple(InputRank(n, INPUT_SPREADS[n].words, 0.0, 0.0) for n in names)
    target = standardise(np.argsort(np.argsort(values)).astype(np.float64)[:, None])[:, 0]
    weights = np.linalg.lstsq(ranks, target, rcond=None)[0]
    slopes = np.linalg.lstsq(linear, values - values.mean(), rcond=None)[0]
    reach = np.percentile(linear, 90, axis=0) - np.percentile(linear, 10, axis=0)
    shares = weights**2 / np.sum(weights**2)
    ranking = [
        InputRank(name, INPUT_SPREADS[name].words, float(shares[i]), float(slopes[i] * reach[i]))
        for i, name in enumerate(names)
    ]
    return tuple(sorted(ranking, key=lambda item: -item.share))


def standardise(columns: Array) -> Array:
    """Return columns with mean 0 and standard deviation 1 (constant columns become 0)."""
    centred = columns - columns.mean(axis=0)
    deviation = centred.std(axis=0)
    return np.asarray(centred / np.where(deviation > 0, deviation, 1.0), dtype=np.float64)
