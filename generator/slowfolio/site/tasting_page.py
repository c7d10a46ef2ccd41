"""The page of one tasting as values: what was compared, how, what was found, and the sheets themselves.

`tasting.html` lays it out. A tasting that has not been held yet shows its design.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from slowfolio.book.model import Book
from slowfolio.book.tasting_card import Plate, Sheet, TastedProduct, Tasting
from slowfolio.enrich.tasting_bridge import QUESTIONS, choice, effect, products
from slowfolio.enrich.tasting_results import Answer, TastingResult
from slowfolio.provenance import Provenance
from slowfolio.site.links import Link, Links, card_uri
from slowfolio.site.shown import Both, Note, Notes, Tag, both, same
from slowfolio.site.tasting_answers import Plot, ShownAnswer, plots, sentence, shown_answer
from slowfolio.tasting.printed import effect_text
from slowfolio.tasting.verdict import NOT_BEYOND

TASTINGS = "tastings.md"


@dataclass(frozen=True, slots=True)
class Compared:
    """One product of a tasting."""

    name: str
    method: Link
    facts: tuple[tuple[str, Both], ...]


@dataclass(frozen=True, slots=True)
class RawTable:
    """The sheets as they came in."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class TastingPage:
    """All that the page of a tasting shows."""

    title: str
    why: str
    invented: bool
    held: bool
    index_href: str
    facts: tuple[tuple[str, str], ...]
    compared: tuple[Compared, ...]
    claim: Tag
    answers: tuple[ShownAnswer, ...]
    said_once: tuple[str, ...]
    plots: tuple[Plot, ...]
    grade: str
    weaknesses: tuple[str, ...]
    beyond: str
    raw: RawTable
    notes_of_day: tuple[str, ...]
    sources: tuple[str, ...]
    source_card: str
    notes: tuple[Note, ...]


def tasting_page(book: Book, card: Tasting, result: TastingResult | None, links: Links) -> TastingPage:
    """Build the page of one tasting."""
    notes = Notes()
    origin = card_uri("tastings", card.id)
    found = result.answers if result else ()
    once = _said_once(found)
    answers = tuple(shown_answer(one, n, once) for n, one in enumerate(found, 1))
    claim = notes.tag(Provenance.CLAIMED, f"as written on the card by whoever carved ({card.carved_by})")
    return TastingPage(
        title=card.title,
        why=card.why,
        invented=card.invented,
        held=result is not None,
        index_href=links.href(origin, TASTINGS),
        facts=_facts(card, result),
        compared=tuple(_compared(book, one, links, origin) for one in card.products),
        claim=claim,
        answers=answers,
        said_once=once,
        plots=plots(card, found, notes),
        grade=result.grade.value if result else "",
        weaknesses=result.weaknesses if result else (),
        beyond=NOT_BEYOND,
        raw=_raw(card),
        notes_of_day=card.notes,
        sources=card.sources,
        source_card=card.origin.file,
        notes=notes.listed(),
    )


def _said_once(answers: Sequence[Answer]) -> tuple[str, ...]:
    """What every one of several answers cannot say, to be told once."""
    if len(answers) < 2:
        return ()
    return tuple(words for words in answers[0].cannot_say if all(words in one.cannot_say for one in answers))


def day_text(card: Tasting) -> str:
    """The day of a tasting as one says it."""
    return f"{card.date.day} {card.date:%B %Y}"


def _facts(card: Tasting, result: TastingResult | None) -> tuple[tuple[str, str], ...]:
    chosen = choice(card)
    facts = [
        ("Asked", sentence(QUESTIONS[card.question])),
        ("Test", sentence(card.test)),
        ("Day", day_text(card)),
        ("Tasters", _sheets(card, result)),
        ("Blind", f"{sentence(card.blind)}; carved by the {card.carved_by[:1].lower()}{card.carved_by[1:]}"),
        ("Looked for", _looked_for(card, effect_text(chosen, effect(card)))),
    ]
    if card.attribute:
        facts.insert(1, ("Attribute", sentence(card.attribute)))
    if card.expected_more:
        facts.append(("Said beforehand", f"{sentence(products(card)[-1])} has more"))
    if card.expected_order:
        facts.append(("Said beforehand", f"The order {', then '.join(card.expected_order)}"))
    if result is not None and result.power is not None:
        facts.append(
            ("Power", f"{round(100 * result.power)} times in 100 such a panel finds what was looked for")
        )
    return tuple(facts)


def _sheets(card: Tasting, result: TastingResult | None) -> str:
    served = len(card.plates)
    return f"{served} are to be served" if result is None else f"{result.sheets} sheets of {served} plates"


def _looked_for(card: Tasting, text: str) -> str:
    return sentence(text) if card.looked_for is not None else f"Nothing was named; the usual: {text}"


def _compared(book: Book, one: TastedProduct, links: Links, origin: str) -> Compared:
    method = book.methods[one.method]
    facts = [
        ("Part", same(one.part)),
        ("Place", same(one.place)),
        ("Slice", both("length", one.slice_m)),
        ("Held", both("duration", one.held_s)),
        ("Served at", both("temperature", one.served_c)),
        ("Cooked", same("once" if one.cooked == 1 else f"{one.cooked} times")),
        ("On record", same(", ".join(one.cooks))),
    ]
    link = Link(method.title, links.href(origin, card_uri("methods", method.id)))
    return Compared(one.name, link, tuple((label, value) for label, value in facts if value.us))


# --- raw data -----------------------------------------------------------------------------------------


def _raw(card: Tasting) -> RawTable:
    sheets = {sheet.taster: sheet for sheet in card.sheets}
    several = any(plate.cook > 1 for plate in card.plates)
    persons = any(plate.person for plate in card.plates)
    heads = ["Sheet", *(["Person"] if persons else []), *(["Cook"] if several else []), "Served, in order"]
    heads += _answer_heads(card)
    rows = []
    for plate in card.plates:
        row = [
            str(plate.taster),
            *([plate.person] if persons else []),
            *([str(plate.cook)] if several else []),
        ]
        served = ", ".join(f"{code} {name}" for code, name in zip(plate.codes, plate.order, strict=True))
        rows.append((*row, served, *_answer_cells(card, plate, sheets.get(plate.taster))))
    return RawTable(tuple(heads), tuple(rows))


def _answer_heads(card: Tasting) -> list[str]:
    if card.test == "scores":
        return [sentence(attribute) for attribute in card.attributes]
    return ["Order given"] if card.test == "ranking" else ["Chose"]


def _answer_cells(card: Tasting, plate: Plate, sheet: Sheet | None) -> Sequence[str]:
    if sheet is None:
        return ["no sheet"] * len(_answer_heads(card))
    if card.test == "scores":
        points = {mark.code: mark.points for mark in sheet.marks}
        return [
            " / ".join(
                f"{points[code][name]:g}" if name in points.get(code, {}) else "–" for code in plate.codes
            )
            for name in card.attributes
        ]
    if card.test == "ranking":
        ranked = sorted(
            (mark for mark in sheet.marks if mark.rank is not None), key=lambda mark: mark.rank or 0.0
        )
        return [", ".join(f"{mark.rank:g} {_name(plate, mark.code)}" for mark in ranked)]
    if isinstance(sheet.chose, int):
        return [f"{sheet.chose} {_name(plate, sheet.chose)}"]
    return [str(sheet.chose)]


def _name(plate: Plate, code: int) -> str:
    return plate.order[plate.codes.index(code)]
