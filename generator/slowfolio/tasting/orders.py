"""Balanced serving orders: who tastes what, and after what.

Williams squares for panels that taste everything, balanced incomplete blocks where there are more products
than a palate should meet, and the fixed patterns of the right-or-wrong tests. Products are numbers from 0
here; `plan` gives them names and codes.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, permutations, product

from slowfolio.tasting.errors import TastingInputError, require_count
from slowfolio.tasting.lots import Lots
from slowfolio.tasting.protocols import Protocol

MOST_PRODUCTS = 12
"""More products than a side-by-side tasting has (CALIBRATED)."""

MOST_BLOCKS = 500
"""Most blocks a design may have before it is refused as too large for any panel (CALIBRATED)."""

Order = tuple[int, ...]

_DUO_TRIO = ((0, 0, 1), (0, 1, 0), (1, 0, 1), (1, 1, 0))

PATTERNS: dict[Protocol, tuple[Order, ...]] = {
    Protocol.TRIANGLE: ((0, 0, 1), (0, 1, 0), (1, 0, 0), (1, 1, 0), (1, 0, 1), (0, 1, 1)),
    Protocol.DUO_TRIO: _DUO_TRIO,
    Protocol.PAIRED_COMPARISON: ((0, 1), (1, 0)),
    Protocol.THREE_CHOICE: ((0, 0, 1), (0, 1, 0), (1, 0, 0)),
    Protocol.TETRAD: tuple(sorted(set(permutations((0, 0, 1, 1))))),
    Protocol.DOUBLE_DUO_TRIO: tuple(a + b for a, b in product(_DUO_TRIO, _DUO_TRIO)),
}
"""Serving patterns, each to be used equally often.

