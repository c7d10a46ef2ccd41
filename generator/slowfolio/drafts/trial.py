"""A draft is tried before it is written: its cook against the rules, then the check of the whole book.

A miss turns one knob and the cook is tried again. Nothing is written here. Called by `slowfolio new`, which
writes only what has passed.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from slowfolio.book.decode import decode
from slowfolio.book.files import KIND_OF_FOLDER, CardFile
from slowfolio.book.findings import Finding, Severity
from slowfolio.book.model import Book, Cut, Holder, Method, Pit, Wrap
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.book.syntax import read_document
from slowfolio.drafts.choices import Choices
from slowfolio.drafts.knobs import Knobs, Missed, Part, first_knobs, instead, turned, unfit
from slowfolio.drafts.method_draft import method_data
from slowfolio.enrich.gate import method_findings
from slowfolio.enrich.pipeline import MEMBERS, SEED
from slowfolio.enrich.verdicts import verdicts_of
from slowfolio.forecast.run import run_method
from slowfolio.physics.cook import STEP_S
from slowfolio.physics.errors import PhysicsInputError
from slowfolio.physics.results import CookResult
from slowfolio.physics.schedule import StageKind
from slowfolio.safety.verdict import Topic, Unit, Verdict

SCOUTS, SCOUT_STEP_S = 16, 180.0
"""CALIBRATED: cooks a setting is tried with first, in long steps; the coldest spot is then within 0.3 K. What
passes is cooked as often and as finely as the site cooks."""
MOST_TRIES = 24
FEW = 0.05
"""A stage may miss its target in this share of the cooks without being called wrong."""

AnyCard = Pit | Holder | Wrap | Cut
Writer = Callable[[Mapping[str, Any]], str]


class DraftRefused(Exception):
    """No setting of the chosen equipment gives a card that passes; says why, and what to choose."""


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
    *,
    members: int = MEMBERS,
    tell: Callable[[str], None] = lambda _: None,
) -> Draft:
    """The first setting that passes rules and check. Raises DraftRefused."""
    why_not = unfit(choices, book)
    if why_not is not None:
        raise DraftRefused(why_not)
    knobs: Knobs | None = first_knobs(choices, book)
    tried: set[Knobs] = set()
    missed: Missed | None = None
    while knobs is not None and knobs not in tried and len(tried) < MOST_TRIES:
        tried.add(knobs)
        text = write(method_data(choices, knobs, book))
        missed = first_missed(drafted(file, text), book, members)
        if missed is None:
            return checked(Draft(file, text, knobs), book, choices.today)
        tell(missed.message)
        knobs = turned(knobs, missed, choices, book)
    assert missed is not None
    raise DraftRefused(f"{missed.message}\n  {instead(missed.part, choices, book)}")


def checked(draft: Draft, book: Book, today: date) -> Draft:
    """The draft, where the check of the whole book has nothing to say about it. Raises DraftRefused."""
    found = findings_on(draft.file, read_with(book, draft.file, draft.text, today))
    if found:
        raise DraftRefused("\n".join(f"  {each.message}; {each.help}" for each in found))
    return draft


# --- the cook ---------------------------------------------------------------------------------------


def first_missed(method: Method, book: Book, members: int) -> Missed | None:
    """What the cook misses first, in a few cooks or in as many as the site's; None where nothing is."""
    for size, step_s in ((min(SCOUTS, members), SCOUT_STEP_S), (members, STEP_S)):
        try:
            cook = run_method(method, book, members=size, seed=SEED, step_s=step_s)
        except PhysicsInputError as error:
            return Missed(Part.PACE, str(error))
        found = sorted(all_missed(cook, method, book), key=lambda missed: list(Part).index(missed.part))
        if found:
            return found[0]
    return None


def all_missed(cook: CookResult, method: Method, book: Book) -> Iterator[Missed]:
    """Every rule the cook does not meet, and every stage that ends by the clock instead of its target."""
    for verdict in verdicts_of(cook, method, book):
        for finding in method_findings(book, method, (verdict,)):
            yield Missed(part_of(verdict), finding.message, shortfall_k(verdict))
    for remark in cook.findings:
        on_the_pit = cook.schedule.stages[remark.stage_index].kind is StageKind.COOK
        if on_the_pit and remark.members > FEW * cook.members.count:
            yield Missed(Part.PACE, remark.message)


def part_of(verdict: Verdict) -> Part:
    """The part of the cook a verdict is about."""
    if verdict.topic in (Topic.HOT_HOLD, Topic.GROWTH):
        return Part.HOLD
    return Part.CORE if verdict.topic is Topic.COOKING else Part.PACE


def shortfall_k(verdict: Verdict) -> float:
    """How far the cooler cooks stay below a limit that is a temperature; 0 for any other."""
    if verdict.unit is not Unit.CELSIUS or verdict.limit is None or verdict.low is None:
        return 0.0
    return max(0.0, verdict.limit - verdict.low)


def drafted(file: str, text: str) -> Method:
    """A draft as a method, unchecked."""
    document = read_document(draft_file(file, text))
    card = decode("method", document.data, document.origin)
    assert isinstance(card, Method)
    return card


# --- the check --------------------------------------------------------------------------------------


def read_with(book: Book, file: str, text: str, today: date) -> ReadResult:
    """The book read again with a card that is not on the disk yet."""
    return read_book(Path(book.root), today=today, drafts=[draft_file(file, text)])


def findings_on(file: str, reading: ReadResult) -> tuple[Finding, ...]:
    """What a check says of one card, notes aside."""
    return tuple(
        each for each in reading.findings if each.file == file and each.severity is not Severity.NOTE
    )


def draft_file(file: str, text: str) -> CardFile:
    """A draft as a file of the book."""
    return CardFile(file, KIND_OF_FOLDER[file.partition("/")[0]], text.encode())


def card_data(kind: str, book: Book, card: AnyCard) -> Mapping[str, Any]:
    """The data of a card of the book as it is written, quantities as texts."""
    found: Mapping[str, Any] = read_book(Path(book.root)).texts[kind, card.id]
    return found
