"""A tasting card, analysed: every question it asks, with the test that answers it, as a result to keep.

The statistics are in `slowfolio.tasting`; here each test of a card is led to its own. A card that cannot be
analysed gives a result that says why. Kept by content like every other result.
"""

import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from slowfolio import __version__
from slowfolio.book.model import Book
from slowfolio.book.tasting_card import Tasting
from slowfolio.enrich import tasting_bridge as bridge
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.keys import numbers_of
from slowfolio.enrich.tasting_results import OVER_COOKS, Answer, Reading, TastingResult
from slowfolio.tasting import TASTING_VERSION, bradley_terry
from slowfolio.tasting.conditions import below_hot_holding
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.evidence import Circumstances, Grade, graded
from slowfolio.tasting.interval import Estimate
from slowfolio.tasting.marking import (
    counted_choices,
    marked_answers,
    marked_comparisons,
    marked_rankings,
    marked_scores,
    marked_votes,
)
from slowfolio.tasting.paired_preference import preference_test
from slowfolio.tasting.plan import TastingPlan
from slowfolio.tasting.protocols import Protocol
from slowfolio.tasting.ranking import friedman_test, page_test, ranked_pairs
from slowfolio.tasting.replicated import TasterCount, replicated_test
from slowfolio.tasting.scores import Score, compare_scores, method_difference
from slowfolio.tasting.verdict import Settled, Verdict
from slowfolio.tasting.verdict_on_difference import (
    difference_verdict,
    expected_more_verdict,
    more_verdict,
    replicated_verdict,
)
from slowfolio.tasting.verdict_on_preference import preference_verdict, strengths_verdict
from slowfolio.tasting.verdict_on_scale import order_verdict, ranking_verdict, score_verdict


def analyse_book(book: Book, cache: Cache) -> dict[str, TastingResult]:
    """Every tasting of the book that has been held, analysed now or taken from the cache."""
    return {
        name: cache.fetch(tasting_key(card), TastingResult, partial(analyse, card))
        for name, card in book.tastings.items()
        if card.sheets
    }


def tasting_key(card: Tasting) -> str:
    """Hash of all an analysis depends on."""
    return content_key("tasting", __version__, TASTING_VERSION, numbers_of(card))


def analyse(card: Tasting) -> TastingResult:
    """Return the analysis of a card that has sheets."""
    try:
        return _analysed(card)
    except TastingInputError as error:
        return TastingResult(
            tasting=card.id,
            sheets=len(card.sheets),
            served=len(card.plates),
            power=None,
            grade=Grade.HINT,
            weaknesses=(),
            unlike=(),
            below_hot_holding=(),
            as_drawn=False,
            answers=(),
            refused=str(error),
        )


def _analysed(card: Tasting) -> TastingResult:
    sheets = len(card.sheets)
    cooked = bridge.circumstances(card, sheets)
    evidence = graded(cooked)
    drawn = bridge.drawn_plan(card)
    served = bridge.served_plan(card, drawn)
    return TastingResult(
        tasting=card.id,
        sheets=sheets,
        served=len(card.plates),
        power=cooked.power,
        grade=evidence.grade,
        weaknesses=evidence.weaknesses,
        unlike=tuple(f"{one.first} and {one.second}: {one.what}" for one in cooked.unlike),
        below_hot_holding=below_hot_holding(bridge.conditions(card)),
        as_drawn=drawn.servings == served.servings,
        answers=_BY_TEST[card.test](card, served, cooked),
    )


# --- one function for each test -----------------------------------------------------------------------


