"""The published tables that travel with the package, read once from `data/*.csv`.

Each file opens with a `#` line that names its source and standing, then a header with units. Rooms that need
a table turn its rows into frozen data of their own; nobody outside the package reads these files.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from slowfolio.safety.standing import Confidence

_CONFIDENCE = {"high": Confidence.HIGH, "med": Confidence.MEDIUM, "low": Confidence.LOW}


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of `data/<name>.csv` as dictionaries of text by column."""
    return tuple(csv.DictReader(line for line in _lines(name) if not line.startswith("#")))


@cache
def source(name: str) -> str:
    """Return the source line of `data/<name>.csv` without its `#`."""
    return _lines(name)[0].lstrip("# ").strip()


def confidence_of(row: dict[str, str]) -> Confidence:
    """Return how sure the table is of one of its rows."""
    return _CONFIDENCE[row["conf"]]


def _lines(name: str) -> list[str]:
    text = (files("slowfolio.safety") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return text.splitlines()
