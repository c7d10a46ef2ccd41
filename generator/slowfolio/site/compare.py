"""The comparison: every method with every quality in one table, which the script sets side by side.

Reads in full without JavaScript. `compare.js` takes its numbers from the cells, so that nothing is carried
twice. `compare.html` lays it out.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from slowfolio.book.model import Book, Method
from slowfolio.enrich.results import MethodResult
from slowfolio.provenance import Figure
from slowfolio.site.links import Links, card_uri
from slowfolio.site.priorities import HANDLING_COUNTS, PRIORITIES
from slowfolio.site.qualities import QUALITIES, Quality
from slowfolio.site.shown import Note, Notes, Shown, Tag, shown

COMPARE = "compare.md"
COMPARED = (*QUALITIES, *(each.quality for each in PRIORITIES if each.quality not in QUALITIES))


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure of one method, said and as plain numbers for the script."""

    figure: Shown
    value: str
    low: str
    high: str


@dataclass(frozen=True, slots=True)
class Row:
    """One method."""

    id: str
    title: str
    href: str
    cut: str
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """One quality, and where its figures come from; no mark where no method has it."""

    quality: Quality
    tag: Tag | None


@dataclass(frozen=True, slots=True)
class ComparePage:
    """All that the comparison shows."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    handling: str
    notes: tuple[Note, ...]


def compare_page(book: Book, results: Mapping[str, MethodResult], links: Links) -> ComparePage:
    """Every computed method, by cut and title."""
    notes = Notes()
    computed = [method for method in book.methods.values() if method.id in results]
    computed.sort(key=lambda method: (book.cuts[method.cut].title.casefold(), method.title.casefold()))
    rows = tuple(_row(book, method, results[method.id], links, notes) for method in computed)
    columns = tuple(Column(quality, _tag(rows, at)) for at, quality in enumerate(COMPARED))
    return ComparePage(columns, rows, HANDLING_COUNTS, notes.listed())


def _tag(rows: Sequence[Row], column: int) -> Tag | None:
    return next((cell.figure.tag for row in rows if (cell := row.cells[column])), None)


def _row(book: Book, method: Method, result: MethodResult, links: Links, notes: Notes) -> Row:
    figures = (quality.figure(method, result) for quality in COMPARED)
    return Row(
        id=method.id,
        title=method.title,
        href=links.href(COMPARE, card_uri("methods", method.id)),
        cut=book.cuts[method.cut].title,
        cells=tuple(_cell(figure, notes) if figure else None for figure in figures),
    )


def _cell(figure: Figure, notes: Notes) -> Cell:
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    return Cell(shown(figure, notes), *(f"{end:.5g}" for end in (figure.value, low, high)))
