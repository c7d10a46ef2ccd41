"""Which fields of the cards behind a method differ between two books, in the cards' own words.

A method is touched where the numbers its computation depends on differ: its own card, or a pit, wrap, holder,
cut or the book it refers to. Words touch nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowfolio.book.files import BOOK_CARD
from slowfolio.book.model import Method
from slowfolio.book.rules.references import references
from slowfolio.enrich.keys import PROSE

WORDS = PROSE | {"note", "grade", "trim", "expect"}
"""Keys under which a card only tells something."""
Texts = Mapping[tuple[str, str], Any]
"""The data of every card as written, by kind and name of its file."""


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A field of a card before and after, as written; None where it is not there."""

    card: str
    field: str
    before: str | None
    after: str | None


def changes_behind(method: Method, before: Texts, after: Texts) -> tuple[FieldChange, ...]:
    """The fields that differ on a method's card and on the cards it refers to; numbers and choices only."""
    names = [("method", method.id), *dict.fromkeys((kind, name) for kind, _, name in references(method))]
    names.append(("book", Path(BOOK_CARD).stem))
    return tuple(
        change
        for kind, name in names
        for change in card_changes(label(kind, name), before.get((kind, name)), after.get((kind, name)))
    )


def label(kind: str, name: str) -> str:
    """A card in a sentence."""
    return "book" if kind == "book" else f"{kind} {name}"


def card_changes(card: str, before: Any, after: Any) -> Iterator[FieldChange]:
    """The fields of one card that differ, words left out."""
    old, new = dict(leaves(before)), dict(leaves(after))
    for field in dict.fromkeys((*old, *new)):
        if old.get(field) != new.get(field):
            yield FieldChange(card, field, old.get(field), new.get(field))


def leaves(data: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value of a card that is no mere words, with its path: "stages 1, pit_temperature"."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key not in WORDS:
                yield from leaves(value, f"{path}.{key}" if path else str(key))
    elif isinstance(data, list):
        for number, value in enumerate(data, 1):
            yield from leaves(value, f"{path}[{number}]")
    elif data is not None:
        yield path, str(data)
