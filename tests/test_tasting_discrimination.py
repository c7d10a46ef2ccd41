"""Right-or-wrong tests against the published tables, SciPy and their own definitions."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from slowfolio.tasting import binomial
from slowfolio.tasting.discrimination import (
    Answer,
    count_answers,
    difference_power,
    difference_test,
    maximum_correct,
    minimum_correct,
    similarity_power,
    similarity_test,
    tasters_for_difference,
    tasters_for_similarity,
    telling_share,
)
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.protocols import Protocol, Sides, chance_correct, discriminators, guessing
from tasting_cases import reference

TRIANGLE, DUO_TRIO, PAIRED = Protocol.TRIANGLE, Protocol.DUO_TRIO, Protocol.PAIRED_COMPARISON

protocols = st.sampled_from(list(Protocol))
shares = st.floats(0.02, 0.98)


def cell(text: str) -> int | None:
    return int(text) if text else None


def test_triangle_minimum_equals_the_fao_table():
    """FAO Fisheries Technical Paper 348, Appendix A, and exact binomials for the sizes between."""
    for row in reference("triangle_min_correct"):
        for column, expected in list(row.items())[1:]:
            alpha = float(column.removeprefix("alpha_"))
            assert minimum_correct(TRIANGLE, int(row["n"]), alpha=alpha) == cell(expected), (row["n"], alpha)


def test_duo_trio_and_paired_minimum_equal_the_iso_table():
    """ISO 10399 and ISO 5495, one- and two-sided."""
    for row in reference("duotrio_paired_min_correct"):
        tasters = int(row["n"])
        for column, expected in list(row.items())[1:]:
            kind, level = column.split("_")
            sides, alpha = (Sides.ONE if kind == "one" else Sides.TWO), float(level)
            assert minimum_correct(PAIRED, tasters, alpha=alpha, sides=sides) == cell(expected), row
            if sides is Sides.ONE:
                assert minimum_correct(DUO_TRIO, tasters, alpha=alpha) == cell(expected), row


def test_similarity_maximum_equals_the_iso_4120_table():
    for row in reference("triangle_similarity_max_correct"):
        for limit in (0.1, 0.2, 0.3, 0.4, 0.5):
            found = maximum_correct(TRIANGLE, int(row["n"]), limit=limit, alpha=float(row["beta"]))
            assert found == int(row[f"pd_{limit}"]), row


def test_sample_sizes_equal_the_exact_table():
    """Exact binomial sizes; two of them printed by sensR, ISO 4120's 16, 20, 23 ... recalled."""
    for row in reference("discrimination_sample_size"):
        protocol = TRIANGLE if row["method"] == "triangle" else DUO_TRIO
        found = tasters_for_difference(
            protocol, telling=float(row["pd"]), alpha=float(row["alpha"]), power=1 - float(row["beta"])
        )
        assert (found.first, found.stable) == (int(row["n_first"]), int(row["n_stable"])), row


def test_power_equals_the_table_of_the_notes():
    """Exact binomial, tabled by another program: triangle, alpha 0.05, shares of 20 to 60 % who tell."""
    table = {
        6: (0.08, 0.14, 0.23, 0.35, 0.49),
        12: (0.14, 0.26, 0.44, 0.63, 0.81),
        24: (0.30, 0.55, 0.79, 0.93, 0.99),
        36: (0.41, 0.72, 0.92, 0.99, 1.00),
        60: (0.65, 0.92, 0.99, 1.00, 1.00),
    }
    for tasters, powers in table.items():
        for telling, power in zip((0.2, 0.3, 0.4, 0.5, 0.6), powers, strict=True):
            found = difference_power(TRIANGLE, tasters, telling=telling)
            assert found == pytest.approx(power, abs=0.005001)


@given(st.integers(1, 400), shares, st.data())
def test_tails_equal_scipy(trials: int, p: float, data: st.DataObject):
    x = data.draw(st.integers(0, trials))
    assert binomial.upper_tail(x, trials, p) == pytest.approx(
        stats.binom.sf(x - 1, trials, p), rel=1e-9, abs=1e-300
    )
    assert binomial.lower_tail(x, trials, p) == pytest.approx(
        stats.binom.cdf(x, trials, p), rel=1e-9, abs=1e-300
    )


@given(st.integers(1, 300), st.sampled_from([0.8, 0.9, 0.95, 0.99]), st.data())
def test_exact_interval_equals_scipy(trials: int, confidence: float, data: st.DataObject):
    x = data.draw(st.integers(0, trials))
    found = binomial.clopper_pearson(x, trials, confidence)
    expected = stats.binomtest(x, trials).proportion_ci(confidence, "exact")
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high), abs=1e-10)


@given(st.integers(1, 120), st.data())
def test_paired_two_sided_p_value_equals_scipy(tasters: int, data: st.DataObject):
    x = data.draw(st.integers(0, tasters))
    found = difference_test(PAIRED, x, tasters, sides=Sides.TWO)
    assert found.p_value == pytest.approx(stats.binomtest(x, tasters).pvalue, rel=1e-9)


