"""Checking a large book: cards per second, and growth with the number of cards."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.report import Row, seconds
from slowfolio.book.reading import read_book

BOOK = Path(__file__).parents[1] / "methods"
CARD = BOOK / "cards" / "brisket" / "unwrapped.yaml"


def rows() -> Iterator[Row]:
    """1,000 method cards, and 1,000 against 250."""
    with tempfile.TemporaryDirectory() as folder:
        small, large = book_of(250, Path(folder) / "small"), book_of(1000, Path(folder) / "large")
        read_book(small)
        few, many = seconds(lambda: read_book(small)), seconds(lambda: read_book(large))
        yield Row("check of 1,000 method cards", many, "s")
        yield Row("check of 1,000 cards / check of 250 cards", many / few, "x", 5.0)


def book_of(count: int, folder: Path) -> Path:
    """The starter book's equipment with `count` copies of one method."""
    shutil.copytree(BOOK, folder, ignore=shutil.ignore_patterns("cards", "tastings", "cooks"))
    cards = folder / "cards" / "brisket"
    cards.mkdir(parents=True)
    text = CARD.read_text(encoding="utf-8")
    for number in range(count):
        name = f"copy-{number}"
        (cards / f"{name}.yaml").write_text(text.replace("id: unwrapped", f"id: {name}"), encoding="utf-8")
    return folder
