"""One card on its own, outside a book or before its book is whole: read, checked by itself, decoded.

References are not followed. Called by commands that are given a file.
"""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from slowfolio.book.decode import decode
from slowfolio.book.files import SIZE_LIMIT, CardFile, shown_name
from slowfolio.book.findings import Finding, Severity
from slowfolio.book.rules.tastings import tasting_faults
from slowfolio.book.schema_faults import schema_faults
from slowfolio.book.syntax import read_document
from slowfolio.book.tasting_card import Tasting


class CardNotReady(Exception):
    """The card cannot be used; `findings` say where and why."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(f"{len(findings)} errors")
        self.findings = findings


def read_tasting(path: Path, *, today: date | None = None) -> Tasting:
    """Return the tasting in a file. Raises OSError where it cannot be read, CardNotReady where wrong."""
    with path.open("rb") as file:
        blob = file.read(SIZE_LIMIT + 1)
    if len(blob) > SIZE_LIMIT:
        raise OSError("the file is larger than a card can be (1 MB)")
    document = read_document(CardFile(shown_name(str(path)), "tasting", blob))
    faults = list(document.faults)
    if not _errors(document.finding(fault) for fault in faults):
        faults += schema_faults("tasting", document.data)
    found = _errors(document.finding(fault) for fault in faults)
    if found:
        raise CardNotReady(found)
    card = decode("tasting", document.data, document.origin)
    assert isinstance(card, Tasting)
    found = _errors(document.finding(fault) for fault in tasting_faults(card, today or date.today()))
    if found:
        raise CardNotReady(found)
    return card


def _errors(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.severity is Severity.ERROR)
