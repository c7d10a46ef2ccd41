"""Rankings against the published exact tables, enumeration by hand and SciPy."""

from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.multiplicity import alike_pairs, holm, shaffer_pairs
from slowfolio.tasting.rank_null import rank_sum_null, untied
from slowfolio.tasting.ranking import (
    Rankings,
    friedman_critical,
    friedman_test,
    honest_significant_difference,
    least_significant_difference,
    page_critical,
    page_tail,
    page_test,
    ranked_pairs,
    rankings,
    rankings_of_scores,
)
from tasting_cases import at_most, plausible, reference

FRIEDMAN = reference("friedman_exact_critical")
RANK_SUMS = reference("rank_sum_critical_difference")
NAMES = ("foil boat", "paper", "bare", "tight foil", "tallow")


@pytest.mark.parametrize("row", FRIEDMAN, ids=lambda row: f"{row['k']} products, {row['n']} tasters")
def test_friedman_critical_values_equal_the_exact_table(row):
    """Exact null distribution without ties, as ISO 8587 uses it."""
    for level in ("0.05", "0.01"):
        found = friedman_critical(int(row["n"]), int(row["k"]), float(level))
        if not row[f"F_{level}"]:
            assert found is None
            continue
        assert found.statistic == pytest.approx(float(row[f"F_{level}"]), abs=5.1e-5)
        assert found.p_value == pytest.approx(float(row[f"P_at_F_{level}"]), abs=5.1e-5)


def test_large_sample_value_beside_the_exact_one_is_chi_square():
    for row in FRIEDMAN:
        assert float(row["chi2_0.05"]) == pytest.approx(stats.chi2.ppf(0.95, int(row["k"]) - 1), abs=5e-4)


@pytest.mark.parametrize("alpha", [0.05, 0.01, 0.001])
def test_page_critical_values_equal_the_exact_table(alpha):
    """Exact, equal to the recalled table of Page (1963) for three products."""
    for row in reference("page_L_critical"):
        expected = row[f"L_{alpha}"]
        found = page_critical(int(row["n"]), int(row["k"]), alpha)
        assert found == (int(expected) if expected else None), row


def test_rank_sum_differences_equal_the_table():
    """ISO 8587's least significant difference and Newell & MacFarlane's for all pairs."""
    for row in RANK_SUMS:
        tasters, products = int(row["n_assessors"]), int(row["k_products"])
        assert least_significant_difference(tasters, products) == pytest.approx(
            float(row["LSD_0.05"]), abs=0.00501
        )
        assert honest_significant_difference(tasters, products) == pytest.approx(
            float(row["HSD_0.05"]), abs=0.00501
        )


def enumerated(rows, statistic):
    """Every order of every taster's ranks, each as likely: the share that reaches the observed statistic."""
    observed = statistic(np.array(rows))
    panels = product(*(list(permutations(row)) for row in rows))
    values = [statistic(np.array(panel)) for panel in panels]
    return float(np.mean(np.array(values) >= observed - 1e-9))


@pytest.mark.parametrize(
    "rows",
    [
        [[1, 2, 3], [1, 3, 2], [1, 2, 3], [2, 1, 3]],
        [[1.5, 1.5, 3], [1, 2, 3], [1, 2.5, 2.5], [2, 2, 2]],
        [[1, 2, 3, 4], [1, 2, 3.5, 3.5], [2, 1, 3, 4]],
    ],
)
def test_exact_p_values_equal_full_enumeration_with_ties(rows):
    given_ranks = rankings(NAMES[: len(rows[0])], rows)
    places = np.arange(1, len(rows[0]) + 1)

    def squares(panel):
        return float(np.sum(panel.sum(axis=0) ** 2))

    def page(panel):
        return float(np.sum(places * panel.sum(axis=0)))

    def widest(panel):
        return float(np.ptp(panel.sum(axis=0)))

    assert friedman_test(given_ranks).p_value == pytest.approx(enumerated(rows, squares), abs=1e-12)
    assert page_test(given_ranks, given_ranks.products).p_value == pytest.approx(
        enumerated(rows, page), abs=1e-12
    )
    smallest = min(pair.p_widest for pair in ranked_pairs(given_ranks))
    assert smallest == pytest.approx(enumerated(rows, widest), abs=1e-12)


rank_rows = st.integers(2, 5).flatmap(
    lambda k: st.lists(st.lists(st.integers(1, k), min_size=k, max_size=k), min_size=2, max_size=7)
)


