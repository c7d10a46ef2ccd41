"""Preferences: two products with undecided tasters, several products in pairs with ties."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from slowfolio.tasting.bradley_terry import fit, fit_held, groups_not_connected
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.paired_preference import Votes, preference_test, two_choice_model
from slowfolio.tasting.strength_likelihood import Comparison, Outcome, StrengthLikelihood, shares_at
from tasting_cases import at_least, at_most

FIRST, SECOND, TIE = Outcome.FIRST, Outcome.SECOND, Outcome.TIE


def votes_of(*counted):
    """Votes, each from another taster, from (first, second, wins, ties, losses)."""
    made = []
    for a, b, wins, ties, losses in counted:
        outcomes = [FIRST] * wins + [TIE] * ties + [SECOND] * losses
        made += [Comparison(f"{a}{b}{i}", a, b, outcome) for i, outcome in enumerate(outcomes)]
    return made


def simulated(rng, strengths, tie, per_pair, taster_of=None):
    """Votes drawn from Davidson's model."""
    made = []
    log_tie = math.log(tie) if tie else -math.inf
    for number, (a, b) in enumerate(itertools.combinations(range(len(strengths)), 2)):
        first, ties, second = (
            share[0] for share in shares_at(np.array([strengths[a] - strengths[b]]), log_tie)
        )
        drawn = rng.choice(3, size=per_pair, p=[first, ties, second])
        for i, outcome in enumerate(drawn):
            taster = taster_of(number, i) if taster_of else f"{number} {i}"
            made.append(Comparison(taster, f"p{a}", f"p{b}", (FIRST, TIE, SECOND)[outcome]))
    return made


# --- two products -------------------------------------------------------------------------------------------


@given(st.integers(0, 40), st.integers(0, 40), st.integers(0, 40))
def test_preference_p_value_equals_scipy(first, none, second):
    if first + none + second == 0:
        return
    found = preference_test(Votes(first, none, second))
    views = first + second
    expected = stats.binomtest(first, views).pvalue if views else 1.0
    assert found.p_value == pytest.approx(expected, rel=1e-9)
    assert found.share_none.value == none / (first + none + second)
    assert found.p_split >= found.p_value - 1e-12 or none == 0


def test_splitting_the_undecided_is_even_and_never_helps():
    found = preference_test(Votes(3, 5, 12))
    assert found.p_split == pytest.approx(stats.binomtest(14, 20).pvalue)
    assert found.p_split > found.p_value


@pytest.mark.parametrize("votes", [Votes(3, 5, 12), Votes(9, 2, 4), Votes(6, 10, 6)])
def test_two_choice_interval_ends_where_the_likelihood_has_dropped(votes):
    """The profile likelihood recomputed with SciPy's normal distribution and optimiser."""

    def profile(d):
        def loss(log_tau):
            tau = np.exp(log_tau)
            first, low = stats.norm.cdf((-tau - d) / np.sqrt(2)), stats.norm.cdf((tau - d) / np.sqrt(2))
            shares = np.maximum([first, low - first, 1 - low], 1e-300)
            return -float(np.dot([votes.first, votes.none, votes.second], np.log(shares)))

        return -optimize.minimize_scalar(loss, bounds=(-8, 2), method="bounded", options={"xatol": 1e-10}).fun

    found = two_choice_model(votes)
    peak = profile(found.d_prime.value)
    for end in (found.d_prime.interval.low, found.d_prime.interval.high):
        assert 2 * (peak - profile(end)) == pytest.approx(stats.chi2.ppf(0.95, 1), abs=1e-5)


def test_two_choice_model_is_symmetric_and_open_where_nobody_chose_the_other():
    forth, back = two_choice_model(Votes(3, 5, 12)), two_choice_model(Votes(12, 5, 3))
    assert forth.d_prime.value == pytest.approx(-back.d_prime.value)
    assert forth.d_prime.interval.low == pytest.approx(-back.d_prime.interval.high)
    one_sided = two_choice_model(Votes(0, 4, 10))
    assert one_sided.d_prime.value == math.inf
    assert one_sided.d_prime.interval.high == math.inf
    assert 0 < one_sided.d_prime.interval.low < 5


def test_intervals_of_a_preference_cover():
    """30 tasters, a quarter undecided, 65 % of the rest for the first; d and tau as the model has them."""
    rng, panels = np.random.default_rng(41), 150
    shares = [0.75 * 0.65, 0.25, 0.75 * 0.35]
    lower, upper = stats.norm.ppf(shares[0]), stats.norm.ppf(shares[0] + shares[1])
    d = -(lower + upper) / np.sqrt(2)
    share, model = 0, 0
    for counted in rng.multinomial(30, shares, size=panels):
        votes = Votes(*(int(count) for count in counted))
        share += preference_test(votes).share_first.interval.holds(0.65)
        model += two_choice_model(votes).d_prime.interval.holds(d)
    assert at_least(share, panels, 0.95)
    assert at_least(model, panels, 0.94)


