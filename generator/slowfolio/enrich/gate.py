"""Which computed figures keep a card out of the site: red refuses, amber needs a reason on the card.

Advice that is no rule, such as predicted growth, is shown and never gates.

Makes findings of the same kind as the check's own, with the rule, the figure and the place in the card.
"""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from slowfolio.book.base import of_the_base
from slowfolio.book.codes import severity
from slowfolio.book.findings import Finding
from slowfolio.book.model import Book, Key, Layer, Method
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.pipeline import Enriched
from slowfolio.enrich.verdicts import place_of
from slowfolio.safety.verdict import Level, Met, Verdict


def gate_findings(book: Book, enriched: Enriched) -> tuple[Finding, ...]:
    """Every computed finding of the book, sorted by file and line."""
    found: list[Finding] = []
    for problem in enriched.problems:
        method = book.methods[problem.method]
        found.append(finding_at(book, method, "not-computed", ("stages",), problem.message, ""))
    for name, result in enriched.results.items():
        found += method_findings(book, book.methods[name], result.verdicts)
    return tuple(sorted(found, key=lambda finding: finding.place))


def method_findings(book: Book, method: Method, verdicts: tuple[Verdict, ...]) -> Iterator[Finding]:
    """What the verdicts on one method ask of its card."""
    reasons = {reason.about for reason in method.reasons}
    amber: set[str] = set()
    for verdict in verdicts:
        place = place_of(verdict, method)
        if verdict.level is Level.RED:
            yield finding_at(book, method, "rule-not-met", place, said(verdict), verdict.what_to_do)
        elif verdict.level is Level.AMBER and verdict.met is not Met.ADVISORY:
            amber.add(verdict.topic.value)
            if verdict.topic.value not in reasons:
                advice = (
                    f'write a reason about "{verdict.topic.value}", or: {verdict.what_to_do or "change it"}'
                )
                yield finding_at(book, method, "amber-without-reason", place, said(verdict), advice)
    for index, reason in enumerate(method.reasons):
        if reason.about not in amber:
            message = f"nothing about {reason.about} is amber"
            yield finding_at(book, method, "reason-not-needed", ("reasons", index), message, "leave it out")


def said(verdict: Verdict) -> str:
    """The rule, who sets it, the figure and the limit, in a sentence."""
    limit = f", limit {verdict.limit_text}" if verdict.limit_text else ""
    return f"{verdict.rule} ({verdict.citation}): {verdict.met.value}; {verdict.figure}{limit}"


def finding_at(
    book: Book, card: Method | Tasting, code: str, place: tuple[Key, ...], message: str, advice: str
) -> Finding:
    """A finding at a place in a card, with the line as it is written."""
    mark, line = card.origin.at(*place), line_of(book, card, card.origin.at(*place).line)
    found = Finding(code, severity(code), card.origin.file, mark, message, advice, line)
    return replace(found, help=of_the_base(found)) if card.origin.layer is Layer.INHERITED else found


def line_of(book: Book, card: Method | Tasting, number: int) -> str:
    """A line of the card's file, empty where it can no longer be read."""
    try:
        lines = (Path(book.root) / card.origin.file).read_text(encoding="utf-8").splitlines()
    except OSError:
        return ""
    return lines[number - 1] if number <= len(lines) else ""
