"""A tasting from question to verdict: laid out, carved, tasted by simulated people, marked, judged."""

from collections import defaultdict

import numpy as np
import pytest

from slowfolio.tasting.bradley_terry import fit_held
from slowfolio.tasting.discrimination import Answer, count_answers, difference_test
from slowfolio.tasting.dprime import share_correct
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.marking import (
    NO_PREFERENCE,
    ScoreMark,
    counted_choices,
    marked_answers,
    marked_comparisons,
    marked_rankings,
    marked_scores,
    marked_votes,
)
from slowfolio.tasting.paired_preference import Votes
from slowfolio.tasting.plan import lay_out
from slowfolio.tasting.protocols import Protocol, Sides
from slowfolio.tasting.question import CarryOver, Question, choose
from slowfolio.tasting.ranking import friedman_test
from slowfolio.tasting.scores import compare_scores
from slowfolio.tasting.strength_likelihood import Outcome
from tasting_cases import at_most, plausible

TWO, THREE = ("foil boat", "paper"), ("foil boat", "paper", "bare")
TRIANGLE = choose(Question.DIFFER, 2, pieces=3)
DUO_TRIO = choose(Question.DIFFER, 2, carry_over=CarryOver.STRONG)
TETRAD = choose(Question.DIFFER, 2)
DIRECTED = choose(Question.MORE, 2, sides=Sides.ONE)


def plates_of(plan):
    plates = defaultdict(list)
    for serving in plan.servings:
        plates[serving.taster].append(serving)
    return plates


def answer_of(protocol, codes, felt):
    """What a taster answers who goes by what was felt: the odd one, the nearest, the strongest."""
    gaps = np.abs(np.subtract.outer(felt, felt))
    if protocol is Protocol.TRIANGLE:
        return codes[int(np.argmax(gaps.sum(axis=0)))]
    if protocol is Protocol.DUO_TRIO:
        return codes[1 + int(np.argmin(gaps[0, 1:]))]
    if protocol is Protocol.TETRAD:
        low, high = np.argsort(felt)[:2], np.argsort(felt)[2:]
        (partner,) = set((low if 0 in low else high).tolist()) - {0}
        return codes[partner]
    return codes[int(np.argmax(felt))]


@pytest.mark.parametrize("choice", [TRIANGLE, DUO_TRIO, TETRAD, DIRECTED], ids=lambda c: c.protocol.value)
@pytest.mark.parametrize("d", [0.0, 2.0])
def test_marked_sheets_are_right_as_often_as_the_psychometric_function_says(choice, d):
    """Thurstone's tasters on laid-out plates; the codes are all the marking sees."""
    rng, right, answered = np.random.default_rng(71), 0, 0
    for seed in range(25):
        plan = lay_out(choice, TWO, 60, seed=seed)
        chosen = {}
        for taster, plate in plates_of(plan).items():
            felt = np.array([rng.normal(d if one.product == TWO[1] else 0.0) for one in plate])
            chosen[taster] = answer_of(choice.protocol, [one.code for one in plate], felt)
        count, tasters = count_answers(marked_answers(plan, chosen))
        right, answered = right + count, answered + tasters
    assert plausible(right, answered, share_correct(choice.protocol, d))


def test_carvers_order_gives_nothing_away():
    """A taster who always marks the middle plate is right no more often than by guessing."""
    right = 0
    for seed in range(40):
        plan = lay_out(TRIANGLE, TWO, 30, seed=seed)
        chosen = {taster: plate[1].code for taster, plate in plates_of(plan).items()}
        right += count_answers(marked_answers(plan, chosen))[0]
    assert right == 40 * 10  # six patterns, five times each: exactly a third


def test_one_who_picks_the_lowest_code_is_right_by_chance_only():
    hits = 0
    for seed in range(100):
        plan = lay_out(TRIANGLE, TWO, 24, seed=seed)
        chosen = {taster: min(one.code for one in plate) for taster, plate in plates_of(plan).items()}
        hits += difference_test(Protocol.TRIANGLE, *count_answers(marked_answers(plan, chosen))).found
    assert at_most(hits, 100, 0.05)