def test_false_alarms_of_a_preference_stay_at_alpha():
    rng, panels = np.random.default_rng(42), 500
    hits = 0
    for first, none, second in rng.multinomial(24, [0.35, 0.3, 0.35], size=panels):
        hits += preference_test(Votes(int(first), int(none), int(second))).found
    assert at_most(hits, panels, 0.05)


# --- several products ---------------------------------------------------------------------------------------


def test_maximum_equals_scipy_optimiser():
    votes = votes_of(("a", "b", 7, 3, 4), ("b", "c", 5, 2, 6), ("a", "c", 8, 4, 2), ("c", "d", 3, 1, 5))
    votes += votes_of(("d", "a", 2, 2, 6))
    model = StrengthLikelihood.of(votes, prior_spread=math.inf)
    expected = optimize.minimize(lambda x: -model.at(x)[0], np.zeros(4), method="BFGS", tol=1e-10)
    assert model.maximum() == pytest.approx(expected.x, abs=1e-5)


def test_curvature_and_scores_are_the_derivatives():
    votes = votes_of(("a", "b", 7, 3, 4), ("b", "c", 5, 2, 6), ("a", "c", 8, 4, 2))
    for prior_spread in (math.inf, 2.0):
        model = StrengthLikelihood.of(votes, prior_spread=prior_spread)
        point = np.array([0.3, -0.4, 0.2])
        numeric = optimize.approx_fprime(point, lambda x, m=model: m.at(x)[0], 1e-6)
        _, scores, curvature = model.at(point)
        pull = np.zeros(3) if math.isinf(prior_spread) else model._pull(point) @ point
        assert scores.sum(axis=0) - pull == pytest.approx(numeric, abs=1e-4)
        step = 1e-5

        def slope(at, m=model):
            return m.at(at)[1].sum(axis=0) - m._pull(at) @ at

        for i in range(3):
            shift = np.eye(3)[i] * step
            assert -(slope(point + shift) - slope(point - shift)) / (2 * step) == pytest.approx(
                curvature[i], abs=1e-5
            )


def test_minorise_maximise_update_reaches_the_same_strengths():
    """The fixed point p_i = W_i / sum n_ij/(p_i + p_j) (Hunter 2004, recalled)."""
    wins = np.array([[0, 7, 8], [4, 0, 5], [2, 6, 0]], dtype=float)
    strengths = np.ones(3)
    for _ in range(3000):
        meetings = (wins + wins.T) / (strengths[:, None] + strengths[None, :])
        strengths = wins.sum(axis=1) / meetings.sum(axis=1)
        strengths /= strengths.prod() ** (1 / 3)
    found = fit(votes_of(("a", "b", 7, 0, 4), ("a", "c", 8, 0, 2), ("b", "c", 5, 0, 6)))
    assert list(found.log_strengths) == pytest.approx(np.log(strengths), abs=1e-8)
    assert found.tie == 0.0


def test_two_products_give_the_observed_odds():
    found = fit(votes_of(("a", "b", 12, 0, 4)))
    assert found.pairs[0].preferred.value == pytest.approx(0.75)
    assert found.pairs[0].log_odds.value == pytest.approx(math.log(3))
    assert found.degrees == 0


def test_ties_pull_products_together_in_the_model_not_in_the_odds():
    without, with_ties = fit(votes_of(("a", "b", 12, 0, 4))), fit(votes_of(("a", "b", 12, 10, 4)))
    assert with_ties.pairs[0].log_odds.value == pytest.approx(without.pairs[0].log_odds.value)
    # Davidson: P(tie)^2 = tie^2 P(first) P(second).
    assert with_ties.tie == pytest.approx(10 / math.sqrt(12 * 4))


@given(st.permutations(["a", "b", "c", "d"]), st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=25)
def test_names_and_order_of_votes_change_nothing(names, random):
    table = [(0, 1, 5, 2, 3), (1, 2, 4, 1, 4), (2, 3, 6, 0, 2), (0, 3, 3, 3, 3)]
    plain = fit(votes_of(*(("abcd"[i], "abcd"[j], *rest) for i, j, *rest in table)))
    turned = votes_of(*((names[j], names[i], rest[2], rest[1], rest[0]) for i, j, *rest in table))
    random.shuffle(turned)
    other = fit(turned)
    for i, name in enumerate("abcd"):
        mine = plain.log_strengths[plain.products.index(name)]
        assert other.log_strengths[other.products.index(names[i])] == pytest.approx(mine, abs=1e-8)


def test_products_never_compared_are_refused_by_name():
    votes = votes_of(("a", "b", 3, 0, 2), ("c", "d", 1, 1, 3))
    assert len(groups_not_connected(votes)) == 2
    with pytest.raises(TastingInputError, match="a, b and c, d were never compared"):
        fit(votes)


