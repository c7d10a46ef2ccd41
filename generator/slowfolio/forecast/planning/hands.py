"""The hands of the kitchen on the five-minute grid: taken, free, and the latest free stretch before a time.

A calendar of bits, one mask for each cook. Knows no acts; called by `arrange` and `service`.
"""

import math

from slowfolio.forecast.planning.clock import GRID_S
from slowfolio.forecast.planning.search import taken

EPOCH = 1 << 13
"""Slot of the serving time: 28 days of slots lie before it, far more than thawing and cooking take."""


def mask_of(from_s: float, to_s: float) -> int:
    """The slots that a stretch of time touches, as bits."""
    first = EPOCH + math.floor(from_s / GRID_S + 1e-6)
    past = EPOCH + math.ceil(to_s / GRID_S - 1e-6)
    return ((1 << max(0, past - first)) - 1) << max(0, first)


class Hands:
    """Which hands are taken when; grows fuller only."""

    def __init__(self, cooks: int) -> None:
        self.busy: tuple[int, ...] = (0,) * cooks

    def take(self, from_s: float, to_s: float) -> None:
        """Take one pair of hands, free or not."""
        self.busy = taken(self.busy, mask_of(from_s, to_s))

    def free(self, from_s: float, to_s: float) -> bool:
        """Whether a pair of hands is free all the while."""
        return not self.busy[-1] & mask_of(from_s, to_s)

    def latest_free(self, end_s: float, hands_s: float) -> float:
        """The latest begin of a free stretch of `hands_s` that ends at or before `end_s`.

        Goes back step by step; before the first act all hands are free, so it comes to an end.
        """
        at_s = end_s - hands_s
        while not self.free(at_s, at_s + hands_s):
            at_s -= GRID_S
        return at_s
