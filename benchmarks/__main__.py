"""`python -m benchmarks [NAME ...]`: run the benchmarks named, or all, and print one table."""

import sys
from importlib import import_module

from benchmarks.report import Row, table

ALL = ("engine", "build", "check", "large", "diff", "pages", "fit", "forecast", "pit")


def main(names: list[str]) -> int:
    """Run and print; 1 where a budget is not kept."""
    rows: list[Row] = []
    for name in names or ALL:
        measured = list(import_module(f"benchmarks.bench_{name}").rows())
        print(table(measured), flush=True)
        rows += measured
    over = [row for row in rows if row.verdict == "OVER"]
    print(f"\n{len(rows)} figures, {len(over)} over budget")
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
