"""Scores within tasters: permutation tests, intervals, gaps, cooks."""

from itertools import product as every

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from slowfolio.tasting.blocks import fit_blocks, fit_blocks_and_positions
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.lots import Lots
from slowfolio.tasting.orders import complete_orders, partial_orders
from slowfolio.tasting.scores import (
    Score,
    compare_scores,
    method_difference,
    paired_difference,
    product_means,
    score_tables,
)
from slowfolio.tasting.sign_flips import sign_flip_p_value
from tasting_cases import at_least, at_most, plausible

NAMES = ("foil boat", "paper", "bare", "tight foil")


def scores_of(rows, attribute="bark", part="", cook=""):
    """Scores from rows of tasters by columns of products; None leaves a gap."""
    return [
        Score(f"taster {i}", NAMES[j], attribute, float(value), part, cook)
        for i, row in enumerate(rows)
        for j, value in enumerate(row)
        if value is not None
    ]


def pair_of(rows):
    return paired_difference(score_tables(scores_of(rows))[0], NAMES[0], NAMES[1])


whole_scores = st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), min_size=2, max_size=10)


@given(whole_scores)
@settings(deadline=None)
def test_permutation_p_value_equals_every_pattern_of_signs(rows):
    gaps = np.array([a - b for a, b in rows], dtype=float)
    sums = np.array([np.dot(signs, gaps) for signs in every((-1, 1), repeat=len(rows))])
    expected = float(np.mean(np.abs(sums) >= abs(gaps.sum()) - 1e-9))
    assert pair_of(rows).p_value == pytest.approx(expected, abs=1e-12)


@given(whole_scores)
@settings(deadline=None)
def test_student_p_value_and_interval_equal_scipy(rows):
    first, second = np.array(rows, dtype=float).T
    if np.ptp(first - second) == 0:
        return
    expected = stats.ttest_rel(first, second)
    limits = expected.confidence_interval(0.95)
    found = pair_of(rows)
    assert found.p_student == pytest.approx(expected.pvalue, rel=1e-6, abs=1e-12)
    assert (found.difference.interval.low, found.difference.interval.high) == pytest.approx(
        (limits.low, limits.high), abs=1e-8
    )


def test_signed_rank_p_value_equals_scipy_without_ties():
    """SciPy's exact Wilcoxon test."""
    rng = np.random.default_rng(51)
    for size in (6, 9, 14):
        gaps = rng.normal(0.4, 1, size=size)
        rows = [(gap, 0.0) for gap in gaps]
        expected = stats.wilcoxon(gaps, method="exact").pvalue
        assert pair_of(rows).p_ranks == pytest.approx(expected, abs=1e-12)


def test_exact_and_simulated_sign_flips_agree():
    from slowfolio.tasting import sign_flips

    gaps = np.array([1, 2, -1, 3, 2, 2, -2, 1, 1, 0, 2.0])
    exact, _ = sign_flip_p_value(gaps)
    simulated, how = sign_flips._simulated_p_value(np.abs(gaps[gaps != 0]), abs(gaps.sum()) - 1e-9, 5)
    assert plausible(round(simulated * 40_001 - 1), 40_000, exact)
    assert "seed 5" in how


def test_a_panel_that_always_differs_by_the_same_gets_no_interval():
    """Three tasters one point apart: the data hold no spread, so no certainty may come of it."""
    found = pair_of([(5, 4), (7, 6), (3, 2)])
    assert found.difference.value == 1.0
    assert found.difference.interval.low == -np.inf
    assert found.p_value == 0.25
    assert found.p_student == 1.0


def test_repeats_of_a_taster_are_averaged_not_counted():
    once = scores_of([(7, 5), (6, 6), (8, 5), (5, 4)])
    assert compare_scores(once * 6) == compare_scores(once)
    uneven = [*once, Score("taster 0", NAMES[0], "bark", 4.0)]
    assert score_tables(uneven)[0].means[0, 0] == (7 + 4) / 2


def test_levels_of_tasters_do_not_matter():
    rows = [(7, 5), (6, 6), (8, 5), (5, 4)]
    lifted = [(a + 10 * i, b + 10 * i) for i, (a, b) in enumerate(rows)]
    assert pair_of(lifted).difference == pair_of(rows).difference


def test_flat_is_never_compared_with_point():
    mixed = [
        Score("Ida", "paper", "juiciness", 7, "point"),
        Score("Ida", "bare", "juiciness", 4, "flat"),
        Score("Tom", "paper", "juiciness", 6, "point"),
        Score("Tom", "bare", "juiciness", 5, "flat"),
    ]
    with pytest.raises(
        TastingInputError, match="point of paper and the flat of bare: compare like with like"
    ):
        compare_scores(mixed)
    both = scores_of([(7, 5), (6, 4)], "juiciness", "flat") + scores_of(
        [(8, 8), (9, 7)], "juiciness", "point"
    )
    assert [(one.part, one.difference.value) for one in compare_scores(both)] == [
        ("flat", 2.0),
        ("point", 1.0),
    ]


