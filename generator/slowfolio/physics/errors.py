"""The one error the physics raises for input that no kitchen can have.

Every message names the quantity, says what is wrong with it and what to give instead. Targets that cannot be
reached are not errors: they come back as findings of the cook (see ``results.Finding``).
"""

from __future__ import annotations

import math


class PhysicsInputError(ValueError):
    """A quantity handed to the physics is impossible; the message says what to give instead."""


def require_finite(name: str, value: float) -> float:
    """Return ``value``, or raise PhysicsInputError when it is NaN or infinite."""
    if not math.isfinite(value):
        raise PhysicsInputError(f"{name} is {value}: give a finite number")
    return float(value)


def require_between(name: str, value: float, *, low: float, high: float, unit: str) -> float:
    """Return ``value`` if low <= value <= high, else raise PhysicsInputError naming the allowed range."""
    require_finite(name, value)
    if not low <= value <= high:
        raise PhysicsInputError(f"{name} is {value:g} {unit}: give a value from {low:g} to {high:g} {unit}")
    return float(value)
