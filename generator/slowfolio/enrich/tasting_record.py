"""An analysed tasting as text and as JSON; see schema/output/tasting-analysis.schema.json."""

from collections.abc import Iterator
from typing import Any

from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich.tasting_results import Answer, Reading, TastingResult
from slowfolio.tasting.verdict import NOT_BEYOND

DIGITS = 6


def analysis_record(card: Tasting, result: TastingResult) -> dict[str, Any]:
    """The whole result of `slowfolio tasting analyse --json`."""
    return {
        "tasting": card.id,
        "title": card.title,
        "invented": card.invented,
        "test": card.test,
        "question": card.question,
        "provenance": "measured",
        "sheets": result.sheets,
        "served": result.served,
        "alpha": card.alpha,
        "power": _rounded(result.power),
        "grade": result.grade.value,
        "weaknesses": list(result.weaknesses),
        "unlike": list(result.unlike),
        "below_hot_holding": list(result.below_hot_holding),
        "as_drawn": result.as_drawn,
        "answers": [_answer(answer) for answer in result.answers],
        "beyond": NOT_BEYOND,
    }


def analysis_lines(card: Tasting, result: TastingResult) -> Iterator[str]:
    """The verdicts in plain words."""
    yield card.title
    if card.invented:
        yield "The data of this tasting are invented."
    yield f"{result.sheets} of {result.served} sheets came in; {card.test}; {card.blind}."
    for answer in result.answers:
        yield ""
        yield answer.asked
        yield f"  {answer.found}"
        yield from (f"  {words}" for words in (answer.doubt, answer.settle) if words)
        yield from (f"  {words}" for words in answer.cannot_say)
    yield ""
    yield f"Evidence: {result.grade}."
    yield from (f"Weakness: {words}." for words in result.weaknesses)
    for name in result.below_hot_holding:
        yield (
            f"Served below 135 °F (57 °C): {name}. The time rule applies: within 4 h of leaving the hold "
            "(FDA Food Code 3-501.19(B))."
        )
    if not result.as_drawn:
        yield "The servings on the card are not those of its seed."
    yield NOT_BEYOND


def _answer(answer: Answer) -> dict[str, Any]:
    return {
        "attribute": answer.attribute,
        "between": list(answer.between),
        "asked": answer.asked,
        "settled": answer.settled.value,
        "found": answer.found,
        "settle": answer.settle,
        "would_settle": answer.would_settle,
        "ahead": answer.ahead,
        "behind": answer.behind,
        "over_cooks": answer.over_cooks,
        "doubt": answer.doubt,
        "cannot_say": list(answer.cannot_say),
        "readings": [_reading(reading) for reading in answer.readings],
    }


def _reading(reading: Reading) -> dict[str, Any]:
    return {
        "name": reading.name,
        "unit": reading.unit,
        "value": _rounded(reading.value),
        "low": _rounded(reading.low),
        "high": _rounded(reading.high),
        "confidence": reading.confidence,
        "how": reading.how,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, DIGITS)
