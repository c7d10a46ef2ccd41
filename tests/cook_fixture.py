"""Ensembles carried by the methods of the invented book, cooked by the engine with few members."""

from functools import cache

import hold_fixture
from slowfolio.forecast.carried import Carried
from slowfolio.forecast.carry import carry

MEMBERS, SEED = 48, 7
METHODS = ("boat", "paper")
"""The other methods of the invented book carry none, as a book that was not computed."""


@cache
def carried() -> dict[str, Carried]:
    """The ensembles by method."""
    book = hold_fixture.book()
    return {name: carry(book.methods[name], book, members=MEMBERS, seed=SEED) for name in METHODS}
