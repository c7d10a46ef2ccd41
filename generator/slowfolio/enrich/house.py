"""A book whose own limits are looser than its authority's is no book: the finding, with its place.

The one check of cards that needs the authorities' figures, which the room `book` does not know. Called
wherever a book is read for use, and by the check.
"""

from dataclasses import replace
from pathlib import Path

from slowfolio.book.codes import severity
from slowfolio.book.findings import Finding
from slowfolio.book.reading import ReadResult


def with_house_findings(result: ReadResult, root: Path) -> ReadResult:
    """The result of reading the book in `root`, without its book where a limit of the house is looser."""
    if result.book is None or result.book.card.house_limits is None:
        return result
    from slowfolio.forecast.authority import house_faults

    card = result.book.card
    lines = (root / card.origin.file).read_text(encoding="utf-8").splitlines()
    found = []
    for fault in house_faults(card):
        mark = card.origin.at(*fault.path)
        line = lines[mark.line - 1] if mark.line <= len(lines) else ""
        grade = severity(fault.code)
        found.append(Finding(fault.code, grade, card.origin.file, mark, fault.message, fault.help, line))
    if not found:
        return result
    findings = tuple(sorted((*result.findings, *found), key=lambda finding: finding.place))
    return replace(result, book=None, findings=findings)