@given(rank_rows)
@settings(deadline=None, max_examples=60)
def test_friedman_statistic_equals_scipy(rows):
    products = len(rows[0])
    given_ranks = rankings(NAMES[:products], rows)
    if all(len(set(row)) == 1 for row in rows) or products < 3:
        return
    expected = stats.friedmanchisquare(*np.array(rows).T)
    found = friedman_test(given_ranks)
    assert found.statistic == pytest.approx(expected.statistic, abs=1e-9)
    assert found.p_large == pytest.approx(expected.pvalue, abs=1e-9)


@given(rank_rows, st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=60)
def test_order_of_tasters_and_products_changes_nothing(rows, random):
    products = len(rows[0])
    columns, order = list(range(products)), list(range(len(rows)))
    random.shuffle(columns)
    random.shuffle(order)
    first = friedman_test(rankings(NAMES[:products], rows))
    second = friedman_test(
        rankings([NAMES[c] for c in columns], [[rows[r][c] for c in columns] for r in order])
    )
    assert first.p_value == pytest.approx(second.p_value, abs=1e-12)
    assert 0 < first.p_value <= 1


@pytest.mark.parametrize(("tasters", "products"), [(4, 3), (6, 4), (5, 5)])
def test_page_tail_equals_scipy(tasters, products):
    """SciPy's exact page_trend_test, without ties."""
    rng = np.random.default_rng(5)
    for _ in range(5):
        ranks = np.array([rng.permutation(products) + 1 for _ in range(tasters)])
        expected = stats.page_trend_test(ranks, ranked=True, method="exact")
        assert page_tail(expected.statistic, tasters, products) == pytest.approx(expected.pvalue, abs=1e-12)
        found = page_test(rankings(NAMES[:products], ranks.tolist()), NAMES[:products])
        assert found.statistic == expected.statistic
        assert found.p_value == pytest.approx(expected.pvalue, abs=1e-12)


def test_simulated_distribution_agrees_with_the_exact_one():
    """Where the exact sum is too large the simulation takes over; both are made here for one panel."""
    from slowfolio.tasting import rank_null

    doubled = untied(8, 4)
    exact, simulated = (
        rank_null._convolved(tuple(map(tuple, doubled.tolist()))),
        rank_null._simulated(doubled, 7),
    )
    for squares in np.unique(np.sum(exact.sums**2, axis=1))[::9]:
        hits = simulated.chance_squares_reach(int(squares)) * (simulated.draws + 1) - 1
        assert plausible(round(hits), simulated.draws, exact.chance_squares_reach(int(squares)))
    assert "seed 7" in simulated.how
    assert "exact" in exact.how


def test_large_panels_say_that_they_are_simulated_and_repeat_exactly():
    rng = np.random.default_rng(1)
    panel = Rankings(NAMES, 2 * np.array([rng.permutation(5) + 1 for _ in range(40)]))
    first, second = friedman_test(panel, seed=3), friedman_test(panel, seed=3)
    assert first == second
    assert first.how == "simulated, 40000 panels ranked at random, seed 3"
    assert first.p_value == pytest.approx(first.p_large, abs=0.02)


def test_null_distribution_is_a_distribution():
    null = rank_sum_null(untied(7, 4), seed=1)
    assert float(null.weights.sum()) == pytest.approx(1.0)
    assert set(null.sums.sum(axis=1)) == {7 * 2 * 10}


def noisy_rows(rng, means, tasters):
    """Ranks of rounded sensations, so that ties happen."""
    return np.round(rng.normal(size=(tasters, len(means))) + np.array(means)).tolist()


def test_false_alarms_of_friedman_and_page_stay_at_alpha_with_ties():
    rng = np.random.default_rng(21)
    panels, friedman, page, pairs, widest = 300, 0, 0, 0, 0
    for _ in range(panels):
        panel = rankings_of_scores(NAMES[:4], noisy_rows(rng, [0, 0, 0, 0], 6))
        friedman += friedman_test(panel).p_value <= 0.05
        page += page_test(panel, NAMES[:4]).p_value <= 0.05
        found = ranked_pairs(panel)
        pairs += min(pair.p_adjusted for pair in found) <= 0.05
        widest += min(pair.p_widest for pair in found) <= 0.05
    for hits in (friedman, page, pairs, widest):
        assert at_most(hits, panels, 0.05)
    assert friedman > 0.01 * panels


def test_pairs_do_not_alarm_between_like_products_when_another_differs():
    """Two alike, two far off: the two alike must not be called different more often than alpha."""
    rng = np.random.default_rng(22)
    panels, alarms = 250, 0
    for _ in range(panels):
        panel = rankings_of_scores(NAMES[:4], noisy_rows(rng, [0, 0, 3, -3], 7))
        alarms += ranked_pairs(panel)[0].p_adjusted <= 0.05
    assert at_most(alarms, panels, 0.05)


