"""A house standard rests on evidence of the grade its book asks for, or its card says why it need not.

Makes findings of the same kind as the check's own. Called by `slowfolio check`.
"""

from collections.abc import Iterator, Mapping

from slowfolio.book.findings import Finding
from slowfolio.book.model import Book, Layer, Status
from slowfolio.enrich.evidence import evidence_grade
from slowfolio.enrich.gate import finding_at
from slowfolio.enrich.tasting_results import TastingResult
from slowfolio.tasting.evidence import Grade


def house_standard_findings(book: Book, tastings: Mapping[str, TastingResult]) -> Iterator[Finding]:
    """Yield every house standard of our own without evidence of the grade and without a waiver, and needless
    waivers.
    """
    order, needed = tuple(Grade), Grade(book.card.evidence_needed)
    for method in book.methods.values():
        if method.origin.layer is Layer.INHERITED:
            continue
        grade = evidence_grade(method.id, book, tastings)
        enough = grade is not None and order.index(grade) >= order.index(needed)
        standard = method.status is Status.HOUSE_STANDARD
        if standard and not enough and not method.waiver:
            found = f"the strongest is {grade.value}" if grade is not None else "no tasting settled anything"
            message = f"a house standard of this book rests on a tasting graded {needed.value}; {found}"
            advice = "taste it blind (slowfolio tasting design), set it on trial, or state a waiver: and why"
            yield finding_at(book, method, "house-standard-without-evidence", ("status",), message, advice)
        if method.waiver and (enough or not standard):
            why = f"the tastings are graded {grade.value}" if enough and grade else "it is no house standard"
            yield finding_at(
                book, method, "waiver-not-needed", ("waiver",), f"no waiver is needed: {why}", "leave it out"
            )
