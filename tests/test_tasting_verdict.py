"""Verdicts: what they say, what they refuse to say, and how often simulated panels mislead them."""

import numpy as np
import pytest

from slowfolio.tasting.bradley_terry import fit, fit_held
from slowfolio.tasting.conditions import Unlike
from slowfolio.tasting.discrimination import difference_power, similarity_power
from slowfolio.tasting.dprime import share_correct
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.evidence import Blinding, Circumstances, Grade, graded, strongest
from slowfolio.tasting.interval import Interval
from slowfolio.tasting.paired_preference import Votes, preference_test
from slowfolio.tasting.panel_size import score_power
from slowfolio.tasting.protocols import Protocol, chance_correct
from slowfolio.tasting.ranking import friedman_test, ranked_pairs, rankings
from slowfolio.tasting.replicated import TasterCount, replicated_test
from slowfolio.tasting.scores import Score, compare_scores
from slowfolio.tasting.strength_likelihood import Comparison, Outcome
from slowfolio.tasting.verdict import NOT_BEYOND, Settled, rendered
from slowfolio.tasting.verdict_on_difference import (
    difference_verdict,
    more_verdict,
    replicated_verdict,
    tasters_settling_either_way,
)
from slowfolio.tasting.verdict_on_preference import preference_verdict, strengths_verdict
from slowfolio.tasting.verdict_on_scale import ranking_verdict, score_verdict
from slowfolio.tasting.wording import chance_text, listed, number_range, percent, percent_range
from tasting_cases import at_most

PAIR = ("foil boat", "paper")
GOOD = Circumstances(cooks=3, blinding=Blinding.TASTERS_AND_SERVERS, power=0.85)
ONE_COOK = Circumstances(cooks=1, blinding=Blinding.TASTERS_AND_SERVERS, power=0.85)
TRIANGLE = Protocol.TRIANGLE


def triangle(correct, tasters, *, telling=0.4, circumstances=GOOD):
    return difference_verdict(
        TRIANGLE, correct, tasters, products=PAIR, telling=telling, circumstances=circumstances
    )


def test_twelve_tasters_are_told_how_many_would_settle_it():
    """Both numbers from exact binomials: 12 tasters have a power of 0.44 for 40 %."""
    verdict = triangle(6, 12)
    assert verdict.settled is Settled.OPEN
    assert verdict.settle.startswith("12 tasters cannot settle whether 40 % of eaters can tell")
    assert verdict.would_settle % 6 == 0
    assert difference_power(TRIANGLE, verdict.would_settle, telling=0.4) >= 0.8
    assert similarity_power(TRIANGLE, verdict.would_settle, limit=0.4) >= 0.8
    assert f"{verdict.would_settle} would, at least 80 times in 100" in verdict.settle
    assert "A difference not found is not the same as no difference." in verdict.cannot_say
    assert verdict.winner == ""


def test_size_that_settles_is_the_smallest_round_that_holds_for_good():
    needed = tasters_settling_either_way(TRIANGLE, telling=0.4)
    both = [
        min(difference_power(TRIANGLE, n, telling=0.4), similarity_power(TRIANGLE, n, limit=0.4))
        for n in range(needed - 1, needed + 50)
    ]
    assert both[0] < 0.8
    assert min(both[1:]) >= 0.8


def test_a_difference_found_says_neither_better_nor_method_after_one_cook():
    verdict = triangle(12, 18, circumstances=ONE_COOK)
    assert verdict.settled is Settled.DIFFERENT
    assert verdict.found.startswith("foil boat and paper can be told apart: 12 of 18 tasters were right")
    assert "guessing gives 6" in verdict.found
    assert any("better" in said for said in verdict.cannot_say)
    assert any("only that these pieces do" in said for said in verdict.cannot_say)
    assert verdict.grade is Grade.ONE_COOK
    assert verdict.settle == ""
    assert verdict.would_settle is None


def test_alike_needs_its_own_test():
    assert triangle(14, 60, telling=0.3).settled is Settled.ALIKE
    assert triangle(6, 18, telling=0.3).settled is Settled.OPEN
    both = triangle(84, 200, telling=0.4)
    assert both.settled is Settled.DIFFERENT
    assert "The difference is small: fewer than 40 % of eaters can tell." in both.cannot_say


def test_more_tasters_are_asked_for_exactly_where_the_panel_was_too_small():
    """Every count of seven panels, two with the power one way only; large ones may end in between."""
    between = 0
    for tasters in (6, 12, 23, 26, 30, 48, 78):
        enough = min(
            difference_power(TRIANGLE, tasters, telling=0.4), similarity_power(TRIANGLE, tasters, limit=0.4)
        )
        for correct in range(tasters + 1):
            verdict = triangle(correct, tasters)
            if verdict.settled is not Settled.OPEN:
                assert verdict.settle == ""
            elif enough >= 0.8:
                between += 1
                assert verdict.would_settle is None
                assert "name a smaller difference" in verdict.settle
            else:
                assert verdict.would_settle > tasters
    assert between > 0


