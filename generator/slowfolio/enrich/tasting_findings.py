"""What analysed tastings have to say about the cards: their own, and the claims of the methods tasted.

A claim is contradicted only by a blind tasting of like with like; hints contradict nobody. Makes findings of
the same kind as the check's own. Called by `slowfolio check` and before a site is built.
"""

from collections.abc import Iterator, Mapping

from slowfolio.book.findings import Finding
from slowfolio.book.model import Book, Expected, Method
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.gate import finding_at
from slowfolio.enrich.tasting_results import Answer, TastingResult
from slowfolio.provenance import Provenance
from slowfolio.tasting.evidence import Grade
from slowfolio.tasting.verdict import Settled

LEVELS: Mapping[str, tuple[str, ...]] = {
    "bark": ("soft", "tender", "firm", "crisp"),
    "rendering": ("firm", "part rendered", "well rendered", "melting"),
    "juiciness": ("dry", "moderate", "juicy", "very juicy"),
    "smoke": ("light", "medium", "strong"),
    "tenderness": ("chewy", "sliceable", "probe tender", "falls apart"),
}
"""The levels of method cards from least to most, in the direction of the scales of the score sheet."""

FAR_APART = 2
"""Levels between two claims that "alike" contradicts: with one step the two may lie on either side of a
border (CALIBRATED)."""


def tasting_findings(book: Book, results: Mapping[str, TastingResult]) -> tuple[Finding, ...]:
    """Every finding about the tastings of the book, sorted by file and line."""
    found: list[Finding] = []
    for name, result in results.items():
        tasting = book.tastings[name]
        found += _own_findings(book, tasting, result)
        if result.grade is not Grade.HINT:
            for answer in result.answers:
                found += _claims(book, tasting, result, answer)
    return tuple(sorted(found, key=lambda finding: finding.place))


def _own_findings(book: Book, tasting: Tasting, result: TastingResult) -> Iterator[Finding]:
    if result.refused:
        yield finding_at(
            book, tasting, "tasting-not-analysed", ("results",), result.refused, "correct what it names"
        )
        return
    for words in result.unlike:
        yield finding_at(
            book,
            tasting,
            "tasting-unlike",
            ("products",),
            f"not served alike: {words}",
            "serve all alike next time; until then this counts as a hint",
        )
    if not result.as_drawn:
        yield finding_at(
            book,
            tasting,
            "tasting-not-as-drawn",
            ("design", "seed"),
            f"the servings are not those that seed {tasting.seed} gives for {len(tasting.plates)} tasters",
            "correct the seed or the servings, or say in a note why they were changed",
        )


# --- claims -------------------------------------------------------------------------------------------


def _claims(book: Book, tasting: Tasting, result: TastingResult, answer: Answer) -> Iterator[Finding]:
    quality = answer.attribute.partition(" of ")[0]
    if quality not in LEVELS or len(answer.between) != 2:
        return
    methods = {product.name: book.methods[product.method] for product in tasting.products}
    first, second = (methods[name] for name in answer.between)
    if first.id == second.id:
        return
    rank = LEVELS[quality].index
    levels = [rank(method.expected[quality].level) for method in (first, second)]
    gap = levels[0] - levels[1]
    # A difference that the cooks do not bear out may be one of pieces, and no claim is about pieces.
    ahead = answer.ahead if answer.over_cooks is not False else ""
    contradicted = (
        (ahead == answer.between[0] and gap < 0)
        or (ahead == answer.between[1] and gap > 0)
        or (answer.settled is Settled.ALIKE and abs(gap) >= FAR_APART)
    )
    if contradicted:
        for method, other in ((first, second), (second, first)):
            yield from _contradicted(
                book, method, other, quality, f"{tasting.id} ({result.grade}): {answer.found}"
            )


def _contradicted(
    book: Book, method: Method, other: Method, quality: str, evidence: str
) -> Iterator[Finding]:
    own = method.expected[quality]
    if own.provenance is Provenance.MEASURED:
        return
    yield finding_at(
        book,
        method,
        "claim-contradicted",
        ("expect", quality, "level"),
        f"{_said(own, quality)} here and {_said(other.expected[quality], quality)} in {other.id}, "
        f"but tasting {evidence}",
        "change the level, or taste again with more cooks and tasters",
    )


def _said(expected: Expected, quality: str) -> str:
    return f"{expected.level} {quality} is {expected.provenance.value}"
