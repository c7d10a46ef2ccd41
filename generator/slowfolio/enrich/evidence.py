"""What tastings say about a method: each answer with its grade, and the strongest grade there is.

Made from analysed tastings; nothing is computed here. Called by the method pages, by the check of claims, and
by whoever asks what a house standard rests on.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.book.model import Book
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.tasting_results import Answer, TastingResult
from slowfolio.tasting.evidence import Grade, strongest
from slowfolio.tasting.verdict import Settled


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """One answer of one tasting in which a method took part."""

    tasting: Tasting
    answer: Answer
    grade: Grade


def evidence_for(method: str, book: Book, results: Mapping[str, TastingResult]) -> tuple[EvidenceLine, ...]:
    """Return every answer about a method: settled ones first, then by grade, newest first."""
    lines = [
        EvidenceLine(tasting, answer, results[name].grade)
        for name, tasting in book.tastings.items()
        if name in results
        for answer in results[name].answers
        if _names_of(method, tasting) & set(answer.between)
    ]
    order = tuple(Grade)
    return tuple(
        sorted(
            lines,
            key=lambda line: (
                line.answer.settled is Settled.OPEN,
                -order.index(line.grade),
                -line.tasting.date.toordinal(),
            ),
        )
    )


def evidence_grade(method: str, book: Book, results: Mapping[str, TastingResult]) -> Grade | None:
    """Return the grade of the strongest evidence about a method; None where no tasting settled anything.

    A question that stayed open is no evidence, however well it was asked.
    """
    settled = [
        line.grade for line in evidence_for(method, book, results) if line.answer.settled is not Settled.OPEN
    ]
    return strongest(settled) if settled else None


def _names_of(method: str, tasting: Tasting) -> set[str]:
    return {product.name for product in tasting.products if product.method == method}
