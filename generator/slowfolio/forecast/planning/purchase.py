"""What to buy for a service, with prices where they are given, and what a portion then costs.

A list of lines and their sum; amounts of seasoning stay the card's own words. Called by `assemble`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from slowfolio.book import model as cards
from slowfolio.forecast.planning.portions import Portions
from slowfolio.forecast.planning.prices import Extra, Price, cents, one_currency


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to buy. `each_kg` and `total_kg` are None for what is not weighed."""

    item: str
    what: str
    pieces: int
    each_kg: float | None = None
    total_kg: float | None = None
    amount: str = ""
    price: str = ""
    cost: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """The list; `total` is None where nothing has a price, `unpriced` names what then is not in it.

    `per_portion` is the total over the `portions` of the dishes whose meat has a price.
    """

    lines: tuple[Line, ...]
    currency: str
    total: Decimal | None
    per_portion: Decimal | None
    portions: int
    unpriced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Dish:
    """One item as bought: its name, its cards, its portions and the price of its meat."""

    name: str
    method: cards.Method
    book: cards.Book
    portions: Portions
    price: Price | None


def purchase_of(dishes: Sequence[Dish], extras: Sequence[Extra]) -> Purchase:
    """Meat, seasoning and wraps of all dishes, then the extras."""
    prices = [dish.price for dish in dishes if dish.price] + [extra.price for extra in extras]
    lines = [line for dish in dishes for line in lines_of(dish)]
    lines += [Line("", extra.name, 1, price=extra.price.text, cost=extra.price.cost(0.0)) for extra in extras]
    costs = [line.cost for line in lines if line.cost is not None]
    total = sum(costs, Decimal(0)) if costs else None
    priced = [dish.portions for dish in dishes if dish.price is not None]
    count = sum(portions.guests or portions.feeds for portions in priced)
    unpriced = (line.what for line in lines if line.cost is None)
    return Purchase(
        lines=tuple(lines),
        currency=one_currency(prices),
        total=total,
        per_portion=cents(total / count) if total is not None and count else None,
        portions=count,
        unpriced=tuple(dict.fromkeys(unpriced)) if costs else (),
    )


def lines_of(dish: Dish) -> list[Line]:
    """The meat, each seasoning by the piece, and the wraps."""
    portions = dish.portions
    meat = Line(
        item=dish.name,
        what=dish.book.cuts[dish.method.cut].title,
        pieces=portions.pieces,
        each_kg=portions.bought_piece_kg,
        total_kg=portions.bought_kg,
        price=dish.price.text if dish.price else "",
        cost=dish.price.cost(portions.bought_kg) if dish.price else None,
    )
    seasoning = [
        Line(dish.name, part.item, portions.pieces, amount=part.amount) for part in dish.method.seasoning
    ]
    wrapped = [Line(dish.name, title, portions.pieces) for title in wrap_titles(dish.method, dish.book)]
    return [meat, *seasoning, *wrapped]


def wrap_titles(method: cards.Method, book: cards.Book) -> tuple[str, ...]:
    """What the pieces are wrapped in, on the pit and in the hold, each once."""
    wraps = {stage.wrap for stage in method.stages}
    if method.hold is not None:
        wraps.add(method.hold.wrap)
    kinds = (book.wraps[name] for name in sorted(wraps))
    return tuple(wrap.title for wrap in kinds if wrap.kind != "none")
