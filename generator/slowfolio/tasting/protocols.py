"""The right-or-wrong protocols of a blind tasting and the chance of being right by guessing.

Only names and guessing probabilities; serving orders are in `orders`, what a result means in
`discrimination`.
"""

from __future__ import annotations

from enum import StrEnum


class Protocol(StrEnum):
    """What a taster is asked to do with the pieces in front of them."""

    TRIANGLE = "triangle"
    DUO_TRIO = "duo-trio"
    PAIRED_COMPARISON = "paired comparison"
    THREE_CHOICE = "three-alternative forced choice"
    TETRAD = "tetrad"
    DOUBLE_DUO_TRIO = "double duo-trio"


class Sides(StrEnum):
    """Whether the direction was named before the tasting (one) or either may be found (two)."""

    ONE = "one-sided"
    TWO = "two-sided"


_GUESSING = {
    Protocol.TRIANGLE: 1 / 3,
    Protocol.DUO_TRIO: 1 / 2,
    Protocol.PAIRED_COMPARISON: 1 / 2,
    Protocol.THREE_CHOICE: 1 / 3,
    Protocol.TETRAD: 1 / 3,
    Protocol.DOUBLE_DUO_TRIO: 1 / 4,
}


def guessing(protocol: Protocol) -> float:
    """Return the chance of a right answer from someone who tastes nothing.

    Counts of equally likely answers (COMPUTED): odd one of three; one of two; the stronger of two; the
    strongest of three; the three ways to split four into two pairs; two duo-trios both right.
    """
    return _GUESSING[protocol]


def chance_correct(protocol: Protocol, discriminators: float) -> float:
    """Return the share of right answers when a share of tasters, 0 to 1, tell and the rest guess.

    Source: Abbott's formula pc = pg + pd (1 - pg), as in ISO 4120 (MEMORY).
    """
    return guessing(protocol) + discriminators * (1.0 - guessing(protocol))


def discriminators(protocol: Protocol, share_correct: float) -> float:
    """Return the share of tasters who tell behind a share of right answers; 0 at or below guessing."""
    guess = guessing(protocol)
    return min(max((share_correct - guess) / (1.0 - guess), 0.0), 1.0)
