"""Drawing lots from a seed, the same on every machine and in every later version.

Everything random in a tasting's layout comes from here, so that a tasting can be laid out again from its
seed. Only `random.Random.random` is used: its sequence for a seed is the one Python promises to keep.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import TypeVar

from slowfolio.tasting.errors import require_count

T = TypeVar("T")

LARGEST_SEED = 2**53 - 1
"""Largest seed, so that it survives as a JSON number (COMPUTED)."""


class Lots:
    """A source of random orders with a seed; each draw moves it on."""

    def __init__(self, seed: int) -> None:
        """Start from a whole number of 0 or more."""
        self.seed = require_count("the seed", seed, high=LARGEST_SEED)
        self._random = random.Random(self.seed)

    def below(self, count: int) -> int:
        """Return a whole number from 0 to count - 1, each equally likely."""
        return int(self._random.random() * count)

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """Return the items in random order (Fisher & Yates 1938, MEMORY)."""
        order = list(items)
        for last in range(len(order) - 1, 0, -1):
            other = self.below(last + 1)
            order[last], order[other] = order[other], order[last]
        return order