def test_many_attributes_are_corrected_together():
    rng = np.random.default_rng(52)
    panels, alarms, plain = 300, 0, 0
    for _ in range(panels):
        scores = []
        for attribute in ("bark", "rendering", "juiciness", "tenderness", "smoke"):
            scores += scores_of(np.clip(np.round(rng.normal(5.5, 1.5, size=(10, 2))), 1, 9), attribute)
        found = compare_scores(scores)
        alarms += min(one.p_adjusted for one in found) <= 0.05
        plain += min(one.p_value for one in found) <= 0.05
    assert at_most(alarms, panels, 0.05)
    assert plain > 0.1 * panels


def test_intervals_of_all_attributes_hold_together():
    """Five attributes, true differences 0 and 1: all five intervals hold at once in 95 of 100 panels."""
    rng, panels, covered = np.random.default_rng(59), 300, 0
    for _ in range(panels):
        scores = []
        for number in range(5):
            shift = number % 2
            scores += scores_of(rng.normal([5 + shift, 5], 1.2, size=(10, 2)), f"attribute {number}")
        found = compare_scores(scores)
        covered += all(one.together.holds(int(one.attribute[-1]) % 2) for one in found)
    assert found[0].family == 5
    assert at_least(covered, panels, 0.95)


def test_means_of_products_equal_scipy_intervals():
    rows = [(7, 5), (6, 6), (8, 5), (5, None)]
    means = dict(product_means(score_tables(scores_of(rows))[0]))
    for name, values in ((NAMES[0], [7, 6, 8, 5]), (NAMES[1], [5, 6, 5])):
        expected = stats.ttest_1samp(values, 0).confidence_interval(0.95)
        assert means[name].value == pytest.approx(np.mean(values))
        assert (means[name].interval.low, means[name].interval.high) == pytest.approx(
            (expected.low, expected.high)
        )


def test_intervals_of_a_difference_cover_on_a_nine_point_scale():
    rng, panels, covered = np.random.default_rng(53), 600, 0
    level = rng.normal(5, 1, size=(200_000, 1)) + np.array([0.6, 0.0])
    big = np.clip(np.round(level + rng.normal(0, 1.2, size=level.shape)), 1, 9)
    truth = float(np.mean(big[:, 0] - big[:, 1]))
    for start in range(panels):
        rows = big[start * 12 : (start + 1) * 12]
        covered += pair_of(rows.tolist()).difference.interval.holds(truth)
    assert at_least(covered, panels, 0.945)


# --- several products, gaps ---------------------------------------------------------------------------------


def test_complete_blocks_equal_the_paired_t_test_and_two_way_anova():
    """Two products: the paired t. Three: the residual of the two-way table by hand."""
    rows = [(7, 5), (6, 6), (8, 5), (5, 4), (6, 3)]
    pair, block = pair_of(rows), fit_blocks(score_tables(scores_of(rows))[0]).pairs[0]
    assert block.difference.interval.low == pytest.approx(pair.difference.interval.low)
    assert block.p_value == pytest.approx(pair.p_student)
    table = np.array([(7, 5, 6), (6, 6, 4), (8, 5, 5), (5, 4, 1)], dtype=float)
    found = fit_blocks(score_tables(scores_of(table))[0])
    residual = table - table.mean(1, keepdims=True) - table.mean(0) + table.mean()
    assert found.spread**2 == pytest.approx(float(np.sum(residual**2)) / 6)
    assert found.degrees == 6
    assert found.adjusted == pytest.approx(tuple(table.mean(0)))


def test_gaps_are_bridged_within_tasters_only():
    """Additive scores with gaps: products differ by exactly what they differ within tasters."""
    effect, taster = np.array([0.0, 1.0, 3.0]), np.array([2.0, 8.0, 5.0, 4.0])
    noise = [[0.1, -0.1, None], [None, 0.2, -0.2], [0.1, None, -0.1], [0.0, 0.1, -0.1]]
    rows = [
        [None if n is None else taster[i] + effect[j] + n for j, n in enumerate(row)]
        for i, row in enumerate(noise)
    ]
    found = fit_blocks(score_tables(scores_of(rows))[0])
    gaps = {(one.first, one.second): one.difference.value for one in found.pairs}
    assert gaps[NAMES[0], NAMES[1]] == pytest.approx(-1.0, abs=0.2)
    assert gaps[NAMES[0], NAMES[2]] == pytest.approx(-3.0, abs=0.3)
    assert found.missing == 3


def test_gap_estimates_equal_numpy_least_squares():
    rng = np.random.default_rng(54)
    rows = [[None if rng.random() < 0.3 else float(v) for v in row] for row in rng.normal(5, 1, size=(9, 4))]
    table = score_tables(scores_of(rows))[0]
    found = fit_blocks(table)
    cells = [(i, j, row[j]) for i, row in enumerate(rows) for j in range(4) if row[j] is not None]
    design = np.array([[*(np.arange(9) == i), *(np.arange(1, 4) == j)] for i, j, _ in cells], dtype=float)
    effects = np.append(0.0, np.linalg.lstsq(design, [v for *_, v in cells], rcond=None)[0][9:])
    for pair in found.pairs:
        i, j = NAMES.index(pair.first), NAMES.index(pair.second)
        assert pair.difference.value == pytest.approx(effects[i] - effects[j])


