"""Gauss-Newton with priors: the parameters that best explain several cooks at once, and how sure that is.

The maximum of the posterior and its Laplace approximation (Tarantola 2005, Inverse Problem Theory, 3.2;
MEMORY). Shared parameters belong to the pit, own ones to each cook. Linear algebra only; slopes come in.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Slopes:
    """One cook made linear at a point: errors there, whitened, (N,), and their slopes, whitened.

    `residual` is observed less predicted at (`shared_at`, `own_at`); `by_shared` is (N, S), `by_own` (N, P).
    """

    residual: Array
    by_shared: Array
    by_own: Array
    shared_at: Array
    own_at: Array
    own_sd: Array

    def moved_to(self, shared: Array, own: Array) -> "Slopes":
        """The same with the errors that the slopes foretell at another point."""
        shift = self.by_shared @ (self.shared_at - shared) + self.by_own @ (self.own_at - own)
        return replace(self, residual=self.residual + shift)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Shared parameters with their covariance, and each cook's own ones."""

    shared: Array
    covariance: Array
    own: tuple[Array, ...]

    @property
    def sd(self) -> Array:
        """One standard deviation of each shared parameter."""
        return np.asarray(np.sqrt(np.diag(self.covariance)), dtype=np.float64)


def solve(cooks: Sequence[Slopes], shared_sd: Array) -> Estimate:
    """The maximum of the posterior of the linearised cooks; priors are normal about 0 with the sds given.

    Own parameters are eliminated cook by cook (the Schur complement), so that many cooks stay cheap.
    """
    normal = np.diag(1.0 / shared_sd**2)
    right = np.zeros(shared_sd.size)
    kept: list[tuple[Array, Array, Array]] = []
    for cook in cooks:
        target = cook.residual + cook.by_shared @ cook.shared_at + cook.by_own @ cook.own_at
        own = cook.by_own.T @ cook.by_own + np.diag(1.0 / cook.own_sd**2)
        cross = cook.by_shared.T @ cook.by_own
        through = np.linalg.solve(own, cross.T).T
        normal += cook.by_shared.T @ cook.by_shared - through @ cross.T
        right += cook.by_shared.T @ target - through @ (cook.by_own.T @ target)
        kept.append((own, cross, cook.by_own.T @ target))
    covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    shared = covariance @ right
    owns = tuple(
        np.asarray(np.linalg.solve(own, towards - cross.T @ shared), dtype=np.float64)
        for own, cross, towards in kept
    )
    return Estimate(shared, covariance, owns)


def misfit(residual: Array) -> float:
    """The sum of squares of whitened errors."""
    return float(residual @ residual)