In a duo-trio the first piece is the reference. In the three-alternative choice product 1 is the one
expected to have more. Source: ISO 4120 and 10399 (MEMORY); the others are all distinct
orders (COMPUTED).
"""


@dataclass(frozen=True, slots=True)
class Balance:
    """How even a set of orders is: fewest and most of three counts.

    `places`: how often a product stands in a place; `follows`: how often it comes right after another;
    `meetings`: how often two products meet in one taster's set.
    """

    places: tuple[int, int]
    follows: tuple[int, int]
    meetings: tuple[int, int]

    @property
    def even(self) -> bool:
        """Whether all three counts are the same for every product."""
        return all(low == high for low, high in (self.places, self.follows, self.meetings))


def williams_orders(products: int) -> tuple[Order, ...]:
    """Return a Williams design: `products` orders if even, twice as many if odd.

    Each product stands in each place equally often and comes right after each other equally often.

    Source: Williams (1949), Australian Journal of Scientific Research A2 (MEMORY): 0, 1, k-1, 2, k-2, ...
    shifted round, with the mirrored square added for odd k.
    """
    count = require_count("the number of products", products, low=2, high=MOST_PRODUCTS)
    first = [0]
    for step in range(1, count):
        first.append((step + 1) // 2 if step % 2 else count - step // 2)
    square = [tuple((item + shift) % count for item in first) for shift in range(count)]
    mirrored = [order[::-1] for order in square] if count % 2 else []
    return tuple(square + mirrored)


def complete_orders(products: int, tasters: int, lots: Lots) -> tuple[Order, ...]:
    """Return one order of all products for each taster, from Williams designs with names drawn by lot.

    A number of tasters that does not fill whole designs gets the leftover orders that unbalance least.
    """
    square = williams_orders(products)
    return _dealt(square, require_count("tasters", tasters, low=1), products, lots)


def incomplete_blocks(products: int, pieces: int) -> tuple[Order, ...]:
    """Return balanced incomplete blocks: `pieces` of the products each, every two meeting equally often.

    One or two base blocks shifted round, if need be with one product that stays put (Bose 1939, MEMORY), and
    otherwise all combinations. Shifted blocks put every product in every place equally often; the others are
    turned so that places come out as even as they can.
    """
    count = require_count("the number of products", products, low=3, high=MOST_PRODUCTS)
    require_count("pieces for each taster", pieces, low=2, high=count - 1)
    shifted = _shifted_blocks(count, pieces)
    if shifted:
        return shifted
    blocks = _blocks_around_one(count, pieces) or tuple(combinations(range(count), pieces))
    if len(blocks) > MOST_BLOCKS:
        raise TastingInputError(
            f"no balanced sets of {pieces} of {count} products below {MOST_BLOCKS} tasters: serve one more "
            "or one fewer to each taster, or compare fewer products"
        )
    return _turned(blocks)


def partial_orders(products: int, pieces: int, tasters: int, lots: Lots) -> tuple[Order, ...]:
    """Return `pieces` of the products for each taster from balanced incomplete blocks, names drawn by lot.

    Raises TastingInputError when so few tasters leave products that nobody can compare.
    """
    blocks = incomplete_blocks(products, pieces)
    dealt = _dealt(blocks, require_count("tasters", tasters, low=1), products, lots)
    if not _connected(dealt, products):
        raise TastingInputError(
            f"{tasters} tasters with {pieces} of {products} products leave some that never meet: use at "
            f"least {math.ceil((products - 1) / (pieces - 1))} tasters and best a multiple of {len(blocks)}"
        )
    return dealt


def pattern_orders(protocol: Protocol, tasters: int, lots: Lots) -> tuple[Order, ...]:
    """Return a serving pattern for each taster, every pattern equally often as far as the number allows."""
    patterns = PATTERNS[protocol]
    require_count("tasters", tasters, low=1)
    dealt: list[Order] = []
    while len(dealt) < tasters:
        dealt += lots.shuffled(patterns)
    return tuple(lots.shuffled(dealt[:tasters]))


def cycle_length(orders: Sequence[Order]) -> int:
    """Return the number of tasters that uses every order once: plan for a multiple of it."""
    return len(orders)


def balance_of(orders: Sequence[Order], products: int) -> Balance:
    """Return how even the orders are over all products, places and pairs."""
    places = Counter((place, item) for order in orders for place, item in enumerate(order))
    follows = Counter(step for order in orders for step in pairwise(order))
    meetings = Counter(frozenset(pair) for order in orders for pair in combinations(sorted(set(order)), 2))
    length = max(len(order) for order in orders)
    return Balance(
        _extremes([places[place, item] for place in range(length) for item in range(products)]),
        _extremes([follows[pair] for pair in permutations(range(products), 2)]),
        _extremes([meetings[frozenset(pair)] for pair in combinations(range(products), 2)]),
    )


def _extremes(counts: Sequence[int]) -> tuple[int, int]:
    return min(counts), max(counts)


def _differences(bases: Sequence[Order], modulus: int) -> set[int]:
    # How often each step round the circle separates two items of a base block.
    steps = Counter((a - b) % modulus for base in bases for a, b in permutations(base, 2))
    return {steps[step] for step in range(1, modulus)}


def _shifted_blocks(count: int, pieces: int) -> tuple[Order, ...]:
    starts = [(0, *rest) for rest in combinations(range(1, count), pieces - 1)]
    for number in (1, 2):
        for bases in combinations(starts, number):
            if len(_differences(bases, count)) == 1:
                return tuple(
                    tuple((item + shift) % count for item in base) for base in bases for shift in range(count)
                )
    return ()


def _blocks_around_one(count: int, pieces: int) -> tuple[Order, ...]:
    # The last product stays put in one base block; it then meets every other pieces - 1 times.
    circle = count - 1
    with_one = [(0, *rest) for rest in combinations(range(1, circle), pieces - 2)]
    without = [(0, *rest) for rest in combinations(range(1, circle), pieces - 1)]
    for inner, outer in product(with_one, without):
        if _differences((inner, outer), circle) == {pieces - 1}:
            return tuple(
                block
                for shift in range(circle)
                for block in (
                    (*((item + shift) % circle for item in inner), circle),
                    tuple((item + shift) % circle for item in outer),
                )
            )
    return ()


def _arrangements(block: Order) -> list[Order]:
    if len(block) <= 5:
        return list(permutations(block))
    return [block[turn:] + block[:turn] for turn in range(len(block))]


def _turned(blocks: Sequence[Order]) -> tuple[Order, ...]:
    places: Counter[tuple[int, int]] = Counter()
    turned = []
    for block in blocks:
        best = min(
            _arrangements(block),
            key=lambda order: sum(places[place, item] for place, item in enumerate(order)),
        )
        places.update(enumerate(best))
        turned.append(best)
    return tuple(turned)


def _dealt(design: Sequence[Order], tasters: int, products: int, lots: Lots) -> tuple[Order, ...]:
    dealt: list[Order] = []
    while tasters - len(dealt) >= len(design):
        dealt += _renamed(design, products, lots)
    left = _renamed(design, products, lots)
    while len(dealt) < tasters:
        best = min(range(len(left)), key=lambda i: _unevenness([*dealt, left[i]], products))
        dealt.append(left.pop(best))
    return tuple(lots.shuffled(dealt))


def _renamed(design: Sequence[Order], products: int, lots: Lots) -> list[Order]:
    names = lots.shuffled(range(products))
    return lots.shuffled([tuple(names[item] for item in order) for order in design])


def _unevenness(orders: Sequence[Order], products: int) -> tuple[int, int, int]:
    found = balance_of(orders, products)
    gaps = [high - low for low, high in (found.meetings, found.places, found.follows)]
    return gaps[0], gaps[1], gaps[2]


def _connected(orders: Sequence[Order], products: int) -> bool:
    reached = {0}
    for _ in range(products):
        for order in orders:
            if reached & set(order):
                reached |= set(order)
    return len(reached) == products
