"""At which temperatures each hazard grows or forms toxin: the table the safety page shows.

Every row keeps its own source, because sources differ; no rule is computed from them. Growth rates live in
`growth`, kill by heat in `lethality`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from slowfolio.safety.standing import Confidence
from slowfolio.safety.tables import confidence_of, rows


@dataclass(frozen=True, slots=True)
class GrowthLimits:
    """What one source says of one organism. Temperatures in °C, None where the source gives none.

    `best` stays text: sources give ranges.
    """

    organism: str
    what: str
    min_c: float | None
    best: str
    max_c: float | None
    source: str
    provenance: str
    confidence: Confidence


@cache
def growth_limits() -> tuple[GrowthLimits, ...]:
    """Return every row of the table of growth limits, in its order; "same" is the source of the row above."""
    found: list[GrowthLimits] = []
    for row in rows("pathogen_limits"):
        source = found[-1].source if row["source"] == "same" else row["source"]
        limits = GrowthLimits(
            organism=row["organism"],
            what=row["what"],
            min_c=_number(row["t_min_c"]),
            best=row["t_opt_c"],
            max_c=_number(row["t_max_c"]),
            source=source,
            provenance=row["provenance"],
            confidence=confidence_of(row),
        )
        found.append(limits)
    return tuple(found)


def _number(text: str) -> float | None:
    return float(text) if text else None
