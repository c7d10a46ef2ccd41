"""How much a tasting is worth as evidence about the methods, whatever its result.

A p-value knows nothing of one cook, of a carver who talked, or of a warm flat against a cool point. The
grade does. Called by `verdict`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from slowfolio.tasting.conditions import Unlike
from slowfolio.tasting.discrimination import POWER
from slowfolio.tasting.errors import require_count, require_range


class Blinding(StrEnum):
    """Who knew which piece was which."""

    NONE = "tasters knew"
    TASTERS = "tasters did not know"
    TASTERS_AND_SERVERS = "neither tasters nor servers knew"


class Grade(StrEnum):
    """Weakest to strongest. Each needs all that the one before it needs."""

    HINT = "hint"
    ONE_COOK = "one cook"
    REPEATED = "repeated"
    POWERED = "repeated and powered"


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known of a tasting beside its answers.

    `cooks` counts the separate cooks of each method; `power` is the chance the tasting had to find the
    difference named beforehand, None where none was named.
    """

    cooks: int
    blinding: Blinding
    power: float | None = None
    unlike: tuple[Unlike, ...] = ()


@dataclass(frozen=True, slots=True)
class Evidence:
    """The grade, and in plain words what keeps it from being higher."""

    grade: Grade
    weaknesses: tuple[str, ...]


def graded(circumstances: Circumstances) -> Evidence:
    """Return the grade of a tasting.

    Hint: not blind, or not like with like. One cook: blind and alike, one cook of each method. Repeated:
    two cooks or more. Repeated and powered: as well, a power of at least 0.8 for a difference named
    beforehand.
    """
    require_count("the number of cooks", circumstances.cooks, low=1, high=1000)
    power = circumstances.power
    if power is not None:
        require_range("the power", power, low=0.0, high=1.0)
    powered = power is not None and power >= POWER
    sound = circumstances.blinding is not Blinding.NONE and not circumstances.unlike
    grade = Grade.HINT
    if sound:
        grade = Grade.ONE_COOK if circumstances.cooks == 1 else Grade.REPEATED
    if sound and circumstances.cooks > 1 and powered:
        grade = Grade.POWERED
    return Evidence(grade, tuple(_weaknesses(circumstances)))


def strongest(grades: Sequence[Grade]) -> Grade:
    """Return the strongest of several grades; a hint where there are none."""
    order = tuple(Grade)
    return max(grades, key=order.index, default=Grade.HINT)


def _weaknesses(circumstances: Circumstances) -> list[str]:
    told = []
    if circumstances.blinding is Blinding.NONE:
        told.append("tasters knew which piece was which, so they may have tasted what they expected")
    if circumstances.blinding is Blinding.TASTERS:
        told.append("whoever served knew which piece was which")
    told += [f"{one.first} and {one.second} were not alike: {one.what}" for one in circumstances.unlike]
    if circumstances.cooks == 1:
        told.append(
            "each method was cooked once, so a difference may be the piece of meat and not the method"
        )
    if circumstances.power is None:
        told.append("no difference to look for was named beforehand")
    elif circumstances.power < POWER:
        told.append(
            "a panel of this size finds a difference as large as the one named "
            f"only {round(100 * circumstances.power)} times in 100"
        )
    return told
