"""Published rules as the safety page lists them: sections of the US Food Code, the humidity terms of FSIS.

Text for reading, row by row with its standing; what is computed from them lives in the rooms named after the
rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from slowfolio.safety.standing import Confidence
from slowfolio.safety.tables import confidence_of, rows, source


@dataclass(frozen=True, slots=True)
class CodeSection:
    """One section of the US Food Code 2022 in short. Figures stay text: some are lists or ranges."""

    section: str
    topic: str
    rule: str
    temp_f: str
    temp_c: str
    time: str
    provenance: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class HumidityOption:
    """One way to meet the guideline's humidity terms, a case that needs none, or a gap it names."""

    option: str
    requirement: str
    end_point: str
    cooking_time: str
    note: str


@cache
def food_code_sections() -> tuple[CodeSection, ...]:
    """Return the sections of the US Food Code that touch this work, in order."""
    return tuple(
        CodeSection(
            section=row["section"],
            topic=row["topic"],
            rule=_text(row["rule"]),
            temp_f=_text(row["temp_f"]),
            temp_c=_text(row["temp_c"]),
            time=_text(row["time"]),
            provenance=row["provenance"],
            confidence=confidence_of(row),
        )
        for row in rows("fda_food_code_rules")
    )


@cache
def humidity_options() -> tuple[HumidityOption, ...]:
    """Return the humidity options, exemptions and gaps of the FSIS Cooking Guideline 2021."""
    return tuple(
        HumidityOption(
            option=row["option"],
            requirement=row["requirement"],
            end_point=_text(row["endpoint_condition"]),
            cooking_time=_text(row["cooking_time_condition"]),
            note=row["note"],
        )
        for row in rows("fsis_humidity_options_2021")
    )


def food_code_source() -> str:
    """Return how the sections of the Food Code came to be here."""
    return source("fda_food_code_rules")


def humidity_source() -> str:
    """Return how the humidity options came to be here."""
    return source("fsis_humidity_options_2021")


def _text(cell: str) -> str:
    return "" if cell == "-" else cell.replace("|", " / ")