def test_fewer_right_than_guessing_gives_is_doubted():
    assert any("wrong way" in said for said in triangle(2, 24).cannot_say)
    assert not any("wrong way" in said for said in triangle(5, 24).cannot_say)


def test_misleading_verdicts_stay_within_alpha():
    """Guessers are called different, and panels of whom 40 % can tell alike, at most one in twenty."""
    rng, panels = np.random.default_rng(61), 1000
    for tasters in (12, 30, 48):
        said = {x: triangle(x, tasters).settled for x in range(tasters + 1)}
        guessers = rng.binomial(tasters, 1 / 3, size=panels)
        tellers = rng.binomial(tasters, chance_correct(TRIANGLE, 0.4), size=panels)
        assert at_most(sum(said[int(x)] is Settled.DIFFERENT for x in guessers), panels, 0.05)
        assert at_most(sum(said[int(x)] is Settled.ALIKE for x in tellers), panels, 0.05)


def test_no_verdict_on_more_without_a_count_beyond_chance():
    open_, found = (
        more_verdict("smoke", counts, products=PAIR, telling=0.5, circumstances=GOOD)
        for counts in ((8, 12), (3, 17))
    )
    assert open_.settled is Settled.OPEN
    assert open_.winner == ""
    assert open_.would_settle > 20
    assert found.winner == "paper"
    assert "paper has more smoke than foil boat: 17 of 20 tasters against 3 (p = 0.003)" in found.found


def test_repeats_are_never_called_tasters():
    counts = [TasterCount(f"t{i}", right, 4) for i, right in enumerate([4, 4, 1, 1, 4, 1, 0, 4])]
    verdict = replicated_verdict(replicated_test(TRIANGLE, counts), products=PAIR, circumstances=GOOD)
    assert verdict.settled is Settled.DIFFERENT
    assert "The 32 answers are not 32 tasters; the interval allows for that." in verdict.cannot_say
    assert "19 of 32 answers by 8 tasters" in verdict.found
    assert any("Tasters differ" in said for said in verdict.cannot_say)


def test_preference_names_the_undecided_and_small_panels():
    verdict = preference_verdict(
        preference_test(Votes(3, 5, 12)), products=PAIR, preferring=0.7, circumstances=GOOD
    )
    assert verdict.winner == "paper"
    assert "5 had no preference" in verdict.found
    assert any("undecided split evenly" in said for said in verdict.cannot_say)
    assert any("indicative" in said for said in verdict.cannot_say)
    open_ = preference_verdict(
        preference_test(Votes(8, 4, 12)), products=PAIR, preferring=0.7, circumstances=GOOD
    )
    assert open_.settled is Settled.OPEN
    assert open_.settle.startswith("24 tasters cannot settle a preference of 70 %")
    assert open_.would_settle > 50


def votes(a, b, wins, losses):
    outcomes = [Outcome.FIRST] * wins + [Outcome.SECOND] * losses
    return [Comparison(f"{a}{b}{i}", a, b, outcome) for i, outcome in enumerate(outcomes)]


def test_strengths_name_only_pairs_that_are_shown():
    given = votes("boat", "paper", 30, 10) + votes("boat", "bare", 32, 8) + votes("paper", "bare", 22, 18)
    verdict = strengths_verdict(fit(given), circumstances=GOOD)
    assert verdict.winner == "boat"
    assert "paper is preferred to bare" not in verdict.found
    assert "Pairs not named are not shown to differ." in verdict.cannot_say
    circle = votes("a", "b", 18, 2) + votes("b", "c", 18, 2) + votes("c", "a", 18, 2)
    told = strengths_verdict(fit(circle), circumstances=GOOD)
    assert told.settled is Settled.OPEN
    assert any("circle" in said for said in told.cannot_say)
    held = strengths_verdict(fit_held(votes("a", "b", 9, 0)), circumstances=GOOD)
    assert any("prior" in said for said in held.cannot_say)


def test_pairs_of_a_ranking_are_named_only_when_the_ranking_is_not_chance():
    names = ("boat", "paper", "bare")

    def verdict_of(rows):
        panel = rankings(names, rows)
        return ranking_verdict(
            friedman_test(panel),
            ranked_pairs(panel),
            tasters=panel.tasters,
            d_prime_named=1.5,
            circumstances=GOOD,
        )

    clear = verdict_of([[1, 2, 3]] * 8 + [[1, 3, 2]] * 2)
    assert clear.winner == "boat"
    assert "boat before bare" in clear.found
    assert "paper before bare" not in clear.found
    vague = verdict_of([[1, 2, 3], [3, 2, 1], [2, 1, 3], [1, 3, 2]])
    assert vague.settled is Settled.OPEN
    assert vague.winner == ""
    assert vague.would_settle % 6 == 0
    assert "4 tasters cannot settle an order" in vague.settle


