"""Reference tables and tolerances that the tasting tests share."""

import csv
import re
from pathlib import Path

from scipy import stats

REFERENCE = Path(__file__).parent / "reference"


def reference(name: str) -> list[dict[str, str]]:
    """The rows of a reference table by column; its first line names the source."""
    lines = (REFERENCE / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def numbers(text: str) -> list[float]:
    """The numbers in a text, in order."""
    return [float(found) for found in re.findall(r"-?\d*\.?\d+", text)]


def plausible(hits: int, trials: int, rate: float) -> bool:
    """Whether a count from a simulation fits a rate; fails by chance once in ten thousand."""
    return float(stats.binomtest(hits, trials, rate).pvalue) > 1e-4


def at_most(hits: int, trials: int, rate: float) -> bool:
    """Whether a count fits a rate of at most `rate`; fails by chance once in ten thousand."""
    return float(stats.binom.sf(hits - 1, trials, rate)) > 1e-4


def at_least(hits: int, trials: int, rate: float) -> bool:
    """Whether a count fits a rate of at least `rate`; fails by chance once in ten thousand."""
    return float(stats.binom.cdf(hits, trials, rate)) > 1e-4
