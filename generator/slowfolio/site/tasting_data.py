"""What the design form's script knows: tests, serving designs, powers, words; one script of the site.

A page opened from a folder may load a classic script but no data, so the file calls the page's own taker with
a JSON value. Everything in it comes from the functions that `slowfolio tasting design` uses.
"""

import json
from dataclasses import dataclass
from typing import Any

from slowfolio.enrich.tasting_bridge import QUESTIONS, attribute_words
from slowfolio.enrich.tasting_design import SCORED
from slowfolio.tasting import tables
from slowfolio.tasting.codes import usable_codes
from slowfolio.tasting.discrimination import ALPHA
from slowfolio.tasting.orders import PATTERNS, williams_orders
from slowfolio.tasting.plan import sitting_of
from slowfolio.tasting.printed import effect_text, sitting_text
from slowfolio.tasting.procedure import QUESTIONS as ANSWERED
from slowfolio.tasting.procedure import Procedure, procedure_of
from slowfolio.tasting.protocols import Protocol, Sides
from slowfolio.tasting.question import CarryOver, Question, choose
from slowfolio.tasting.sheets import ATTRIBUTES, LIKING, POINTS, REMINDERS, task_templates
from slowfolio.tasting.tables import POWERS

ADDRESS = "tasting-data/tables.js"
MOST_PRODUCTS = 6
"""As many as one palate judges at a sitting."""

SHOWN_SIZES = (
    (Procedure.TRIANGLE, Question.DIFFER, 2),
    (Procedure.DUO_TRIO, Question.DIFFER, 2),
    (Procedure.TETRAD, Question.DIFFER, 2),
    (Procedure.TRIANGLE, Question.SWAP, 2),
    (Procedure.PAIRED_COMPARISON, Question.MORE, 2),
    (Procedure.PAIRED_PREFERENCE, Question.PREFERRED, 2),
    (Procedure.RANKING, Question.ORDER, 3),
    (Procedure.SCORES, Question.HOW_MUCH, 2),
)
"""Which rows the page shows as text: the test that each question is asked with, and its neighbours."""


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One row of the table of panel sizes: the test, the difference looked for, tasters for each power."""

    question: str
    test: str
    difference: str
    tasters: tuple[int, ...]


def size_rows() -> tuple[SizeRow, ...]:
    """The panel sizes the page shows as text, for the usual differences."""
    rows: dict[tuple[Procedure, Question, int], SizeRow] = {}
    for asked in tables.rows_asked():
        place = (asked.procedure, asked.question, asked.products)
        paired = asked.procedure is Procedure.PAIRED_COMPARISON
        if place in SHOWN_SIZES and asked.is_usual and not (paired and asked.sides is Sides.ONE):
            row = tables.kept_rows()[asked.key]
            test = asked.procedure.value + (f" of {asked.products}" if asked.products > 2 else "")
            text = effect_text(asked.choice, asked.effect)
            rows[place] = SizeRow(asked.question.value, test, text, tuple(row["advised"]))
    return tuple(rows[place] for place in SHOWN_SIZES)


def data_file() -> dict[str, str]:
    """The script by its address on the site."""
    value = json.dumps(form_record(), ensure_ascii=True, separators=(",", ":"), allow_nan=False)
    return {ADDRESS: f"Slowfolio.tastingDesign.take({value});\n".replace("<", "\\u003c")}


def form_record() -> dict[str, Any]:
    """All that the script works with."""
    return {
        "questions": {word: _question(question) for word, question in QUESTIONS.items()},
        "tests": {procedure.value: _test(procedure) for procedure in Procedure},
        "chosen": _chosen(),
        "williams": {str(count): williams_orders(count) for count in range(2, MOST_PRODUCTS + 1)},
        "codes": usable_codes(),
        "rows": tables.kept_rows(),
        "scale": tables.SCALE,
        "powers": POWERS,
        "alpha": ALPHA,
        "sittings": {str(count): sitting_text(sitting_of(count)) for count in range(2, MOST_PRODUCTS + 1)},
        "attributes": [
            {
                "name": attribute_words(one.name, one.part),
                "low": one.low,
                "high": one.high,
                "usual": attribute_words(one.name, one.part) in SCORED,
            }
            for one in (*ATTRIBUTES, LIKING)
        ],
        "points": POINTS,
        "reminders": REMINDERS,
    }


def words_of_form() -> str:
    """The words of the form's choices, for the page itself."""
    return json.dumps(
        {
            "missing": "The tables of the form could not be loaded. Keep the site's folder whole.",
            "beyond": "more tasters than the tables reach to",
            "key": "Keep it from tasters and servers.",
        }
    )


def _question(question: Question) -> dict[str, Any]:
    return {
        "name": question.name.lower(),
        "text": question.value,
        "tests": [procedure.value for procedure, asked in ANSWERED.items() if question in asked],
    }


def _test(procedure: Procedure) -> dict[str, Any]:
    protocols = {protocol.value: protocol for protocol in Protocol}
    protocol = protocols.get(procedure.value)
    patterns = None if protocol is None else PATTERNS[protocol]
    least = 3 if procedure is Procedure.PREFERENCE_PAIRS else 2
    two_only = protocol is not None or procedure is Procedure.PAIRED_PREFERENCE
    most = 2 if two_only else MOST_PRODUCTS
    return {
        "patterns": patterns,
        "products": [least, most],
        "task": task_templates()[procedure.value],
        "differences": _differences(procedure),
    }


def _differences(procedure: Procedure) -> dict[str, list[dict[str, Any]]]:
    """The differences that can be looked for, by question, in words; the usual one is marked."""
    found: dict[str, dict[float, dict[str, Any]]] = {}
    for asked in tables.rows_asked():
        if asked.procedure is procedure:
            offered = found.setdefault(asked.question.name.lower(), {})
            text, usual = effect_text(asked.choice, asked.effect), asked.is_usual
            offered.setdefault(asked.difference, {"value": asked.difference, "text": text, "usual": usual})
    if procedure is Procedure.RANKING:
        found[Question.PREFERRED.name.lower()] = found[Question.ORDER.name.lower()]
    return {question: list(offered.values()) for question, offered in found.items()}


def _chosen() -> dict[str, dict[str, str]]:
    """Which test suits, with its reason: by question, carry-over and number of products."""
    found = {}
    for word, question in QUESTIONS.items():
        for carry_over in CarryOver:
            for count in range(2, MOST_PRODUCTS + 1):
                if count > 2 and question in (Question.DIFFER, Question.SWAP, Question.MORE):
                    continue
                choice = choose(question, count, carry_over=carry_over)
                key = f"{word}|{carry_over}|{count}"
                found[key] = {"test": procedure_of(choice).value, "reason": choice.reason}
    return found
