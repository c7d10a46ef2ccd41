"""Where a number comes from, and a number as it is shown: value, unit, spread and provenance.

Every figure that reaches JSON or a page is one of these. Nothing here computes or formats.
"""

from dataclasses import dataclass
from enum import StrEnum


class Provenance(StrEnum):
    """The five kinds of origin a number can have, used on cards, in JSON and on pages."""

    COMPUTED = "computed"
    MEASURED = "measured"
    PUBLISHED = "published"
    PRACTICE = "practice"
    CLAIMED = "claimed"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in SI with its dimension, spread and origin.

    The dimension is a key of `slowfolio.units.PARSERS`, "score" (0 to 100) or "number" (no unit).

    `low` and `high` are the 10th and 90th percentile where the number has a spread. `source` names the
    model version, the tasting or cook, the citation or the author.
    """

    value: float
    dimension: str
    provenance: Provenance
    low: float | None = None
    high: float | None = None
    source: str = ""
