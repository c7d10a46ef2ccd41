"""From the codes tasters wrote down to answers, votes, rankings and scores.

The only place where codes are turned back into products: a plan's servings are the key. Everything wrong on
a sheet is refused with the taster's number. Called before any analysis of a tasting that was laid out by
`plan`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from slowfolio.tasting.carving import Serving
from slowfolio.tasting.discrimination import Answer
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.paired_preference import Votes
from slowfolio.tasting.plan import TastingPlan
from slowfolio.tasting.protocols import Protocol, Sides
from slowfolio.tasting.question import Kind
from slowfolio.tasting.ranking import Rankings, rankings
from slowfolio.tasting.scores import Score
from slowfolio.tasting.sheets import POINTS
from slowfolio.tasting.strength_likelihood import Comparison, Outcome

NO_PREFERENCE = "no preference"


@dataclass(frozen=True, slots=True)
class ScoreMark:
    """One score on a sheet: the code it was written beside, the attribute, its part and the points."""

    code: str
    attribute: str
    points: float
    part: str = ""


def marked_answers(plan: TastingPlan, chosen: Mapping[int, str]) -> tuple[Answer, ...]:
    """Return right or wrong for each taster who answered, from the code each chose.

    Triangle: the odd piece. Duo-trio: the match of the first. Tetrad: the piece paired with the first on the
    sheet. One-sided paired comparison and three-alternative choice: the piece with more, which is right for
    the last product named.
    """
    protocol = plan.choice.protocol
    if protocol is None or protocol is Protocol.DOUBLE_DUO_TRIO:
        raise TastingInputError(
            "only a right-or-wrong tasting with one answer a sheet is marked right or wrong"
        )
    if protocol is Protocol.PAIRED_COMPARISON and plan.choice.sides is Sides.TWO:
        raise TastingInputError("no direction was named beforehand, so no answer is right: count the answers")
    plates = _plates(plan)
    return tuple(
        Answer(str(taster), _picked(plates, taster, code).code in _right(protocol, plates[taster], plan))
        for taster, code in chosen.items()
    )


def counted_choices(plan: TastingPlan, chosen: Mapping[int, str]) -> dict[str, int]:
    """Return how many tasters chose each product, from the codes of a paired comparison."""
    plates = _plates(plan)
    counts = Counter(_picked(plates, taster, code).product for taster, code in chosen.items())
    return {product: counts[product] for product in plan.products}


def marked_votes(plan: TastingPlan, chosen: Mapping[int, str]) -> Votes:
    """Return the votes of a paired preference, from a code or "no preference" for each taster."""
    if plan.choice.kind is not Kind.PREFERENCE:
        raise TastingInputError("votes for two are counted in a paired preference: this tasting is another")
    voiced = {taster: code for taster, code in chosen.items() if code != NO_PREFERENCE}
    counts = counted_choices(plan, voiced)
    first, second = plan.products
    _require_tasters(plan, chosen)
    return Votes(counts[first], len(chosen) - len(voiced), counts[second])


def marked_comparisons(plan: TastingPlan, chosen: Mapping[int, str]) -> tuple[Comparison, ...]:
    """Return one comparison for each taster of preferences in pairs."""
    if plan.choice.kind not in (Kind.PREFERENCE, Kind.PREFERENCE_PAIRS):
        raise TastingInputError("comparisons come from preferences in pairs: this tasting is another")
    plates = _plates(plan)
    _require_tasters(plan, chosen)
    made = []
    for taster, code in chosen.items():
        first, second = plates[taster]
        outcome = Outcome.TIE
        if code != NO_PREFERENCE:
            outcome = Outcome.FIRST if _picked(plates, taster, code) is first else Outcome.SECOND
        made.append(Comparison(str(taster), first.product, second.product, outcome))
    return tuple(made)


def marked_rankings(plan: TastingPlan, ranked: Mapping[int, Mapping[str, float]]) -> Rankings:
    """Return rankings of the products from each taster's rank for each code, 1 best."""
    if plan.choice.kind is not Kind.RANKING:
        raise TastingInputError("ranks come from a ranking: this tasting is another")
    plates = _plates(plan)
    rows = []
    for taster, ranks in ranked.items():
        by_product = {_picked(plates, taster, code).product: rank for code, rank in ranks.items()}
        missing = [product for product in plan.products if product not in by_product]
        if missing:
            codes = [serving.code for serving in plates[taster] if serving.product in missing]
            raise TastingInputError(
                f"taster {taster} gave no rank to {', '.join(codes)}: write one, or leave the sheet out"
            )
        rows.append([by_product[product] for product in plan.products])
    return rankings(plan.products, rows)


def marked_scores(
    plan: TastingPlan, sheets: Mapping[int, tuple[ScoreMark, ...]], *, cook: str = ""
) -> tuple[Score, ...]:
    """Return scores with their products and places from each taster's marks, checked to lie on the scale."""
    plates = _plates(plan)
    made = []
    for taster, marks in sheets.items():
        for mark in marks:
            if not 1 <= mark.points <= POINTS:
                raise TastingInputError(
                    f"taster {taster} gave {mark.attribute} of {mark.code} {mark.points:g} points: the scale "
                    f"runs from 1 to {POINTS}"
                )
            serving = _picked(plates, taster, mark.code)
            made.append(
                Score(
                    taster=str(taster),
                    product=serving.product,
                    attribute=mark.attribute,
                    value=mark.points,
                    part=mark.part,
                    cook=cook,
                    position=serving.place,
                )
            )
    # Products in the plan's order, so that every analysis names them in that order.
    return tuple(sorted(made, key=lambda score: plan.products.index(score.product)))


def _plates(plan: TastingPlan) -> dict[int, list[Serving]]:
    plates: dict[int, list[Serving]] = defaultdict(list)
    for serving in sorted(plan.servings, key=lambda one: (one.taster, one.place)):
        plates[serving.taster].append(serving)
    return dict(plates)


def _require_tasters(plan: TastingPlan, chosen: Mapping[int, str]) -> None:
    for taster in chosen:
        if not 1 <= taster <= plan.tasters:
            raise TastingInputError(f"there is no taster {taster}: they are numbered 1 to {plan.tasters}")


def _picked(plates: Mapping[int, list[Serving]], taster: int, code: str) -> Serving:
    if taster not in plates:
        raise TastingInputError(f"there is no taster {taster}: they are numbered 1 to {max(plates)}")
    for serving in plates[taster]:
        if serving.code == code:
            return serving
    own = ", ".join(serving.code for serving in plates[taster])
    raise TastingInputError(f"taster {taster} had no piece {code}: write one of {own}")


def _right(protocol: Protocol, plate: list[Serving], plan: TastingPlan) -> set[str]:
    if protocol in (Protocol.DUO_TRIO, Protocol.TETRAD):
        return {serving.code for serving in plate[1:] if serving.product == plate[0].product}
    if protocol is Protocol.TRIANGLE:
        counts = Counter(serving.product for serving in plate)
        return {serving.code for serving in plate if counts[serving.product] == 1}
    return {serving.code for serving in plate if serving.product == plan.products[-1]}
