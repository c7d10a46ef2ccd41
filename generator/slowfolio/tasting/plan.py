"""A whole tasting laid out from a question and a seed: test, tasters, orders, codes, pauses.

The same inputs give the same plan everywhere. Carving is in `carving`, printing nobody's business here.
Called by the command line and by the pages.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from slowfolio.tasting.binomial import SampleSize
from slowfolio.tasting.carving import Serving
from slowfolio.tasting.codes import blind_codes
from slowfolio.tasting.discrimination import (
    ALPHA,
    POWER,
    difference_power,
    similarity_power,
    tasters_for_difference,
    tasters_for_similarity,
)
from slowfolio.tasting.dprime import d_prime_of_telling
from slowfolio.tasting.errors import TastingInputError, require_count, require_inside
from slowfolio.tasting.lots import Lots
from slowfolio.tasting.orders import (
    PATTERNS,
    Balance,
    Order,
    balance_of,
    complete_orders,
    incomplete_blocks,
    partial_orders,
    pattern_orders,
    williams_orders,
)
from slowfolio.tasting.panel_size import (
    preference_power,
    ranking_power,
    score_power,
    tasters_for_preference,
    tasters_for_ranking,
    tasters_for_scores,
)
from slowfolio.tasting.protocols import Protocol
from slowfolio.tasting.question import Choice, Kind, Question

PAUSE_S = 60.0
"""Between two pieces: rinse, cracker, wait (common practice, no source)."""

REST_S = 600.0
"""Between two sets of pieces (common practice, no source)."""

PIECES_BEFORE_REST = 4
"""Pieces of fatty smoked meat before a longer rest (common practice, no source)."""

TASTING_S = 45.0
"""To taste a piece and write (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Effect:
    """The smallest difference worth knowing, named before the tasting; the kind decides which number is read.

    `telling`: share of eaters who can tell (right-or-wrong tests; for "unnoticed", the share that would
    matter). `preferring`: share of those with a view who prefer one. `score` and `score_spread`: difference
    in points and standard deviation of tasters' differences. `d_prime`: distance from the first to the last
    ranked.
    """

    telling: float = 0.4
    preferring: float = 0.7
    score: float = 1.0
    score_spread: float = 2.0
    d_prime: float = 1.5


DIFFERENCE, SWAP = Effect(), Effect(telling=0.3)
"""Differences looked for where the cook names none (CALIBRATED): a large one (over 35 % can tell) to call
products different, a medium one (25 to 35 %) to call them alike; the bounds are ISO 4120's guidance
(MEMORY)."""


def default_effect(question: Question) -> Effect:
    """Return the difference looked for where the cook names none."""
    return SWAP if question is Question.SWAP else DIFFERENCE


@dataclass(frozen=True, slots=True)
class Size:
    """The panel a plan needs: `needed` by statistics, `advised` rounded up to whole rounds of serving
    orders."""

    needed: SampleSize
    round_of: int
    advised: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """How one taster's sitting runs."""

    pieces: int
    pause_s: float
    rests: int
    rest_s: float
    duration_s: float


@dataclass(frozen=True, slots=True)
class TastingPlan:
    """A tasting ready to be carved and served.

    `power` is the chance to find `effect` with `tasters`; `balance` says how even the orders are. `notes`
    say in plain words what is not as it should be.
    """

    choice: Choice
    products: tuple[str, ...]
    effect: Effect
    alpha: float
    tasters: int
    power: float
    size: Size
    servings: tuple[Serving, ...]
    balance: Balance
    sitting: Sitting
    seed: int
    notes: tuple[str, ...]


def panel_size(choice: Choice, effect: Effect, *, alpha: float = ALPHA, power: float = POWER) -> Size:
    """Return how many tasters a choice needs to find an effect."""
    needed = _needed(choice, effect, alpha, power)
    whole = _round_of(choice)
    return Size(needed, whole, math.ceil(needed.stable / whole) * whole)


def power_of(choice: Choice, tasters: int, effect: Effect, *, alpha: float = ALPHA) -> float:
    """Return the chance that `tasters` find an effect."""
    match choice.kind:
        case Kind.RIGHT_OR_WRONG:
            protocol = _protocol(choice)
            if choice.question is Question.SWAP:
                return similarity_power(protocol, tasters, limit=effect.telling, alpha=alpha)
            return difference_power(
                protocol, tasters, telling=effect.telling, alpha=alpha, sides=choice.sides
            )
        case Kind.PREFERENCE:
            return preference_power(tasters, share=effect.preferring, alpha=alpha)
        case Kind.PREFERENCE_PAIRS:
            pairs = math.comb(choice.products, 2)
            views = tasters // pairs
            return preference_power(views, share=effect.preferring, alpha=alpha / pairs) if views else 0.0
        case Kind.RANKING:
            return ranking_power(
                max(tasters, 2), products=choice.products, d_prime=effect.d_prime, alpha=alpha
            )
        case Kind.SCORES:
            together = _score_views(choice, tasters)
            pairs = math.comb(choice.products, 2)
            return score_power(
                max(together, 2), difference=effect.score, spread=effect.score_spread, alpha=alpha / pairs
            )


def lay_out(
    choice: Choice,
    products: Sequence[str],
    tasters: int,
    *,
    seed: int,
    effect: Effect | None = None,
    alpha: float = ALPHA,
    avoid_codes: Iterable[int] = (),
) -> TastingPlan:
    """Return a plan for a chosen tasting of named products.

    In a one-sided paired comparison the last product is the one expected to have more.
    `avoid_codes` are numbers that mean something here, such as set temperatures.
    """
    require_inside("alpha", alpha)
    require_count("tasters", tasters, low=1, high=500)
    if len(products) != choice.products:
        raise TastingInputError(f"the test is for {choice.products} products but {len(products)} are named")
    if len(set(products)) < len(products) or not all(name.strip() for name in products):
        raise TastingInputError("name each product once, and none with an empty name")
    wanted = effect or default_effect(choice.question)
    lots = Lots(seed)
    orders = _orders(choice, tasters, lots)
    codes = iter(blind_codes(sum(len(order) for order in orders), lots, avoid=avoid_codes))
    servings = tuple(
        Serving(taster, place, products[item], next(codes))
        for taster, order in enumerate(orders, start=1)
        for place, item in enumerate(order, start=1)
    )
    size = panel_size(choice, wanted, alpha=alpha)
    power = power_of(choice, tasters, wanted, alpha=alpha)
    return TastingPlan(
        choice=choice,
        products=tuple(products),
        effect=wanted,
        alpha=alpha,
        tasters=tasters,
        power=power,
        size=size,
        servings=servings,
        balance=balance_of(orders, choice.products),
        sitting=sitting_of(choice.pieces),
        seed=seed,
        notes=_notes(tasters, power, size),
    )


def sitting_of(pieces: int) -> Sitting:
    """Return the pauses of one taster's sitting and how long it takes."""
    require_count("pieces", pieces, low=1, high=24)
    rests = (pieces - 1) // PIECES_BEFORE_REST
    pauses = pieces - 1 - rests
    return Sitting(pieces, PAUSE_S, rests, REST_S, pieces * TASTING_S + pauses * PAUSE_S + rests * REST_S)


def _needed(choice: Choice, effect: Effect, alpha: float, power: float) -> SampleSize:
    match choice.kind:
        case Kind.RIGHT_OR_WRONG:
            protocol = _protocol(choice)
            if choice.question is Question.SWAP:
                return tasters_for_similarity(protocol, limit=effect.telling, alpha=alpha, power=power)
            return tasters_for_difference(
                protocol, telling=effect.telling, alpha=alpha, power=power, sides=choice.sides
            )
        case Kind.PREFERENCE:
            return tasters_for_preference(share=effect.preferring, alpha=alpha, power=power)
        case Kind.PREFERENCE_PAIRS:
            pairs = math.comb(choice.products, 2)
            each = tasters_for_preference(share=effect.preferring, alpha=alpha / pairs, power=power)
            return SampleSize(each.first * pairs, each.stable * pairs)
        case Kind.RANKING:
            return tasters_for_ranking(
                products=choice.products, d_prime=effect.d_prime, alpha=alpha, power=power
            )
        case Kind.SCORES:
            pairs = math.comb(choice.products, 2)
            each = tasters_for_scores(
                difference=effect.score, spread=effect.score_spread, alpha=alpha / pairs, power=power
            )
            share = _score_views(choice, 1000) / 1000
            return SampleSize(math.ceil(each.first / share), math.ceil(each.stable / share))


def _protocol(choice: Choice) -> Protocol:
    if choice.protocol is None:
        raise TastingInputError("a right-or-wrong tasting needs its protocol: make the choice with choose()")
    return choice.protocol


def _score_views(choice: Choice, tasters: int) -> int:
    # Tasters who meet a given pair: all of them, or the share that balanced blocks give.
    meet = choice.pieces * (choice.pieces - 1) / (choice.products * (choice.products - 1))
    return math.floor(tasters * meet + 1e-9)


def _round_of(choice: Choice) -> int:
    if choice.protocol is not None:
        return len(PATTERNS[choice.protocol])
    if choice.kind is Kind.PREFERENCE_PAIRS:
        return choice.products * (choice.products - 1)
    if choice.pieces < choice.products:
        return len(incomplete_blocks(choice.products, choice.pieces))
    return len(williams_orders(choice.products))


def _orders(choice: Choice, tasters: int, lots: Lots) -> tuple[Order, ...]:
    if choice.protocol is not None:
        return pattern_orders(choice.protocol, tasters, lots)
    if choice.kind is Kind.PREFERENCE_PAIRS:
        pairs = [(a, b) for a, b in combinations(range(choice.products), 2)]
        both = pairs + [(b, a) for a, b in pairs]
        dealt: list[Order] = []
        while len(dealt) < tasters:
            dealt += lots.shuffled(both)
        return tuple(dealt[:tasters])
    if choice.pieces < choice.products:
        return partial_orders(choice.products, choice.pieces, tasters, lots)
    return complete_orders(choice.products, tasters, lots)


def _notes(tasters: int, power: float, size: Size) -> tuple[str, ...]:
    notes = []
    if power < POWER:
        notes.append(
            f"{tasters} tasters would find a difference of the size named only {round(100 * power)} times in "
            f"100; {size.advised} would find it at least {round(100 * POWER)} times in 100"
        )
    if tasters % size.round_of:
        up = math.ceil(tasters / size.round_of) * size.round_of
        notes.append(
            f"{tasters} tasters do not use every serving order equally often: {up} would, being a multiple "
            f"of {size.round_of}"
        )
    return tuple(notes)


def d_prime_named(choice: Choice, effect: Effect) -> float | None:
    """Return the d-prime that the share of tellers in an effect stands for, for right-or-wrong tests.

    The same share of tellers is a different d-prime in each protocol; a triangle needs a larger one than a
    tetrad.
    """
    return None if choice.protocol is None else d_prime_of_telling(choice.protocol, effect.telling)