def test_votes_and_undecided_are_counted_by_product():
    plan = lay_out(choose(Question.PREFERRED, 2), TWO, 10, seed=4)
    plates = plates_of(plan)
    chosen = {t: next(one.code for one in plates[t] if one.product == TWO[t <= 3]) for t in range(1, 9)}
    chosen |= {9: NO_PREFERENCE, 10: NO_PREFERENCE}
    assert marked_votes(plan, chosen) == Votes(5, 2, 3)
    assert counted_choices(plan, {t: chosen[t] for t in range(1, 9)}) == {TWO[0]: 5, TWO[1]: 3}


def test_pairs_come_back_with_the_product_that_was_chosen():
    plan = lay_out(choose(Question.PREFERRED, 3, pieces=2), THREE, 30, seed=4)
    chosen = {}
    for taster, plate in plates_of(plan).items():
        best = min(plate, key=lambda one: THREE.index(one.product))
        worst = max(plate, key=lambda one: THREE.index(one.product))
        chosen[taster] = (best if taster % 5 else worst).code
    comparisons = marked_comparisons(plan, chosen)
    assert len({one.taster for one in comparisons}) == 30
    assert all(one.outcome is not Outcome.TIE for one in comparisons)
    strengths = fit_held(comparisons)
    ordered = sorted(zip(strengths.log_strengths, strengths.products, strict=True), reverse=True)
    assert tuple(name for _, name in ordered) == THREE
    tied = marked_comparisons(plan, dict.fromkeys(chosen, NO_PREFERENCE))
    assert all(one.outcome is Outcome.TIE for one in tied)


def test_ranks_and_scores_come_back_by_product_and_place():
    ranking = lay_out(choose(Question.ORDER, 3), THREE, 12, seed=6)
    ranks = {
        taster: {one.code: THREE.index(one.product) + 1 for one in plate}
        for taster, plate in plates_of(ranking).items()
    }
    assert marked_rankings(ranking, ranks).rank_sums == (12, 24, 36)
    assert friedman_test(marked_rankings(ranking, ranks)).p_value < 1e-6
    scoring = lay_out(choose(Question.HOW_MUCH, 3), THREE, 12, seed=6)
    sheets = {
        taster: tuple(ScoreMark(one.code, "bark", 8 - 2 * THREE.index(one.product)) for one in plate)
        for taster, plate in plates_of(scoring).items()
    }
    scores = marked_scores(scoring, sheets, cook="Saturday")
    assert [one.difference.value for one in compare_scores(scores)] == pytest.approx([2.0, 4.0, 2.0])
    places = {(one.taster, one.product): one.position for one in scores}
    assert all(places[str(one.taster), one.product] == one.place for one in scoring.servings)


PLAN = lay_out(TRIANGLE, TWO, 6, seed=1)
RANKING = lay_out(choose(Question.ORDER, 3), THREE, 6, seed=1)
SCORES = lay_out(choose(Question.HOW_MUCH, 3), THREE, 6, seed=1)
CODE = SCORES.servings[0].code


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (
            lambda: marked_answers(PLAN, {1: "001"}),
            r"taster 1 had no piece 001: write one of \d{3}, \d{3}, \d{3}",
        ),
        (lambda: marked_answers(PLAN, {9: "123"}), "no taster 9: they are numbered 1 to 6"),
        (lambda: marked_answers(RANKING, {1: "123"}), "only a right-or-wrong tasting"),
        (lambda: marked_answers(lay_out(choose(Question.MORE, 2), TWO, 4, seed=1), {}), "count the answers"),
        (lambda: marked_votes(PLAN, {1: NO_PREFERENCE}), "this tasting is another"),
        (lambda: marked_comparisons(PLAN, {}), "this tasting is another"),
        (lambda: marked_rankings(PLAN, {}), "this tasting is another"),
        (lambda: marked_rankings(RANKING, {1: {}}), "taster 1 gave no rank to"),
        (lambda: marked_scores(SCORES, {1: (ScoreMark(CODE, "bark", 11),)}), "the scale runs from 1 to 9"),
        (lambda: marked_scores(SCORES, {2: (ScoreMark(CODE, "bark", 5),)}), "taster 2 had no piece"),
        (lambda: count_answers([Answer("1", True), Answer("1", True)]), "answered more than once"),
    ],
)
def test_wrong_sheets_say_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
