"""One small carried ensemble of the starter book, cooked once for all tests that need one."""

from functools import cache
from pathlib import Path

from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.forecast.carried import Carried, Ensemble, decode
from slowfolio.forecast.carry import carry

METHOD = "foil-boat-humid-hold"
MEMBERS, SEED = 64, 3


@cache
def book() -> Book:
    """The starter book."""
    whole = read_book(Path(__file__).parents[1] / "methods").book
    assert whole is not None
    return whole


@cache
def carried() -> Carried:
    """The ensemble of `METHOD` with few members."""
    return carry(book().methods[METHOD], book(), members=MEMBERS, seed=SEED)


@cache
def ensemble() -> Ensemble:
    """The same, opened."""
    return decode(carried())
