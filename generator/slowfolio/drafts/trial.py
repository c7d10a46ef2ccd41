"""A draft is tried before it is written: the check of the whole book with it, its cook against the rules.

Nothing is written here. Called by `slowfolio new`, which writes only what has passed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from slowfolio.book.files import KIND_OF_FOLDER, CardFile
from slowfolio.book.findings import Finding, Severity
from slowfolio.book.model import Book, Cut, Holder, Method, Pit, Wrap
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.drafts.method_draft import Choices, Knobs, candidates, method_data
from slowfolio.enrich.cache import Cache
from slowfolio.enrich.gate import gate_findings
from slowfolio.enrich.keys import result_key
from slowfolio.enrich.pipeline import MEMBERS, SEED, Enriched, Problem, book_for, compute_result
from slowfolio.enrich.results import MethodResult
from slowfolio.physics.errors import PhysicsInputError

SCOUTS = 16
"""Cooks a candidate is tried with first; a good one is then cooked as often as the site cooks."""

AnyCard = Pit | Holder | Wrap | Cut
Writer = Callable[[Mapping[str, Any]], str]


class DraftRefused(Exception):
    """No setting of the chosen equipment gives a card that passes; the message says what stood in the way."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A card that passed: its text, and the settings it was written with."""

    file: str
    text: str
    knobs: Knobs


def draft_method(
    choices: Choices,
    book: Book,
    file: str,
    write: Writer,
    cache: Cache,
    *,
    members: int = MEMBERS,
    tell: Callable[[str], None] = lambda _: None,
) -> Draft:
    """The first candidate that passes check and rules. Raises DraftRefused with the findings of the last."""
    found: tuple[Finding, ...] = ()
    for ways in candidates(choices, book):
        for knobs in ways:
            text = write(method_data(choices, knobs, book))
            reading = read_with(book, file, text, choices.today)
            found = findings_on(file, reading)
            if not found:
                assert reading.book is not None
                found = computed_findings(reading.book.methods[choices.id], reading.book, cache, members)
            if not found:
                return Draft(file, text, knobs)
            tell(found[0].message)
            if not only_of_the_hold(found, text):
                break
    reasons = "\n".join(f"  {finding.message}" for finding in found[:5])
    raise DraftRefused(
        f"no setting of this equipment passes the check and the rules; at last it was:\n{reasons}"
    )


def only_of_the_hold(found: tuple[Finding, ...], text: str) -> bool:
    """Whether another rest or hold may help: everything found stands at the hold, which is below the cook."""
    lines = text.splitlines()
    hold_line = lines.index("hold:") + 1 if "hold:" in lines else len(lines)
    return all(finding.mark.line > hold_line for finding in found)


def read_with(book: Book, file: str, text: str, today: date) -> ReadResult:
    """The book read again with a card that is not on the disk yet."""
    return read_book(Path(book.root), today=today, drafts=[draft_file(file, text)])


def findings_on(file: str, reading: ReadResult) -> tuple[Finding, ...]:
    """What a check says of one card, notes aside."""
    return tuple(
        each for each in reading.findings if each.file == file and each.severity is not Severity.NOTE
    )


def computed_findings(method: Method, book: Book, cache: Cache, members: int) -> tuple[Finding, ...]:
    """What the rules say of one method: of a few cooks first, then of as many as the site's."""
    alone = book_for(method, book)
    for size in dict.fromkeys((min(SCOUTS, members), members)):
        try:
            result = kept_result(method, alone, size, cache)
        except PhysicsInputError as error:
            return gate_findings(alone, only(Problem(method.id, str(error))))
        found = gate_findings(alone, only(result))
        if found:
            return found
    return ()


def only(outcome: MethodResult | Problem) -> Enriched:
    """One cook, or why it could not be computed, as the rules are asked about it."""
    results = {outcome.method: outcome} if isinstance(outcome, MethodResult) else {}
    problems = (outcome,) if isinstance(outcome, Problem) else ()
    return Enriched(results=results, holds={}, carried={}, problems=problems, computed=())


def kept_result(method: Method, book: Book, members: int, cache: Cache) -> MethodResult:
    """The computed cook of a method, under the key the site looks for."""
    return cache.fetch(
        result_key(method, book, members=members, seed=SEED),
        MethodResult,
        lambda: compute_result(method, book, members, SEED, cache),
    )


def draft_file(file: str, text: str) -> CardFile:
    """A draft as a file of the book."""
    return CardFile(file, KIND_OF_FOLDER[file.partition("/")[0]], text.encode())


def card_data(kind: str, book: Book, card: AnyCard) -> Mapping[str, Any]:
    """The data of a card of the book as it is written, quantities as texts."""
    found: Mapping[str, Any] = read_book(Path(book.root)).texts[kind, card.id]
    return found
