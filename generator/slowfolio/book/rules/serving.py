"""What a book says of its portions and prices: cuts that are there, prices that can be read."""

import re
from collections.abc import Iterator

from slowfolio.book.findings import Fault, did_you_mean, quoted
from slowfolio.book.model import BookCard
from slowfolio.book.rules.references import Known

_CURRENCY = r"(?:[A-Za-z]{1,4}|[^\W\d]?[$£€¥₩₹])"
_NUMBER = r"[0-9]{1,7}(?:\.[0-9]{1,4})?"
PRICE = re.compile(
    rf"(?:{_CURRENCY} *{_NUMBER}|{_NUMBER} *{_CURRENCY}) *(?:/|per|a) *(?:kg|g|lbs?|oz)\.?", re.IGNORECASE
)
"""A number with a currency before or after it, for a weight; the planner reads the same."""


def serving_faults(card: BookCard, known: Known) -> Iterator[Fault]:
    """Yield every cut that is not there and every price that is none."""
    known_cuts = known.get("cut", frozenset())
    for index, cut in enumerate(card.serving.cuts):
        place = ("serving", "by_cut", index)
        price = card.serving.prices.get(cut)
        if cut not in known_cuts:
            yield Fault(
                "dangling-reference",
                (*place, "cut"),
                f"there is no cut called {quoted(cut)}",
                did_you_mean(cut, sorted(known_cuts), "the cuts are"),
            )
        if cut in card.serving.cuts[:index]:
            yield Fault(
                "repeated-item",
                (*place, "cut"),
                f"{quoted(cut)} has a line already",
                "put its portion and price in one line",
            )
        elif price is not None and not PRICE.fullmatch(price):
            yield Fault(
                "bad-price",
                (*place, "price"),
                f"{quoted(price)} is no price by weight",
                'write "6.49 USD/lb", "$6.49/lb" or "12.50 EUR/kg"',
            )
