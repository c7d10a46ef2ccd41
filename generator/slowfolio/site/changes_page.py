"""The page What changed: reviews that are due, house standards and what they rest on, the latest changes.

All of it comes from the cards and from `slowfolio.changes`; `changes.html` lays it out. The day is given,
so that the page is the same for the same inputs.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from slowfolio.book.model import Book, Method, Status
from slowfolio.changes.feed import anchor, summary
from slowfolio.changes.history import History, Recorded
from slowfolio.changes.words import field_words
from slowfolio.enrich.evidence import evidence_grade
from slowfolio.enrich.tasting_results import TastingResult
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.units import System

CHANGES, FEED = "changes.md", "changes.xml"
SOON_DAYS = 30
SHOWN_METHODS, SHOWN_FIELDS = 6, 3


@dataclass(frozen=True, slots=True)
class ReviewRow:
    """A method whose review is overdue or due soon."""

    method: Link
    owner: str
    reviewed: str
    due: str
    words: str


@dataclass(frozen=True, slots=True)
class StandardRow:
    """A house standard, its revision, and what it rests on."""

    method: Link
    owner: str
    revision: int
    evidence: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """One recorded change: when, in which words, and what it does."""

    anchor: str
    day: str
    subject: str
    lines: tuple[str, ...]
    fields: tuple[str, ...]
    command: str


@dataclass(frozen=True, slots=True)
class ChangesPage:
    """The whole page."""

    feed_href: str
    reviews: tuple[ReviewRow, ...]
    standards: tuple[StandardRow, ...]
    changes: tuple[ChangeRow, ...]
    missing: str
    layers: str


def changes_page(
    book: Book, tastings: Mapping[str, TastingResult], history: History, today: date, links: Links
) -> ChangesPage:
    """The page of a book on a day."""
    system = book.card.units_first
    return ChangesPage(
        feed_href=FEED,
        reviews=tuple(review_rows(book, today, links)),
        standards=tuple(standard_rows(book, tastings, links)),
        changes=tuple(change_row(each, system) for each in history.changes),
        missing=history.missing,
        layers=layers_words(book),
    )


def review_rows(book: Book, today: date, links: Links) -> list[ReviewRow]:
    """Methods whose review is overdue or due within the month, the most overdue first."""
    due = [
        method
        for method in book.methods.values()
        if method.status is not Status.WITHDRAWN and (method.review_by - today).days <= SOON_DAYS
    ]
    return [
        ReviewRow(
            method=link_to(method, links),
            owner=method.owner,
            reviewed=method.reviewed.isoformat(),
            due=method.review_by.isoformat(),
            words=due_words((method.review_by - today).days),
        )
        for method in sorted(due, key=lambda method: (method.review_by, method.id))
    ]


def due_words(days: int) -> str:
    """How a review stands: days from now to the day it is due."""
    if days < 0:
        return f"overdue by {-days} day{'' if days == -1 else 's'}"
    return "due today" if days == 0 else f"due in {days} day{'' if days == 1 else 's'}"


def standard_rows(book: Book, tastings: Mapping[str, TastingResult], links: Links) -> list[StandardRow]:
    """The house standards and what each rests on: tastings, or the waiver on its card."""
    rows = []
    for method in book.methods.values():
        if method.status is Status.HOUSE_STANDARD:
            grade = evidence_grade(method.id, book, tastings)
            words = f"Tasted, grade: {grade.value}" if grade is not None else "No tasting settled anything"
            if method.waiver:
                words += f". Waived: {method.waiver.rstrip('.')}"
            rows.append(StandardRow(link_to(method, links), method.owner, method.revision, words))
    return rows


def change_row(change: Recorded, system: System) -> ChangeRow:
    """One recorded change."""
    lines = summary(change, system)
    pending = any(each.change == "touched" and each.method not in change.effects for each in change.methods)
    fields = dict.fromkeys(field_words(field) for each in change.methods for field in each.through)
    return ChangeRow(
        anchor=anchor(change),
        day=change.when.date().isoformat(),
        subject=change.subject,
        lines=shortened(lines, SHOWN_METHODS) if change.parent else ("The book as it was first recorded.",),
        fields=shortened(list(fields), SHOWN_FIELDS),
        command=change.command if pending else "",
    )


def shortened(lines: list[str], most: int) -> tuple[str, ...]:
    """As many lines as a reader takes in, and how many more there are."""
    return tuple(lines) if len(lines) <= most else (*lines[:most], f"and {len(lines) - most} more")


def layers_words(book: Book) -> str:
    """In a book on top of another, how many of its cards are whose."""
    if book.card.base is None:
        return ""
    shelves = (book.methods, book.cuts, book.pits, book.wraps, book.holders)
    layers = [card.origin.layer for shelf in shelves for card in shelf.values()]
    counts = ", ".join(f"{layers.count(layer)} {layer.value}" for layer in dict.fromkeys(sorted(layers)))
    return f"This book stands on another ({book.card.base.book}). Of its cards {counts}."


def link_to(method: Method, links: Links) -> Link:
    """A link from this page to a method."""
    return Link(method.title, links.href(CHANGES, card_uri("methods", method.id)))
