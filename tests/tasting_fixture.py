"""Tastings for the tests of the site: the starter book's invented ones, of the invented book's methods."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

from slowfolio.book.model import Book
from slowfolio.book.single import read_tasting
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.tasting_analysis import analyse
from slowfolio.enrich.tasting_results import TastingResult

CARDS = Path(__file__).parents[1] / "methods" / "tastings"
PLANNED = "planned"
LOOKS = ("boat-or-foil-scored", "boat-or-paper-triangle", "three-wraps-in-order")
OTHER = "paper"
BOAT = "boat"


@cache
def tastings() -> Mapping[str, Tasting]:
    """The starter book's tastings with the boat against another method, and one that is planned only."""
    found = {}
    for path in sorted(CARDS.glob("*.yaml")):
        card = read_tasting(path)
        products = tuple(
            replace(one, method=BOAT if one.method.startswith("foil-boat") else OTHER)
            for one in card.products
        )
        origin = replace(card.origin, file=f"tastings/{path.name}")
        found[card.id] = replace(card, origin=origin, products=products)
    planned = replace(found["boat-or-paper-triangle"], id=PLANNED, sheets=(), invented=False)
    return {**found, PLANNED: planned}


@cache
def results() -> Mapping[str, TastingResult]:
    """The analyses of those that `with_tastings` puts in a book."""
    return {name: analyse(card) for name, card in tastings().items() if name in LOOKS}


def with_tastings(book: Book) -> Book:
    """The book with a few of the tastings in it, one of each look."""
    return replace(book, tastings={name: tastings()[name] for name in (*LOOKS, PLANNED)})
