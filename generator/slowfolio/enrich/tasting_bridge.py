"""From a tasting card to what the statistics take: the choice, the plan as it was served, the circumstances.

No analysis and no words; `tasting_analysis` calls this with a card that passed its check.
"""

from collections.abc import Mapping
from dataclasses import replace

from slowfolio.book.tasting_card import LookedFor, Plate, Tasting
from slowfolio.tasting.carving import Serving
from slowfolio.tasting.conditions import Conditions, unlike_conditions
from slowfolio.tasting.evidence import Blinding, Circumstances
from slowfolio.tasting.marking import ScoreMark
from slowfolio.tasting.plan import Effect, TastingPlan, default_effect, lay_out, power_of
from slowfolio.tasting.procedure import Procedure, choice_of
from slowfolio.tasting.protocols import Sides
from slowfolio.tasting.question import Choice, Question

QUESTIONS: Mapping[str, Question] = {
    "differ": Question.DIFFER,
    "swap": Question.SWAP,
    "more": Question.MORE,
    "preferred": Question.PREFERRED,
    "order": Question.ORDER,
    "how much": Question.HOW_MUCH,
}
"""The words of cards and of the command line."""

PARTS = {"juiciness of flat": ("juiciness", "flat"), "juiciness of point": ("juiciness", "point")}
"""Attributes that are tasted on one part of the slice."""


def choice(card: Tasting) -> Choice:
    """The test of a card."""
    return choice_of(
        Procedure(card.test),
        QUESTIONS[card.question],
        len(card.products),
        pieces=max(len(plate.order) for plate in card.plates),
        sides=Sides.ONE if card.expected_more else Sides.TWO,
    )


def products(card: Tasting) -> tuple[str, ...]:
    """The names in the order that the statistics want: one said to have more comes last."""
    if not card.expected_more:
        return card.names
    return (*(name for name in card.names if name != card.expected_more), card.expected_more)


def effect(card: Tasting) -> Effect:
    """The difference looked for, with the usual one where the card names none."""
    usual, named = default_effect(QUESTIONS[card.question]), card.looked_for or LookedFor()
    return Effect(
        telling=usual.telling if named.telling is None else named.telling,
        preferring=usual.preferring if named.preferring is None else named.preferring,
        score=usual.score if named.points is None else named.points,
        score_spread=usual.score_spread if named.spread is None else named.spread,
        d_prime=usual.d_prime if named.d_prime is None else named.d_prime,
    )


def drawn_plan(card: Tasting) -> TastingPlan:
    """The plan that the card's seed gives. Raises TastingInputError where there is none."""
    return lay_out(
        choice(card),
        products(card),
        len(card.plates),
        seed=card.seed,
        effect=effect(card),
        alpha=card.alpha,
    )


def served_plan(card: Tasting, drawn: TastingPlan) -> TastingPlan:
    """The plan with the plates that were really served."""
    most = max(plate.taster for plate in card.plates)
    return replace(drawn, servings=servings(card.plates), tasters=most)


def servings(plates: tuple[Plate, ...]) -> tuple[Serving, ...]:
    """Every piece on every plate."""
    return tuple(
        Serving(plate.taster, place, name, str(code))
        for plate in plates
        for place, (name, code) in enumerate(zip(plate.order, plate.codes, strict=True), start=1)
    )


def power(card: Tasting, tasters: int) -> float | None:
    """The chance `tasters` had to find the difference named beforehand; None where none was named.

    Where several attributes were asked, the chance to find it in one of them, corrected for all.
    """
    if card.looked_for is None:
        return None
    alpha = card.alpha / max(len(card.attributes), 1)
    return power_of(choice(card), tasters, effect(card), alpha=alpha)


def conditions(card: Tasting) -> tuple[Conditions, ...]:
    """How each product came to the tasters."""
    return tuple(
        Conditions(one.name, ", ".join(one.cooks), one.part, one.slice_m, one.held_s, one.served_c)
        for one in card.products
    )


def circumstances(card: Tasting, tasters: int) -> Circumstances:
    """What is known of the tasting beside its answers; cooks are those of the product cooked least."""
    return Circumstances(
        cooks=min(one.cooked for one in card.products),
        blinding=Blinding(card.blind),
        power=power(card, tasters),
        unlike=unlike_conditions(conditions(card)),
    )


def chosen(card: Tasting) -> dict[int, str]:
    """The code or "no preference" on each sheet."""
    return {sheet.taster: str(sheet.chose) for sheet in card.sheets}


def ranks(card: Tasting) -> dict[int, dict[str, float]]:
    """The rank beside each code of each sheet."""
    return {
        sheet.taster: {str(mark.code): mark.rank for mark in sheet.marks if mark.rank is not None}
        for sheet in card.sheets
    }


def marks(card: Tasting) -> dict[int, tuple[ScoreMark, ...]]:
    """The points beside each code of each sheet, for the attributes that were asked."""
    return {
        sheet.taster: tuple(
            ScoreMark(str(mark.code), *_named(attribute, points))
            for mark in sheet.marks
            for attribute, points in mark.points.items()
            if attribute in card.attributes
        )
        for sheet in card.sheets
    }


def persons(card: Tasting) -> dict[int, str]:
    """Who filled in each sheet; the sheet's own number where nobody is named."""
    return {plate.taster: plate.person or str(plate.taster) for plate in card.plates}


def attribute_and_part(attribute: str) -> tuple[str, str]:
    """The attribute and the part of the slice it is tasted on."""
    return PARTS.get(attribute, (attribute, ""))


def attribute_words(attribute: str, part: str) -> str:
    """The two in one, as cards write them."""
    return f"{attribute} of {part}" if part else attribute


def _named(attribute: str, points: float) -> tuple[str, float, str]:
    name, part = attribute_and_part(attribute)
    return name, points, part
