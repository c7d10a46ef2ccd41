"""Building the starter book: unchanged against a plain MkDocs build of the same pages; one card edited."""

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.report import Row, paired_ratio, run, seconds

BOOK = Path(__file__).parents[1] / "methods"
TOOLS = Path(sys.executable).parent
EDITED = Path("cards/brisket/unwrapped.yaml")


def rows() -> Iterator[Row]:
    """Cold build, unchanged build over plain MkDocs, one-card edit over a cold build."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        book, plain = place / "book", place / "plain"
        shutil.copytree(BOOK, book)
        environment = {**os.environ, "SLOWFOLIO_CACHE": str(place / "cache"), "NO_MKDOCS_2_WARNING": "1"}

        def build() -> None:
            run([str(TOOLS / "slowfolio"), "build", str(book), "--out", str(place / "site")], env=environment)

        def plain_build() -> None:
            run([str(TOOLS / "mkdocs"), "build", "--strict"], cwd=plain, env=environment)

        cold = seconds(build)
        yield Row("cold build of the starter book", cold, "s")
        run([str(TOOLS / "slowfolio"), "build", str(book), "--export-docs", str(plain)], env=environment)
        unchanged = paired_ratio(build, plain_build)
        yield Row("build with nothing changed / plain MkDocs build of the same pages", unchanged, "x", 1.2)
        text = (book / EDITED).read_text(encoding="utf-8")
        (book / EDITED).write_text(
            text.replace("start_temperature: 38 °F", "start_temperature: 40 °F"), "utf-8"
        )
        edited = seconds(build)
        yield Row("build with one card edited / cold build", edited / cold, "x", 0.5)