def test_all_intervals_together_cover_with_gaps_and_false_alarms_stay():
    rng, panels, covered, alarms, overall = np.random.default_rng(55), 150, 0, 0, 0
    effect = np.array([0.0, 0.0, 0.0, 0.0])
    orders = partial_orders(4, 3, 8, Lots(1))
    for _ in range(panels):
        rows = [[None] * 4 for _ in orders]
        for i, order in enumerate(orders):
            for j in order:
                rows[i][j] = effect[j] + 3 * (i % 3) + rng.normal()
        found = fit_blocks(score_tables(scores_of(rows))[0])
        covered += all(pair.difference.interval.holds(0.0) for pair in found.pairs)
        alarms += min(pair.p_adjusted for pair in found.pairs) <= 0.05
        overall += found.p_overall <= 0.05
    assert at_least(covered, panels, 0.95)
    assert at_most(alarms, panels, 0.05)
    assert at_most(overall, panels, 0.05)


def test_places_in_the_order_are_taken_out():
    """A first piece that scores two points more, in a Williams square: the products come out alike."""
    rng = np.random.default_rng(56)
    orders = complete_orders(4, 8, Lots(2))
    scores = [
        Score(f"t{i}", NAMES[item], "smoke", 5 + 2 * (place == 1) + rng.normal(0, 0.1), position=place)
        for i, order in enumerate(orders)
        for place, item in enumerate(order, start=1)
    ]
    table = score_tables(scores)[0]
    plain, placed = fit_blocks(table), fit_blocks_and_positions(table, scores)
    assert placed.spread < 0.2 < plain.spread
    assert all(abs(pair.difference.value) < 0.3 for pair in placed.pairs)
    assert placed.degrees == plain.degrees - 3


def test_products_and_places_that_go_together_are_refused():
    scores = [
        Score(f"t{i}", name, "smoke", 5.0 + i * j, position=j + 1)
        for i in range(4)
        for j, name in enumerate(NAMES[:3])
    ]
    with pytest.raises(TastingInputError, match="go together: vary the order"):
        fit_blocks_and_positions(score_tables(scores)[0], scores)


# --- cooks --------------------------------------------------------------------------------------------------


def test_more_tasters_do_not_replace_more_cooks():
    """Two cooks that disagree: a hundred tasters at each leave the methods open, and the interval wide."""
    rng, scores = np.random.default_rng(57), []
    for cook, shift in (("Saturday", 2.0), ("Sunday", 0.5)):
        scores += scores_of(rng.normal([5 + shift, 5], 0.5, size=(100, 2)), cook=cook)
    found = method_difference(scores, NAMES[0], NAMES[1], attribute="bark")
    assert found.cooks == 2
    assert found.difference.interval.low < 0
    assert compare_scores(scores)[0].difference.interval.low > 0


def test_intervals_between_cooks_cover():
    rng, runs, covered = np.random.default_rng(58), 400, 0
    for _ in range(runs):
        scores = []
        for cook in range(4):
            shift = 1.0 + rng.normal(0, 0.8)
            scores += scores_of(rng.normal([5 + shift, 5], 1, size=(5, 2)), cook=str(cook))
        found = method_difference(scores, NAMES[0], NAMES[1], attribute="bark")
        covered += found.difference.interval.holds(1.0)
    assert at_least(covered, runs, 0.95)


def test_one_cook_is_refused_as_evidence_of_a_method():
    with pytest.raises(TastingInputError, match="one cook cannot tell the method from the piece of meat"):
        method_difference(scores_of([(7, 5), (6, 4)], cook="1"), NAMES[0], NAMES[1], attribute="bark")


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: compare_scores([]), "there are no scores"),
        (lambda: compare_scores(scores_of([(7, 5)])), "at least two must"),
        (lambda: compare_scores(scores_of([(7, float("nan")), (6, 4)])), "give a finite number"),
        (lambda: pair_of([(7, None), (None, 4)]), "0 taster"),
        (lambda: fit_blocks(score_tables(scores_of([(7,), (6,)]))[0]), "give a second"),
        (lambda: fit_blocks(score_tables(scores_of([(7, None), (None, 4)]))[0]), "let somebody score both"),
        (lambda: fit_blocks(score_tables(scores_of([(7, 5)]))[0]), "leave nothing to judge chance by"),
        (
            lambda: paired_difference(score_tables(scores_of([(7, 5)]))[0], "paper", "tallow"),
            "tallow has no bark scores: the products are foil boat, paper",
        ),
        (
            lambda: fit_blocks_and_positions(score_tables(scores_of([(7, 5)]))[0], scores_of([(7, 5)])),
            "number the places from 1",
        ),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
