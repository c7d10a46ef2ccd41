"""A large book: checking 1,000 cards, and how cold enrichment grows with the number of methods.

Enrichment is measured on 8, 16 and 32 methods with few simulated cooks each; what 1,000 methods would take is
extrapolated from those and says so.
"""

import json
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.bench_check import book_of
from benchmarks.processes import measured
from benchmarks.report import Row

TOOLS = Path(sys.executable).parent
MEMBERS = 2
FEW, MIDDLE, MANY, LARGE = 8, 16, 32, 1000


def rows() -> Iterator[Row]:
    """Time and memory of the check; processor time for each method, cores used, memory, of enrichment."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        environment = {"SLOWFOLIO_CACHE": str(place / "cache")}
        large = book_of(LARGE, place / "large")
        check = measured([str(TOOLS / "slowfolio"), "check", str(large)], environment=environment)
        yield Row("slowfolio check of 1,000 method cards, wall", check.wall_s, "s", 5.0)
        yield Row("slowfolio check of 1,000 method cards, processor", check.processor_s, "s")
        yield Row("slowfolio check of 1,000 method cards, peak memory", check.peak_mb, "MB", 1000.0)
        costs = {}
        for count in (FEW, MIDDLE, MANY):
            book = book_of(count, place / f"book-{count}")
            said = measured(
                [sys.executable, "-m", "benchmarks.enrich_alone", str(book), str(MEMBERS)],
                environment=environment,
            )
            costs[count] = json.loads(said.output)
            each = costs[count]["processor_s"] / count
            yield Row(f"cold enrichment of {count} methods, processor time for each", each, "s")
    yield from growth(costs[FEW], costs[MANY])


def growth(few: dict[str, float], many: dict[str, float]) -> Iterator[Row]:
    """How the larger book compares with the smaller."""
    ratio = (many["processor_s"] / MANY) / (few["processor_s"] / FEW)
    idle = many["wall_s"] * (os.cpu_count() or 1) / many["processor_s"]
    yield Row(f"the same, each of {MANY} methods / each of {FEW}", ratio, "x", 1.2)
    yield Row(f"the same, wall x cores / processor time, {MANY} methods", idle, "x", 1.25)
    yield Row(
        f"the same, largest worker, {MANY} methods / {FEW}", many["worker_mb"] / few["worker_mb"], "x", 1.2
    )
    slope = (many["own_mb"] - few["own_mb"]) / (MANY - FEW)
    yield Row("the same, results held for each method", slope, "MB")
    whole = few["own_mb"] + slope * (LARGE - FEW)
    yield Row("the same, 1,000 methods (extrapolated)", whole, "MB", 1000.0)