def test_a_product_that_always_won_is_refused_and_held_only_on_request():
    votes = votes_of(("a", "b", 6, 0, 0), ("a", "c", 5, 0, 0), ("b", "c", 3, 0, 3))
    assert groups_not_connected(votes)[0] == ("a",)
    with pytest.raises(TastingInputError, match="a was preferred to b, c, so no strength fits"):
        fit(votes)
    held = fit_held(votes)
    assert held.held
    assert "prior" in held.how
    assert 0.8 < held.pairs[0].preferred.value < 1.0
    assert math.isfinite(held.log_strengths[0])


def test_one_tie_connects():
    votes = votes_of(("a", "b", 6, 1, 0), ("b", "c", 3, 0, 3))
    assert groups_not_connected(votes) == (("a", "b", "c"),)
    assert fit(votes).log_strengths[0] > 0


def test_prior_fades_with_its_spread():
    votes = votes_of(("a", "b", 12, 2, 4), ("b", "c", 9, 1, 6), ("a", "c", 11, 3, 2))
    loose = fit_held(votes, prior_spread=99.0)
    assert list(loose.log_strengths) == pytest.approx(list(fit(votes).log_strengths), abs=1e-2)
    tight = fit_held(votes, prior_spread=0.01)
    assert max(abs(value) for value in tight.log_strengths) < 0.01


def test_intervals_cover_and_false_alarms_stay_for_votes_of_different_tasters():
    rng, strengths, panels = np.random.default_rng(43), [0.8, 0.0, -0.3, -0.5], 250
    covered = pairs = 0
    for _ in range(panels):
        found = fit_held(simulated(rng, strengths, 0.4, 20), prior_spread=50.0)
        for pair in found.pairs:
            truth = strengths[int(pair.first[1])] - strengths[int(pair.second[1])]
            covered += pair.log_odds.interval.holds(truth)
            pairs += 1
    assert at_least(covered // 6, panels, 0.94)
    alarms = sum(
        min(p.p_adjusted for p in fit(simulated(rng, [0, 0, 0, 0], 0.4, 15)).pairs) <= 0.05
        for _ in range(panels)
    )
    assert at_most(alarms, panels, 0.05)


def test_repeated_votes_of_a_taster_do_not_narrow_the_interval():
    """Every taster votes the same way five times: the answer must be as wide as from one vote each."""
    outcomes = [FIRST] * 9 + [SECOND] * 6
    once = [Comparison(f"t{i}", "a", "b", outcome) for i, outcome in enumerate(outcomes)]
    five = [vote for vote in once for _ in range(5)]
    single, repeated = fit(once).pairs[0].log_odds, fit(five).pairs[0].log_odds
    assert repeated.value == pytest.approx(single.value)
    assert repeated.interval.high - repeated.interval.low > single.interval.high - single.interval.low
    assert "t on the tasters" in fit(five).how


def test_repeated_votes_get_the_between_taster_interval():
    """15 tasters, 9 always for the first: every vote twice leaves the variance 1/((n - 1) p q), by hand."""
    outcomes = [FIRST] * 9 + [SECOND] * 6
    twice = [Comparison(f"t{i}", "a", "b", outcome) for i, outcome in enumerate(outcomes) for _ in range(2)]
    found = fit(twice).pairs[0].log_odds
    reach = stats.t.ppf(0.975, 14) * math.sqrt(1 / (14 * 0.6 * 0.4))
    assert found.value == pytest.approx(math.log(1.5))
    assert found.interval.high - found.value == pytest.approx(reach)


def test_false_alarms_stay_when_tasters_have_leanings_of_their_own():
    """Tasters with their own taste vote on all pairs; over people no product is ahead."""
    rng, panels, alarms = np.random.default_rng(44), 200, 0
    for _ in range(panels):
        votes = []
        for taster in range(14):
            own = rng.normal(0, 1.2, size=3)
            votes += [
                Comparison(f"t{taster}", vote.first, vote.second, vote.outcome)
                for vote in simulated(rng, own, 0.3, 2)
            ]
        alarms += min(pair.p_adjusted for pair in fit(votes).pairs) <= 0.05
    assert at_most(alarms, panels, 0.06)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: preference_test(Votes(0, 0, 0)), "nobody voted"),
        (lambda: preference_test(Votes(-1, 0, 3)), "votes for first is -1"),
        (lambda: two_choice_model(Votes(0, 9, 0)), "nobody had a preference"),
        (lambda: fit([]), "there are no votes"),
        (lambda: fit([Comparison("Ida", "a", "a", FIRST)]), "compared a with itself"),
        (lambda: fit([Comparison("Ida", "a", "b", o) for o in (FIRST, SECOND)]), "one person is not a panel"),
        (lambda: fit_held(votes_of(("a", "b", 3, 0, 1)), prior_spread=0.0), "spread of the prior is 0"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