def test_pairs_do_not_alarm_when_tasters_are_of_two_minds():
    """Half love the first and hate the second, half the reverse: neither is ahead, though the gaps are wide.

    The widest-gap value, on which critical-difference tables rest, is misled here; the swap of labels is not.
    """
    rng = np.random.default_rng(23)
    panels, alarms, misled = 300, 0, 0
    for _ in range(panels):
        rows = [[1, 4, *middle] if rng.random() < 0.5 else [4, 1, *middle] for middle in [(2, 3), (3, 2)] * 6]
        pair = ranked_pairs(rankings(NAMES[:4], rows))[0]
        alarms += pair.p_adjusted <= 0.05
        misled += pair.p_widest <= 0.05
    assert at_most(alarms, panels, 0.05)
    assert misled > 0.07 * panels


def test_a_clear_order_is_found():
    rows = [[1, 2, 3, 4]] * 7 + [[2, 1, 3, 4]]
    panel = rankings(NAMES[:4], rows)
    assert friedman_test(panel).p_value < 1e-4
    assert page_test(panel, NAMES[:4]).p_value < 1e-6
    assert page_test(panel, NAMES[3::-1]).p_value > 0.99
    by_names = {(pair.first, pair.second): pair for pair in ranked_pairs(panel)}
    assert by_names[NAMES[0], NAMES[3]].p_adjusted == pytest.approx(3 * 2 / 2**8)
    assert by_names[NAMES[0], NAMES[3]].p_widest < 0.001
    assert by_names[NAMES[0], NAMES[3]].ahead.value == 1.0
    assert by_names[NAMES[0], NAMES[1]].p_adjusted == pytest.approx(2 * 9 / 2**8)


def test_shared_places_may_be_written_either_way():
    one = rankings(("a", "b", "c"), [[1, 1, 3], [1, 2, 3]])
    other = rankings(("a", "b", "c"), [[1.5, 1.5, 3], [1, 2, 3]])
    assert np.array_equal(one.doubled, other.doubled)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=8))
def test_holm_is_between_the_plain_and_bonferroni_and_keeps_order(p_values):
    adjusted = holm(p_values)
    for plain, fixed in zip(p_values, adjusted, strict=True):
        assert plain <= fixed <= min(1.0, plain * len(p_values)) + 1e-12 or fixed == max(adjusted)
    ranked = sorted(range(len(p_values)), key=lambda i: p_values[i])
    assert [adjusted[i] for i in ranked] == sorted(adjusted)


def test_holm_equals_the_worked_values():
    """Computed by hand: 0.01 x 4, 0.02 x 3, 0.03 x 2, then never falling."""
    assert holm([0.02, 0.01, 0.04, 0.03]) == pytest.approx((0.06, 0.04, 0.06, 0.06))


def test_shaffer_counts_the_pairs_that_can_be_alike():
    """Shaffer (1986), table of possible numbers of true pair hypotheses (recalled)."""
    assert sorted(alike_pairs(3)) == [0, 1, 3]
    assert sorted(alike_pairs(4)) == [0, 1, 2, 3, 6]
    assert sorted(alike_pairs(5)) == [0, 1, 2, 3, 4, 6, 10]


def test_shaffer_equals_values_by_hand():
    """Four products: times 3, 3, 3, 3, 2, 1 behind the overall test; three products: times 1."""
    plain = [0.001, 0.004, 0.02, 0.03, 0.2, 0.5]
    expected = [0.01, 0.012, 0.06, 0.09, 0.4, 0.5]
    assert shaffer_pairs(plain, 4, p_overall=0.01) == pytest.approx(expected)
    assert shaffer_pairs([0.03, 0.04, 0.6], 3, p_overall=0.02) == pytest.approx([0.03, 0.04, 0.6])
    with pytest.raises(TastingInputError, match="make 6 pairs but 2"):
        shaffer_pairs([0.1, 0.2], 4, p_overall=0.1)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: rankings(("a", "b", "c"), [[1, 2]]), "ranked 2 of 3"),
        (lambda: rankings(("a", "b"), []), "no rankings"),
        (lambda: rankings(("a", "a"), [[1, 2]]), "named twice"),
        (lambda: rankings(("a", "b"), [[1, 7]]), "ranks from 1 to 2"),
        (lambda: rankings_of_scores(("a", "b"), [[1.0, float("nan")]]), "no number"),
        (lambda: rankings(tuple("abcdefghi"), [list(range(1, 10))]), "from 2 to 8"),
        (lambda: page_test(rankings(("a", "b"), [[1, 2]]), ("a", "c")), "predicted order"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
