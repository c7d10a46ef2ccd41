"""Recompute the engine's own figures in the validation table and write them back.

Run it after a change of the engine: ``python benchmarks/refresh_validation.py``. Published figures,
tolerances and remarks stay as they are in the file.
"""

from __future__ import annotations

import json
from pathlib import Path

from slowfolio.physics import validation

TABLE = Path(validation.__file__).with_name("validation.json")


def main() -> None:
    """Run every case once and rewrite the table with three decimals."""
    table = json.loads(TABLE.read_text(encoding="utf-8"))
    figures = {case: run() for case, run in validation.CASES.items()}
    for row in table["checks"]:
        row["ours"] = round(figures[row["case"]][row["figure"]], 3)
    TABLE.write_text(json.dumps(table, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    for check in validation.load_checks():
        word = "met" if check.met else "missed"
        print(f"{word:7}{check.what}: {check.low:g}-{check.high:g} {check.unit}, ours {check.ours:.2f}")


if __name__ == "__main__":
    main()
