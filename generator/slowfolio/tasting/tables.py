"""Powers and panel sizes of every test worked out beforehand, for pages that cannot compute them.

`power_tables.json` beside this module is written by `python -m benchmarks.refresh_tasting_tables` from
`computed_row`, the very functions that plans use; the tests recompute a part of it. Called by the site.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product
from pathlib import Path
from typing import Any

from slowfolio.tasting.plan import Effect, default_effect, panel_size, power_of
from slowfolio.tasting.procedure import QUESTIONS, Procedure, choice_of
from slowfolio.tasting.protocols import Sides
from slowfolio.tasting.question import Choice, Kind, Question

FILE = Path(__file__).with_name("power_tables.json")

MOST_TASTERS, MOST_RANKING = 120, 48
"""Panels the tables reach to; the exact ranking test is slow beyond (CALIBRATED)."""

POWERS = (0.8, 0.9)
TELLING = (0.2, 0.3, 0.4, 0.5, 0.6)
PREFERRING = (0.6, 0.65, 0.7, 0.75, 0.8)
POINTS = (0.5, 1.0, 1.5, 2.0)
D_PRIMES = (1.0, 1.5, 2.0, 3.0)
"""Differences offered; the usual ones of `plan.Effect` are among them (CALIBRATED)."""

SCALE = 10_000
"""Powers are kept as whole ten-thousandths."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One row: a test, the question, how many products, the direction, and the difference looked for."""

    procedure: Procedure
    question: Question
    products: int
    sides: Sides
    difference: float

    @property
    def key(self) -> str:
        """The name of the row."""
        parts = (
            self.procedure,
            self.question.name.lower(),
            self.products,
            self.sides,
            f"{self.difference:g}",
        )
        return "|".join(str(part) for part in parts)

    @property
    def choice(self) -> Choice:
        """The test with its pieces: every taster has all products."""
        return choice_of(self.procedure, self.question, self.products, sides=self.sides)

    @property
    def effect(self) -> Effect:
        """The difference in the measure of its test."""
        match self.choice.kind:
            case Kind.RIGHT_OR_WRONG:
                return Effect(telling=self.difference)
            case Kind.RANKING:
                return Effect(d_prime=self.difference)
            case Kind.SCORES:
                return Effect(score=self.difference)
            case _:
                return Effect(preferring=self.difference)

    @property
    def is_usual(self) -> bool:
        """Whether this is the difference looked for where the cook names none."""
        usual = default_effect(self.question)
        match self.choice.kind:
            case Kind.RIGHT_OR_WRONG:
                return self.difference == usual.telling
            case Kind.RANKING:
                return self.difference == usual.d_prime
            case Kind.SCORES:
                return self.difference == usual.score
            case _:
                return self.difference == usual.preferring


@dataclass(frozen=True, slots=True)
class Row:
    """Power for 1, 2, 3, ... tasters, and for each of `POWERS` the panel needed and the one advised."""

    power: tuple[int, ...]
    needed: tuple[int, ...]
    advised: tuple[int, ...]
    round_of: int


def rows_asked() -> Iterator[Asked]:
    """Every row of the tables."""
    one, two = Sides.ONE, Sides.TWO
    for procedure in (Procedure.TRIANGLE, Procedure.DUO_TRIO, Procedure.TETRAD):
        for question, telling in product(QUESTIONS[procedure], TELLING):
            yield Asked(procedure, question, 2, one, telling)
    for sides, telling in product((two, one), TELLING):
        yield Asked(Procedure.PAIRED_COMPARISON, Question.MORE, 2, sides, telling)
    for preferring in PREFERRING:
        yield Asked(Procedure.PAIRED_PREFERENCE, Question.PREFERRED, 2, two, preferring)
    for count, preferring in product(range(3, 7), PREFERRING):
        yield Asked(Procedure.PREFERENCE_PAIRS, Question.PREFERRED, count, two, preferring)
    for count, d_prime in product(range(2, 7), D_PRIMES):
        yield Asked(Procedure.RANKING, Question.ORDER, count, two, d_prime)
    for count, points in product(range(2, 7), POINTS):
        yield Asked(Procedure.SCORES, Question.HOW_MUCH, count, two, points)


def computed_row(asked: Asked, *, most: int | None = None) -> Row:
    """The row of `asked`, worked out; `most` tasters where not the whole row is wanted."""
    choice, effect = asked.choice, asked.effect
    reach = MOST_RANKING if choice.kind is Kind.RANKING else MOST_TASTERS
    sizes = [panel_size(choice, effect, power=power) for power in POWERS]
    return Row(
        power=tuple(
            round(SCALE * power_of(choice, tasters, effect)) for tasters in range(1, (most or reach) + 1)
        ),
        needed=tuple(size.needed.stable for size in sizes),
        advised=tuple(size.advised for size in sizes),
        round_of=sizes[0].round_of,
    )


@cache
def kept_rows() -> Mapping[str, Any]:
    """The tables as they were kept, by the names of their rows."""
    rows: Mapping[str, Any] = json.loads(FILE.read_text("utf-8"))
    return rows