def scored(gaps, attribute="bark"):
    return [
        Score(f"t{i}", name, attribute, value)
        for i, gap in enumerate(gaps)
        for name, value in ((PAIR[0], 5.0 + gap), (PAIR[1], 5.0))
    ]


def test_score_verdicts_are_different_alike_or_open():
    def verdict_of(gaps):
        (found,) = compare_scores(scored(gaps))
        return score_verdict(found, difference=1.0, spread=1.5, circumstances=GOOD)

    higher, alike, open_ = (
        verdict_of([2, 1, 3, 2, 1, 2, 3, 1]),
        verdict_of([0.5, -0.5, 0, 0.5, -0.5, 0, 0.2, -0.2] * 2),
        verdict_of([3, -2, 1, 2, -1, 0]),
    )
    assert higher.settled is Settled.DIFFERENT
    assert higher.winner == "foil boat"
    assert alike.settled is Settled.ALIKE
    assert "within 1 point of each other" in alike.found
    assert open_.settled is Settled.OPEN
    assert score_power(open_.would_settle, difference=1.0, spread=1.5) >= 0.8
    assert "6 tasters cannot settle a difference of 1 point:" in open_.settle


def test_one_of_many_attributes_may_be_chance_and_is_said_so():
    rng = np.random.default_rng(62)
    scores = scored([2, 1, 1, -1, 2, 1, 1, 2])
    for attribute in ("smoke", "rendering", "tenderness", "juiciness", "colour"):
        scores += scored(np.round(rng.normal(0, 1, 8), 1), attribute)
    bark = compare_scores(scores)[0]
    assert bark.p_value < 0.05 < bark.p_adjusted
    verdict = score_verdict(bark, difference=0.5, spread=1.0, circumstances=GOOD)
    assert verdict.settled is Settled.OPEN
    assert any("among all that was asked it may be chance" in said for said in verdict.cannot_say)


def test_grades_rise_only_with_what_they_need():
    blind = Blinding.TASTERS_AND_SERVERS
    unlike = (Unlike("a", "b", "served 8 °C apart", "bring both to one temperature"),)
    cases = {
        Circumstances(3, Blinding.NONE, 0.9): Grade.HINT,
        Circumstances(3, blind, 0.9, unlike): Grade.HINT,
        Circumstances(1, blind, 0.99): Grade.ONE_COOK,
        Circumstances(2, blind, None): Grade.REPEATED,
        Circumstances(2, blind, 0.79): Grade.REPEATED,
        Circumstances(2, Blinding.TASTERS, 0.8): Grade.POWERED,
    }
    for circumstances, grade in cases.items():
        assert graded(circumstances).grade is grade
    assert graded(Circumstances(2, blind, 0.8)).weaknesses == ()
    assert "served 8 °C apart" in graded(Circumstances(3, blind, 0.9, unlike)).weaknesses[0]
    assert strongest([Grade.ONE_COOK, Grade.POWERED, Grade.HINT]) is Grade.POWERED
    assert strongest([]) is Grade.HINT


def test_no_verdict_calls_anything_safe_or_proven_and_every_one_ends_with_its_reach():
    for correct in range(0, 25, 3):
        text = rendered(triangle(correct, 24))
        assert text[-1] == NOT_BEYOND
        assert not any(
            word in " ".join(text).lower() for word in ("safe", "proven", "prove", "certain", "nan")
        )


def test_rounding_never_makes_certainty():
    assert percent(0.9999) == "99 %"
    assert percent(0.0001) == "1 %"
    assert percent(1.0) == "100 %"
    assert percent_range(Interval(0.123, 0.871, 0.95, "")) == "12 to 88 %"
    assert number_range(Interval(0.12, 0.87, 0.95, "")) == "0.1 to 0.9 (95 % interval)"
    assert number_range(Interval(0.12, np.inf, 0.95, "")) == "0.1 or more (95 % interval)"
    assert number_range(Interval(-np.inf, np.inf, 0.95, "")) == "no interval can be given"
    assert chance_text(0.0004) == "p < 0.001"
    assert chance_text(0.0496) == "p = 0.050"
    assert listed(("a", "b", "c")) == "a, b and c"


def test_d_prime_stands_in_the_figures():
    verdict = triangle(10, 15)
    figure = {one.name: one for one in verdict.figures}["d-prime"]
    assert figure.estimate.value == pytest.approx(2.3214, abs=1e-4)  # sensR discrim.Rd
    assert share_correct(TRIANGLE, figure.estimate.value) == pytest.approx(2 / 3)
    assert figure.provenance == "measured"


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: triangle(10, 15, telling=1.2), "share who may tell is 1.2"),
        (lambda: graded(Circumstances(0, Blinding.NONE)), "number of cooks is 0"),
        (lambda: graded(Circumstances(1, Blinding.NONE, 1.4)), "the power is 1.4"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
