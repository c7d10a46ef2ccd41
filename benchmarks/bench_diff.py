"""`slowfolio diff` on the starter book, nothing kept: a degree on one card, and a wrap of several methods."""

import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.processes import Usage, measured
from benchmarks.report import Row

BOOK = Path(__file__).parents[1] / "methods"
TOOL = str(Path(sys.executable).parent / "slowfolio")
CARD, WRAP = Path("cards/brisket/butcher-paper.yaml"), Path("wraps/foil-boat.yaml")
BUDGET_S = 60.0
NOBODY = ("-c", "user.name=Pit lead", "-c", "user.email=pit@alder.example")


def rows() -> Iterator[Row]:
    """Wall and processor time of both, and how many methods each computed."""
    with tempfile.TemporaryDirectory() as folder:
        top = Path(folder)
        book = Path(shutil.copytree(BOOK, top / "methods"))
        git(top, "init", "-q")
        git(top, "add", "-A")
        git(top, *NOBODY, "commit", "-q", "-m", "As it is")
        for name, file, pattern, new in (
            ("one degree on a card", CARD, r"pit_temperature: 250 °F", "pit_temperature: 251 °F"),
            ("a wrap's emissivity", WRAP, r"emissivity: \{value: 20 %", "emissivity: {value: 25 %"),
        ):
            text = (book / file).read_text("utf-8")
            assert re.search(pattern, text), f"{file} has no {pattern}"
            (book / file).write_text(re.sub(pattern, new, text, count=1), "utf-8")
            usage = measured(
                [TOOL, "diff", "--book", str(book), "--format", "json"],
                environment={"SLOWFOLIO_CACHE": str(top / f"cache-{file.stem}")},
            )
            yield from rows_of(name, usage)
            (book / file).write_text(text, "utf-8")


def rows_of(name: str, usage: Usage) -> Iterator[Row]:
    """One comparison."""
    found = json.loads(usage.output)
    computed, left = len(found["methods"]), len(found["untouched"])
    yield Row(f"diff, {name}: {computed} of {computed + left} methods, wall", usage.wall_s, "s", BUDGET_S)
    yield Row(f"diff, {name}: processor", usage.processor_s, "s")


def git(folder: Path, *arguments: str) -> None:
    """One git command."""
    subprocess.run(["git", "-C", str(folder), *arguments], check=True, capture_output=True)
