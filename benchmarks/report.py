"""One measured row, and the table of them."""

import statistics
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, the figure, and the budget it is held against (None: for information)."""

    name: str
    value: float
    unit: str
    budget: float | None = None

    @property
    def verdict(self) -> str:
        """Whether the figure keeps its budget."""
        if self.budget is None:
            return ""
        return "within" if self.value <= self.budget else "OVER"


def table(rows: Sequence[Row]) -> str:
    """The rows as aligned text."""
    lines = []
    for row in rows:
        budget = "" if row.budget is None else f"budget {row.budget:g} {row.unit}".strip()
        lines.append(f"{row.name:<72} {row.value:10.3g} {row.unit:<6} {budget:<18} {row.verdict}".rstrip())
    return "\n".join(lines)


def seconds(action: Callable[[], object]) -> float:
    """Wall time of one call."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def processor_seconds(action: Callable[[], object]) -> float:
    """Processor time of one call in this process: what other work on the machine does not lengthen."""
    start = time.process_time()
    action()
    return time.process_time() - start


def paired_ratio(first: Callable[[], object], second: Callable[[], object], *, runs: int = 5) -> float:
    """Median of first/second, run in turn so that a drifting machine moves both."""
    return statistics.median(seconds(first) / seconds(second) for _ in range(runs))


def run(command: Sequence[str], **options: object) -> None:
    """Run a command to its end; a failure stops the benchmark."""
    subprocess.run(command, check=True, capture_output=True, **options)  # type: ignore[call-overload]
