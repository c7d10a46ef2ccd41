"""From what a cook wants to know to the tasting that answers it.

Only the choice and its reason; sizes are in `panel_size` and `discrimination`, the layout in `plan`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from slowfolio.tasting.errors import TastingInputError, require_count
from slowfolio.tasting.protocols import Protocol, Sides


class Question(StrEnum):
    """What a tasting can be asked."""

    DIFFER = "do they differ?"
    SWAP = "can one take the other's place unnoticed?"
    MORE = "which has more of an attribute?"
    PREFERRED = "which is preferred?"
    ORDER = "in what order do they stand?"
    HOW_MUCH = "how much do they differ, attribute by attribute?"


class CarryOver(StrEnum):
    """How much of one piece stays on the palate for the next."""

    SLIGHT = "slight"
    STRONG = "strong"


class Kind(StrEnum):
    """The tasting chosen."""

    RIGHT_OR_WRONG = "right or wrong"
    PREFERENCE = "paired preference"
    PREFERENCE_PAIRS = "preferences in pairs"
    RANKING = "ranking"
    SCORES = "scores"


@dataclass(frozen=True, slots=True)
class Choice:
    """The tasting for a question, with the reason in plain words. `protocol` is None unless right or
    wrong."""

    question: Question
    kind: Kind
    protocol: Protocol | None
    products: int
    pieces: int
    reason: str
    sides: Sides = Sides.ONE


MOST_PIECES = 6
"""Pieces of fatty smoked meat one taster can judge at a sitting (common practice, no source)."""


def choose(
    question: Question,
    products: int,
    *,
    carry_over: CarryOver = CarryOver.SLIGHT,
    pieces: int = MOST_PIECES,
    sides: Sides = Sides.TWO,
) -> Choice:
    """Return the tasting that answers a question about `products`, at most `pieces` for each taster.

    `sides` is one only where the cook says beforehand which of two has more of the attribute.

    Sources: the abstract of ISO 4120:2021 (READ) and ISO 6658 (MEMORY): a triangle is more efficient than a
    duo-trio but weak where one piece hides the next; a tetrad finds the same d-prime with fewer tasters,
    Ennis & Jesionka (2011).
    """
    require_count("the number of products", products, low=2, high=12)
    require_count("pieces for each taster", pieces, low=2, high=12)
    if question in (Question.DIFFER, Question.SWAP, Question.MORE) and products > 2:
        raise TastingInputError(
            f'"{question}" is asked of two products: compare {products} in pairs, rank them, or score them'
        )
    if question in (Question.DIFFER, Question.SWAP):
        return _difference(question, carry_over, pieces)
    if question is Question.MORE:
        return Choice(
            question,
            Kind.RIGHT_OR_WRONG,
            Protocol.PAIRED_COMPARISON,
            2,
            2,
            "one attribute is named, so a paired comparison asks for it straight and needs the fewest pieces",
            sides,
        )
    if question is Question.PREFERRED:
        return _preference(products, pieces)
    return _many(question, products, pieces)


def _difference(question: Question, carry_over: CarryOver, pieces: int) -> Choice:
    if pieces < 3:
        raise TastingInputError("to taste a difference unnamed takes three pieces: allow at least 3 a taster")
    if carry_over is CarryOver.STRONG:
        protocol, count = Protocol.DUO_TRIO, 3
        reason = "smoke lingers, and a duo-trio with its known first piece suffers least from that"
    elif pieces >= 4:
        protocol, count = Protocol.TETRAD, 4
        reason = "four pieces sorted in two pairs find the same difference with fewer tasters than a triangle"
    else:
        protocol, count = Protocol.TRIANGLE, 3
        reason = "three pieces, one odd: more efficient than a duo-trio, and no attribute need be named"
    return Choice(question, Kind.RIGHT_OR_WRONG, protocol, 2, count, reason)


def _preference(products: int, pieces: int) -> Choice:
    if products == 2:
        return Choice(
            Question.PREFERRED, Kind.PREFERENCE, None, 2, 2, "two products: each taster names one, or neither"
        )
    if products <= pieces:
        return _many(Question.PREFERRED, products, pieces)
    return Choice(
        Question.PREFERRED,
        Kind.PREFERENCE_PAIRS,
        None,
        products,
        2,
        f"{products} products are more than a palate ranks at a sitting: each taster meets one pair, and "
        "strengths are worked out from all pairs",
    )


def _many(question: Question, products: int, pieces: int) -> Choice:
    served = min(products, pieces)
    if question is Question.HOW_MUCH:
        rest = (
            "" if served == products else f"; each taster scores {served} of the {products}, in balanced sets"
        )
        return Choice(
            question,
            Kind.SCORES,
            None,
            products,
            served,
            f"how much is asked, so each attribute is scored and compared within tasters{rest}",
        )
    if served < products:
        raise TastingInputError(
            f"{products} products are more than the {pieces} pieces a taster may have, and a ranking needs "
            "all of them: ask which is preferred (in pairs), ask for scores, or compare fewer"
        )
    return Choice(
        question,
        Kind.RANKING,
        None,
        products,
        products,
        "tasters put all products in order, which needs no scale",
    )