@given(protocols, st.integers(1, 150), st.sampled_from([0.2, 0.1, 0.05, 0.01]))
def test_minimum_correct_is_where_the_test_turns(protocol: Protocol, tasters: int, alpha: float):
    fewest = minimum_correct(protocol, tasters, alpha=alpha)
    if fewest is None:
        assert not difference_test(protocol, tasters, tasters, alpha=alpha).found
        return
    assert difference_test(protocol, fewest, tasters, alpha=alpha).found
    assert fewest == 0 or not difference_test(protocol, fewest - 1, tasters, alpha=alpha).found


@given(protocols, st.integers(1, 150), shares)
def test_maximum_correct_is_where_similarity_turns(protocol: Protocol, tasters: int, limit: float):
    most = maximum_correct(protocol, tasters, limit=limit)
    if most is None:
        assert not similarity_test(protocol, 0, tasters, limit=limit).shown
        return
    assert similarity_test(protocol, most, tasters, limit=limit).shown
    assert most == tasters or not similarity_test(protocol, most + 1, tasters, limit=limit).shown


@given(protocols, st.integers(1, 300), shares)
def test_false_alarms_never_exceed_alpha(protocol: Protocol, tasters: int, limit: float):
    assert difference_power(protocol, tasters, telling=0.0) <= 0.05
    assert similarity_power(protocol, tasters, limit=limit, telling=limit) <= 0.05 + 1e-12


@given(protocols, st.floats(0.15, 0.9), st.sampled_from([0.1, 0.05, 0.01]), st.sampled_from([0.7, 0.8, 0.95]))
def test_the_sizes_keep_their_promise(protocol: Protocol, telling: float, alpha: float, power: float):
    size = tasters_for_difference(protocol, telling=telling, alpha=alpha, power=power)

    def reached(tasters: int) -> float:
        return difference_power(protocol, tasters, telling=telling, alpha=alpha)

    assert reached(size.first) >= power - 1e-9
    assert all(reached(n) < power for n in range(max(size.first - 3, 1), size.first))
    assert all(reached(n) >= power - 1e-9 for n in range(size.stable, size.stable + 60))
    assert size.stable == size.first or reached(size.stable - 1) < power


def test_similarity_size_keeps_its_promise():
    size = tasters_for_similarity(TRIANGLE, limit=0.3)
    assert similarity_power(TRIANGLE, size.first, limit=0.3) >= 0.8
    assert similarity_power(TRIANGLE, size.first - 1, limit=0.3) < 0.8
    assert all(similarity_power(TRIANGLE, n, limit=0.3) >= 0.8 for n in range(size.stable, size.stable + 40))


@given(protocols, st.floats(0, 1))
def test_share_who_tell_and_share_right_are_inverse(protocol: Protocol, telling: float):
    assert discriminators(protocol, chance_correct(protocol, telling)) == pytest.approx(telling, abs=1e-12)


@given(protocols, st.integers(2, 200), st.data())
def test_similarity_and_interval_agree(protocol: Protocol, tasters: int, data: st.DataObject):
    """Similarity at half alpha is shown exactly where the upper end of the interval is below the limit."""
    correct = data.draw(st.integers(0, tasters))
    limit = data.draw(st.floats(0.05, 0.95))
    upper = telling_share(protocol, correct, tasters).interval.high
    shown = similarity_test(protocol, correct, tasters, limit=limit, alpha=0.025).shown
    assert abs(upper - limit) < 1e-6 or shown == (upper < limit)


def test_guessing_is_what_blind_guessers_reach():
    """A guesser's answers over all serving patterns: the odd one, the match, the pairing."""
    assert guessing(TRIANGLE) == pytest.approx(1 / 3)
    pairings = math.comb(4, 2) // 2
    assert guessing(Protocol.TETRAD) == pytest.approx(1 / pairings)
    assert guessing(Protocol.DOUBLE_DUO_TRIO) == guessing(DUO_TRIO) ** 2


def test_a_taster_is_counted_once():
    answers = [Answer("Ida", True), Answer("Tom", False), Answer("Ida", True)]
    with pytest.raises(TastingInputError, match=r"Ida answered more than once.*replicated"):
        count_answers(answers)
    assert count_answers(answers[:2]) == (1, 2)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: difference_test(TRIANGLE, 13, 12), "13 but tasters is 12"),
        (lambda: difference_test(TRIANGLE, 0, 0), "tasters is 0"),
        (lambda: difference_test(TRIANGLE, 3, 12, alpha=5), "alpha is 5: give a number between 0 and 1"),
        (lambda: difference_test(TRIANGLE, 2.5, 12), "whole number"),
        (lambda: difference_test(TRIANGLE, True, 12), "whole number"),
        (lambda: difference_test(TRIANGLE, 8, 12, sides=Sides.TWO), "only a paired comparison"),
        (lambda: similarity_test(TRIANGLE, 3, 12, limit=0.0), "share who may tell is 0"),
        (lambda: tasters_for_difference(TRIANGLE, telling=0.0), "larger difference"),
        (lambda: tasters_for_difference(TRIANGLE, telling=0.001), "too small to plan for"),
        (lambda: tasters_for_similarity(TRIANGLE, limit=0.2, telling=0.3), "larger difference"),
        (lambda: tasters_for_difference(TRIANGLE, telling=float("nan")), "finite number"),
        (lambda: count_answers([]), "there are no answers"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()


def test_counts_from_numpy_are_counts():
    assert difference_test(TRIANGLE, np.int64(8), np.int64(12)).fewest_correct == 8
