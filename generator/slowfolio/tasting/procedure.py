"""The tests by name, for a cook who asks for one, and for cards that say which was used.

`question` chooses the test that suits a question best; here the test is given and only has to answer the
question. Called by the command line and by whoever reads cards.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from slowfolio.tasting.errors import TastingInputError, require_count
from slowfolio.tasting.protocols import Protocol, Sides
from slowfolio.tasting.question import Choice, Kind, Question
from slowfolio.tasting.ranking import MOST_RANKED


class Procedure(StrEnum):
    """What tasters are asked to do."""

    TRIANGLE = "triangle"
    DUO_TRIO = "duo-trio"
    TETRAD = "tetrad"
    PAIRED_COMPARISON = "paired comparison"
    PAIRED_PREFERENCE = "paired preference"
    PREFERENCE_PAIRS = "preferences in pairs"
    RANKING = "ranking"
    SCORES = "scores"


QUESTIONS: Mapping[Procedure, tuple[Question, ...]] = {
    Procedure.TRIANGLE: (Question.DIFFER, Question.SWAP),
    Procedure.DUO_TRIO: (Question.DIFFER, Question.SWAP),
    Procedure.TETRAD: (Question.DIFFER, Question.SWAP),
    Procedure.PAIRED_COMPARISON: (Question.MORE,),
    Procedure.PAIRED_PREFERENCE: (Question.PREFERRED,),
    Procedure.PREFERENCE_PAIRS: (Question.PREFERRED,),
    Procedure.RANKING: (Question.ORDER, Question.PREFERRED),
    Procedure.SCORES: (Question.HOW_MUCH,),
}
"""Which questions each test answers; the test that suits a question best is `question.choose`'s."""

_PROTOCOLS = {
    Procedure.TRIANGLE: (Protocol.TRIANGLE, 3),
    Procedure.DUO_TRIO: (Protocol.DUO_TRIO, 3),
    Procedure.TETRAD: (Protocol.TETRAD, 4),
    Procedure.PAIRED_COMPARISON: (Protocol.PAIRED_COMPARISON, 2),
}
_KINDS = {
    Procedure.PAIRED_PREFERENCE: Kind.PREFERENCE,
    Procedure.PREFERENCE_PAIRS: Kind.PREFERENCE_PAIRS,
    Procedure.RANKING: Kind.RANKING,
    Procedure.SCORES: Kind.SCORES,
}


def choice_of(
    procedure: Procedure,
    question: Question,
    products: int,
    *,
    pieces: int | None = None,
    sides: Sides = Sides.TWO,
) -> Choice:
    """Return the choice of a test that was named.

    `pieces` is how many of the products one taster scores (all where None). `sides` is read by the paired
    comparison alone. Raises TastingInputError where the test does not answer the question, or does not take
    so many products.
    """
    if question not in QUESTIONS[procedure]:
        fitting = [other.value for other, asked in QUESTIONS.items() if question in asked]
        raise TastingInputError(
            f'a {procedure} does not answer "{question}": use {" or ".join(fitting)}, or leave the test to us'
        )
    least, most = _products(procedure)
    require_count("the number of products", products, low=least, high=most)
    if procedure in _PROTOCOLS:
        protocol, count = _PROTOCOLS[procedure]
        used = sides if procedure is Procedure.PAIRED_COMPARISON else Sides.ONE
        return Choice(question, Kind.RIGHT_OR_WRONG, protocol, products, count, "named by the cook", used)
    served = 2 if procedure in (Procedure.PAIRED_PREFERENCE, Procedure.PREFERENCE_PAIRS) else products
    if procedure is Procedure.SCORES and pieces is not None:
        served = min(products, require_count("pieces for each taster", pieces, low=2, high=12))
    return Choice(question, _KINDS[procedure], None, products, served, "named by the cook")


def procedure_of(choice: Choice) -> Procedure:
    """Return the name of the test that was chosen."""
    if choice.protocol is not None:
        return Procedure(choice.protocol.value)
    return next(procedure for procedure, kind in _KINDS.items() if kind is choice.kind)


def _products(procedure: Procedure) -> tuple[int, int]:
    if procedure is Procedure.RANKING:
        return 2, MOST_RANKED
    if procedure is Procedure.PREFERENCE_PAIRS:
        return 3, 12
    return (2, 12) if procedure is Procedure.SCORES else (2, 2)
