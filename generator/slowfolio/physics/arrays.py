"""Quantities that are one number or an ensemble of them: guards that look at every member, and a root finder.

The holders' rooms (``pan``, ``cabinet``, ``cabinet_balance`` and their neighbours) build on this one; it
knows nothing of air or water.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from slowfolio.physics.errors import PhysicsInputError

Array = NDArray[np.float64]
Quantity = float | Array

_CONVERGED = 2e-15
_MOST_STEPS = 120


def as_array(value: Quantity) -> Array:
    """Return ``value`` as a float64 array of any shape, 0-d for one number."""
    return np.asarray(value, dtype=np.float64)


def require_all_between(name: str, value: Quantity, *, low: float, high: float, unit: str) -> Array:
    """Return ``value`` as an array, or raise PhysicsInputError naming the first member outside low to
    high.
    """
    numbers = as_array(value)
    if numbers.size == 0:
        raise PhysicsInputError(f"{name} is empty: give at least one value")
    bad = ~((numbers >= low) & (numbers <= high))
    if bad.any():
        worst = float(numbers[bad].flat[0])
        raise PhysicsInputError(f"{name} is {worst:g} {unit}: give a value from {low:g} to {high:g} {unit}")
    return numbers


def bracketed_root(function: Callable[[Array], Array], low: Quantity, high: Quantity) -> Array:
    """Return x between ``low`` and ``high`` where ``function`` changes sign, for every member at once.

    Where it does not change sign, the end with the smaller magnitude: the clamp a saturated balance needs.
    Converges to rounding. Chandrupatla (1997), "A new hybrid quadratic/bisection algorithm", Adv. Eng. Softw.
    28, 145-149 (MEMORY): inverse quadratic steps, halving whenever they are not to be trusted.
    ``function`` must broadcast; low, high and its result set the shape.
    """
    left, right = np.broadcast_arrays(as_array(low), as_array(high))
    at_left, at_right = function(left), function(right)
    shape = np.broadcast_shapes(left.shape, at_left.shape, at_right.shape)
    a, b = (np.broadcast_to(end, shape).copy() for end in (right, left))
    fa, fb = (np.broadcast_to(value, shape).copy() for value in (at_right, at_left))
    best, f_best = np.where(np.abs(fa) < np.abs(fb), a, b), np.minimum(np.abs(fa), np.abs(fb))
    done = (np.sign(fa) == np.sign(fb)) | (f_best == 0.0) | (a == b)
    step = np.full(shape, 0.5)
    for _ in range(_MOST_STEPS):
        if done.all():
            break
        trial = np.where(done, a, a + step * (b - a))
        f_trial = np.broadcast_to(function(trial), shape)
        same = np.sign(f_trial) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = trial, f_trial
        nearer = np.abs(fa) < f_best
        best = np.where(~done & nearer, a, best)
        f_best = np.where(~done & nearer, np.abs(fa), f_best)
        width = np.abs(b - a)
        limit = _CONVERGED * np.abs(best) / np.where(width > 0, width, 1.0)
        done = done | (f_best == 0.0) | (limit > 0.5) | (width == 0.0)
        step = np.clip(_next_step(a, b, c, fa, fb, fc), np.minimum(limit, 0.5), np.maximum(1 - limit, 0.5))
    return best


def _next_step(a: Array, b: Array, c: Array, fa: Array, fb: Array, fc: Array) -> Array:
    """Fraction of the way from a to b to try next: inverse quadratic where Chandrupatla's test allows it."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        across = (a - b) / (c - b)
        fall = (fa - fb) / (fc - fb)
        trusted = (fall**2 < across) & ((1 - fall) ** 2 < 1 - across)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
    return np.where(trusted & np.isfinite(quadratic), quadratic, 0.5)