def _right_or_wrong(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    marked = marked_answers(plan, bridge.chosen(card))
    protocol = Protocol(card.test)
    first, second = plan.products
    persons = bridge.persons(card)
    sets = Counter(persons[sheet.taster] for sheet in card.sheets)
    if max(sets.values()) > 1:
        right = Counter(persons[int(one.taster)] for one in marked if one.right)
        counts = [TasterCount(name, right[name], number) for name, number in sets.items()]
        found = replicated_test(protocol, counts, alpha=card.alpha)
        verdict = replicated_verdict(found, products=(first, second), circumstances=cooked)
    else:
        verdict = difference_verdict(
            protocol,
            sum(one.right for one in marked),
            len(marked),
            products=(first, second),
            telling=plan.effect.telling,
            circumstances=cooked,
            alpha=card.alpha,
        )
    return (_answer(verdict, plan.products),)


def _more(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    _require_one_sheet_each(card)
    counts = counted_choices(plan, bridge.chosen(card))
    first, second = plan.products
    make = expected_more_verdict if card.expected_more else more_verdict
    verdict = make(
        card.attribute,
        (counts[first], counts[second]),
        products=(first, second),
        telling=plan.effect.telling,
        circumstances=cooked,
        alpha=card.alpha,
    )
    return (_answer(verdict, plan.products, attribute=card.attribute),)


def _preference(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    _require_one_sheet_each(card)
    votes = marked_votes(plan, bridge.chosen(card))
    first, second = plan.products
    verdict = preference_verdict(
        preference_test(votes, alpha=card.alpha),
        products=(first, second),
        preferring=plan.effect.preferring,
        circumstances=cooked,
    )
    return (_answer(verdict, plan.products),)


def _pairs(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    persons = bridge.persons(card)
    comparisons = tuple(
        replace(one, taster=persons[int(one.taster)]) for one in marked_comparisons(plan, bridge.chosen(card))
    )
    connected = len(bradley_terry.groups_not_connected(comparisons)) == 1
    fit = bradley_terry.fit if connected else bradley_terry.fit_held
    verdict = strengths_verdict(fit(comparisons), circumstances=cooked, alpha=card.alpha)
    return (_answer(verdict, plan.products),)


def _ranking(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    _require_one_sheet_each(card)
    ranked = marked_rankings(plan, bridge.ranks(card))
    verdict = ranking_verdict(
        friedman_test(ranked),
        ranked_pairs(ranked),
        tasters=ranked.tasters,
        d_prime_named=plan.effect.d_prime,
        circumstances=cooked,
        alpha=card.alpha,
    )
    answers = [_answer(verdict, plan.products)]
    if card.expected_order:
        ordered = page_test(ranked, card.expected_order)
        verdict = order_verdict(ordered, card.expected_order, circumstances=cooked, alpha=card.alpha)
        answers.append(_answer(verdict, card.expected_order))
    return tuple(answers)


def _scores(card: Tasting, plan: TastingPlan, cooked: Circumstances) -> tuple[Answer, ...]:
    scores = _scores_of(card, plan)
    answers = []
    for pair in compare_scores(scores):
        verdict = score_verdict(
            pair,
            difference=plan.effect.score,
            spread=plan.effect.score_spread,
            circumstances=cooked,
            alpha=card.alpha,
        )
        attribute = bridge.attribute_words(pair.attribute, pair.part)
        answer = _answer(verdict, (pair.first, pair.second), attribute=attribute, unit="points")
        # The interval for all comparisons together is the one that the verdict speaks of.
        together = Estimate(pair.difference.value, pair.together)
        first, *others = answer.readings
        answer = replace(answer, readings=(_reading(first.name, "points", together), *others))
        answers.append(_with_cooks(answer, scores))
    return tuple(answers)


_BY_TEST: Mapping[str, Callable[[Tasting, TastingPlan, Circumstances], tuple[Answer, ...]]] = {
    "triangle": _right_or_wrong,
    "duo-trio": _right_or_wrong,
    "tetrad": _right_or_wrong,
    "paired comparison": _more,
    "paired preference": _preference,
    "preferences in pairs": _pairs,
    "ranking": _ranking,
    "scores": _scores,
}


def _scores_of(card: Tasting, plan: TastingPlan) -> tuple[Score, ...]:
    """The scores with the person who gave them and the cook the pieces came from."""
    persons = bridge.persons(card)
    cooks = {plate.taster: f"cook {plate.cook}" for plate in card.plates}
    return tuple(
        replace(score, taster=persons[int(score.taster)], cook=cooks[int(score.taster)])
        for score in marked_scores(plan, bridge.marks(card))
    )


def _with_cooks(answer: Answer, scores: tuple[Score, ...]) -> Answer:
    """The answer with the difference over the cooks, where there were two or more.

    Tasters tell two pieces apart; only cooks tell two methods apart.
    """
    first, second = answer.between
    name, part = bridge.attribute_and_part(answer.attribute)
    try:
        found = method_difference(scores, first, second, attribute=name, part=part)
    except TastingInputError:
        return answer
    label = f"{answer.attribute}: {first} less {second}, over {found.cooks} cooks"
    clear = not found.difference.interval.holds(0.0)
    doubt = ""
    if answer.settled is Settled.DIFFERENT and not clear:
        doubt = (
            f"Over the {found.cooks} cooks the difference is not clear of zero: it may lie in the pieces "
            "and not in the methods."
        )
    readings = (*answer.readings, _reading(label, OVER_COOKS, found.difference))
    return replace(answer, readings=readings, over_cooks=clear, doubt=doubt)


def _require_one_sheet_each(card: Tasting) -> None:
    persons = Counter(bridge.persons(card)[sheet.taster] for sheet in card.sheets)
    repeated = [name for name, count in persons.items() if count > 1]
    if repeated:
        raise TastingInputError(
            f"{repeated[0]} filled in {persons[repeated[0]]} sheets: in a {card.test} keep one sheet of each "
            "person, because several of one person are not several tasters"
        )


# --- the form in which results are kept ---------------------------------------------------------------


def _answer(
    verdict: Verdict, between: tuple[str, ...], *, attribute: str = "", unit: str = "share"
) -> Answer:
    behind = ""
    if verdict.winner and len(between) == 2:
        behind = next(name for name in between if name != verdict.winner)
    return Answer(
        attribute=attribute,
        between=between,
        asked=verdict.asked,
        settled=verdict.settled,
        found=verdict.found,
        settle=verdict.settle,
        would_settle=verdict.would_settle,
        ahead=verdict.winner,
        behind=behind,
        cannot_say=verdict.cannot_say,
        readings=tuple(
            _reading(figure.name, _unit(figure.name, unit), figure.estimate) for figure in verdict.figures
        ),
    )


def _unit(name: str, usual: str) -> str:
    if name == "d-prime":
        return "d-prime"
    return "share" if name.startswith("share") else usual


def _reading(name: str, unit: str, estimate: Estimate) -> Reading:
    limits = estimate.interval
    return Reading(
        name=name,
        unit=unit,
        value=_finite(estimate.value),
        low=_finite(limits.low),
        high=_finite(limits.high),
        confidence=limits.confidence,
        how=limits.how,
    )


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
