"""Two states of a book side by side: what each is, and which methods differ.

Nothing is computed here. `computed` finds the outcomes, `compare` brings both together.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from slowfolio.book.model import Book, Method, Status
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.changes.cards import FieldChange, Texts, changes_behind
from slowfolio.changes.programs import Program
from slowfolio.enrich.cache import content_key
from slowfolio.enrich.keys import result_key
from slowfolio.enrich.pipeline import SEED


class Change(StrEnum):
    """What happened to a method between two states of its book."""

    TOUCHED = "touched"
    ADDED = "added"
    REMOVED = "removed"
    WITHDRAWN = "withdrawn"
    BROKEN = "no longer passes the check"
    MENDED = "passes the check again"


@dataclass(frozen=True, slots=True)
class Side:
    """One state of a book: what it is called, where it lies, the reading of it, the program it came with."""

    name: str
    root: Path
    reading: ReadResult
    program: Program | None = None

    @property
    def texts(self) -> Texts:
        """The cards as written, by kind and file name."""
        return self.reading.texts

    @property
    def methods(self) -> Mapping[str, Method]:
        """The good methods that are not withdrawn."""
        if self.reading.book is None:
            return {}
        methods = self.reading.book.methods
        return {name: each for name, each in methods.items() if each.status is not Status.WITHDRAWN}

    @property
    def book(self) -> Book:
        """The book, where it has one."""
        assert self.reading.book is not None
        return self.reading.book


def read_side(name: str, root: Path, *, base: Path | None = None) -> Side:
    """A state of a book, read and checked by this copy's schemas, on another base where one is given."""
    return Side(name, root, read_book(root, base=base))


def kind_of(name: str, before: Side, after: Side, members: int) -> Change | None:
    """What happened to a method; None where nothing its computation reads is different."""
    old, new = before.methods.get(name), after.methods.get(name)
    if old is not None and new is not None:
        same = dependence(old, before.book, members) == dependence(new, after.book, members)
        return None if same else Change.TOUCHED
    there = ("method", name)
    if new is None and old is not None:
        if after.reading.book is not None and name in after.book.methods:
            return Change.WITHDRAWN
        return Change.BROKEN if there in after.texts else Change.REMOVED
    if new is not None:
        return Change.MENDED if there in before.texts else Change.ADDED
    return None


def dependence(method: Method, book: Book, members: int) -> str:
    """Hash of all the compared outcome of a method depends on."""
    bark = method.expected.get("bark")
    wanted = bark.level if bark is not None and method.hold is not None else ""
    return content_key(result_key(method, book, members=members, seed=SEED), wanted)


def through_of(name: str, before: Side, after: Side) -> tuple[FieldChange, ...]:
    """The fields through which a method is touched, on its own card and on those it refers to."""
    found = (
        each
        for side in (before, after)
        for each in changes_behind(side.methods[name], before.texts, after.texts)
    )
    return tuple(dict.fromkeys(found))


def names_of(before: Side, after: Side) -> list[str]:
    """Every method that is good on either side."""
    return list(dict.fromkeys((*before.methods, *after.methods)))
