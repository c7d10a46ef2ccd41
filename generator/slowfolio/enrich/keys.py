"""What a computed result depends on, as the key it is kept under.

A key is made of the numbers of a method and of every card it refers to, the book's place and authority, and
the versions of the package and the engine. Words are left out: editing a sentence computes nothing.
"""

from dataclasses import fields, is_dataclass, replace
from typing import Any

from slowfolio import __version__
from slowfolio.book.model import Book, Method
from slowfolio.enrich.cache import content_key
from slowfolio.physics import ENGINE_VERSION

PROSE = frozenset(
    {
        "also_called",
        "allergens",
        "cautions",
        "choose_when",
        "expected",
        "fuel",
        "handling",
        "how_to",
        "look_for",
        "origin",
        "owner",
        "provenance",
        "reasons",
        "review_by",
        "reviewed",
        "revision",
        "seasoning",
        "set_up",
        "source",
        "sources",
        "status",
        "summary",
        "title",
        "waiver",
        "where",
        "where_to_probe",
        "why",
    }
)
"""Fields no computation reads. All else on a card, with what is added later, is part of the key."""


def result_key(method: Method, book: Book, *, members: int, seed: int) -> str:
    """Hash of all the cook of a method depends on."""
    return content_key("result with plan", *cook_parts(method, book), members, seed)


def without_plan_key(key: str) -> str:
    """The key of the same cook without what the Plan page needs, which nobody who only compares waits for."""
    return content_key("without plan", key)


def carried_key(method: Method, book: Book, *, members: int, seed: int) -> str:
    """Hash of all the ensemble a page carries depends on; its hold is left out, being no part of it."""
    return content_key("carried", *cook_parts(replace(method, hold=None), book), members, seed)


def table_key(method: Method, book: Book, *, members: int, seed: int) -> str:
    """Hash of all a method's hold table depends on: its cook, and the wraps it may be held in."""
    wraps = [numbers_of(wrap) for _, wrap in sorted(book.wraps.items())]
    return content_key("hold table to 85", *cook_parts(method, book), wraps, members, seed)


def holds_key(method: Method, book: Book, *, members: int, seed: int) -> str:
    """Hash of all the advice for a method depends on: its table, every holder, the bark that is wanted."""
    holders = [numbers_of(holder) for _, holder in sorted(book.holders.items())]
    bark = method.expected.get("bark")
    wanted = "" if bark is None else bark.level
    table = table_key(method, book, members=members, seed=seed)
    return content_key("holds within the floor with boxes", table, holders, wanted)


def cook_parts(method: Method, book: Book) -> tuple[Any, ...]:
    """The numbers of a method, of the cards it refers to and of the place, and the versions."""
    pits = {method.pit} | {stage.pit for stage in method.stages if stage.pit}
    wraps = {stage.wrap for stage in method.stages}
    if method.vent is not None:
        wraps.add(method.vent.wrap)
    holders = set()
    if method.hold is not None:
        wraps.add(method.hold.wrap)
        holders.add(method.hold.holder)
    card = book.card
    return (
        __version__,
        ENGINE_VERSION,
        numbers_of(method),
        numbers_of(book.cuts[method.cut]),
        [numbers_of(book.pits[name]) for name in sorted(pits)],
        [numbers_of(book.wraps[name]) for name in sorted(wraps)],
        [numbers_of(book.holders[name]) for name in sorted(holders)],
        [card.altitude_m, card.room_temp_c, card.room_humidity],
        [card.authority, numbers_of(card.house_limits)],
    )


def numbers_of(card: Any) -> Any:
    """A card as plain data without the fields named in `PROSE`."""
    if is_dataclass(card):
        names = (field.name for field in fields(card) if field.name not in PROSE)
        return {name: numbers_of(getattr(card, name)) for name in names}
    if isinstance(card, tuple):
        return [numbers_of(item) for item in card]
    return card
