"""What a tasting says, in plain words and no further: asked, found, cannot say, what would settle it.

The form of a verdict and what all have in common. `verdict_on_difference`, `verdict_on_preference` and
`verdict_on_scale` make them from results, one function for each kind of tasting. Called by the command
line, the pages and the checks of the book.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from slowfolio.provenance import Provenance
from slowfolio.tasting.discrimination import POWER
from slowfolio.tasting.evidence import Circumstances, Grade, graded
from slowfolio.tasting.interval import Estimate
from slowfolio.tasting.wording import tasters_text

NOT_BEYOND = "It speaks of tasters like these and of these pieces; other cooks, cuts and guests may differ."
"""What every verdict ends with."""


class Settled(StrEnum):
    """What came of the question."""

    DIFFERENT = "different"
    ALIKE = "alike"
    OPEN = "not settled"


@dataclass(frozen=True, slots=True)
class NamedEstimate:
    """A figure of a verdict with its name; measured, because tasters measured it."""

    name: str
    estimate: Estimate
    provenance: Provenance = Provenance.MEASURED


@dataclass(frozen=True, slots=True)
class Verdict:
    """A tasting's answer.

    `settle` says how many tasters would settle an open question and is empty otherwise; `would_settle` is
    that number. `winner` is the product found ahead, empty where none is.
    """

    asked: str
    settled: Settled
    found: str
    figures: tuple[NamedEstimate, ...]
    cannot_say: tuple[str, ...]
    settle: str
    would_settle: int | None
    winner: str
    grade: Grade
    weaknesses: tuple[str, ...]


def rendered(verdict: Verdict) -> tuple[str, ...]:
    """Return a verdict as paragraphs of plain text."""
    parts = [verdict.asked, verdict.found]
    parts += [verdict.settle] if verdict.settle else []
    parts += list(verdict.cannot_say)
    parts.append(f"Evidence: {verdict.grade}.")
    parts += [f"Weakness: {one}." for one in verdict.weaknesses]
    return (*parts, NOT_BEYOND)


@dataclass(frozen=True, slots=True)
class Settling:
    """What it takes to settle an open question: in words, and the number of tasters (None if these were
    enough)."""

    text: str = ""
    tasters: int | None = None


def settling(tasters: int, *, power: float, needed: int, round_of: int, what: str) -> Settling:
    """Return what would settle `what`, given the power these tasters had for it and the number that has 0.8.

    `needed` is rounded up to whole rounds of serving orders. All sizes start from the difference named
    before the tasting, never from the one it found.
    """
    if power >= POWER:
        return Settling(
            f"{tasters_text(tasters)} were enough for {what}, and the answer came out in between: name a "
            "smaller difference and plan for it."
        )
    wanted = math.ceil(needed / round_of) * round_of
    return Settling(
        f"{tasters_text(tasters)} cannot settle {what}: they would do so {round(100 * power)} times in 100. "
        f"{wanted} would, at least {round(100 * POWER)} times in 100.",
        wanted,
    )


def conclude(
    *,
    asked: str,
    settled: Settled,
    found: str,
    figures: tuple[NamedEstimate, ...],
    cannot_say: Sequence[str],
    circumstances: Circumstances,
    settle: Settling | None = None,
    winner: str = "",
) -> Verdict:
    """Return the verdict with its grade, and with what one cook cannot say."""
    evidence = graded(circumstances)
    beyond = list(cannot_say)
    if settled is Settled.DIFFERENT and circumstances.cooks == 1:
        beyond.append("One cook of each cannot say that the methods differ, only that these pieces do.")
    more = settle or Settling()
    return Verdict(
        asked=asked,
        settled=settled,
        found=found,
        figures=figures,
        cannot_say=tuple(beyond),
        settle=more.text,
        would_settle=more.tasters,
        winner=winner,
        grade=evidence.grade,
        weaknesses=evidence.weaknesses,
    )


def clear_winner(products: Sequence[str], ahead: Sequence[tuple[str, str]]) -> str:
    """Return the product found ahead of every other, from (ahead, behind) pairs; empty where none is."""
    for name in products:
        if len({behind for first, behind in ahead if first == name}) == len(products) - 1:
            return name
    return ""
