"""d-prime against the published table, SciPy's quadrature and a simulation of the tasters themselves."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from slowfolio.tasting import distributions
from slowfolio.tasting.discrimination import telling_share
from slowfolio.tasting.dprime import (
    a_not_a,
    d_prime,
    d_prime_of,
    d_prime_of_telling,
    fisher_upper,
    p_value_of_at_most,
    share_correct,
    share_correct_slope,
    telling_at,
)
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.protocols import Protocol, guessing
from tasting_cases import at_least, plausible, reference

COLUMNS = {
    Protocol.TRIANGLE: "triangle",
    Protocol.DUO_TRIO: "duo_trio",
    Protocol.PAIRED_COMPARISON: "two_afc_paired",
    Protocol.THREE_CHOICE: "three_afc",
    Protocol.TETRAD: "tetrad",
}
protocols = st.sampled_from(list(Protocol))


@pytest.mark.parametrize("protocol", COLUMNS)
def test_share_correct_equals_the_published_table(protocol):
    """Rows at d = 1, 2, 3 were read in the tests of the R package sensR."""
    for row in reference("dprime_to_pc"):
        found = share_correct(protocol, float(row["d_prime"]))
        assert found == pytest.approx(float(row[COLUMNS[protocol]]), abs=5.1e-6)


@pytest.mark.parametrize("d", [0.0, 0.7, 2.3, 5.0])
def test_integrals_equal_scipy_quadrature(d):
    """The formulas of Ennis (1993) and Ennis & Jesionka (2011), integrated by QUADPACK."""
    pdf, cdf = stats.norm.pdf, stats.norm.cdf
    shift = d * math.sqrt(2 / 3)
    cases = {
        Protocol.THREE_CHOICE: (lambda z: pdf(z - d) * cdf(z) ** 2, -12, 18, 1, 0),
        Protocol.TRIANGLE: (
            lambda z: pdf(z) * (cdf(shift - z * math.sqrt(3)) + cdf(-shift - z * math.sqrt(3))),
            *(0, 12, 2, 0),
        ),
        Protocol.TETRAD: (lambda z: pdf(z) * (2 * cdf(z) * cdf(z - d) - cdf(z - d) ** 2), -12, 18, -2, 1),
    }
    for protocol, (integrand, low, high, factor, start) in cases.items():
        value = integrate.quad(integrand, low, high, epsabs=1e-13, epsrel=1e-13, limit=200)[0]
        assert share_correct(protocol, d) == pytest.approx(start + factor * value, abs=1e-11)


def test_twice_the_nodes_change_nothing():
    for nodes in (120, 240):
        z, weights = distributions.legendre_nodes(-8.5, 12.5, nodes)
        values = distributions.normal_density(z - 2) * distributions.normal_cdf(z) ** 2
        assert float(np.sum(weights * values)) == pytest.approx(
            share_correct(Protocol.THREE_CHOICE, 2.0), abs=1e-13
        )


@given(protocols, st.floats(0.05, 6.0))
def test_slope_is_the_derivative(protocol: Protocol, d: float):
    step = 1e-4
    numeric = (share_correct(protocol, d + step) - share_correct(protocol, d - step)) / (2 * step)
    assert share_correct_slope(protocol, d) == pytest.approx(numeric, abs=1e-6)


@given(protocols, st.floats(0.01, 5.0))
def test_d_prime_is_the_inverse(protocol: Protocol, d: float):
    assert d_prime_of(protocol, share_correct(protocol, d)) == pytest.approx(d, abs=1e-6)


@given(protocols, st.integers(1, 100), st.data())
def test_interval_holds_the_estimate_and_carries_the_exact_one(
    protocol: Protocol, tasters: int, data: st.DataObject
):
    correct = data.draw(st.integers(0, tasters))
    found = d_prime(protocol, correct, tasters)
    assert found.estimate.interval.low <= found.estimate.value <= found.estimate.interval.high
    share = stats.binomtest(correct, tasters).proportion_ci(0.95, "exact")
    if found.estimate.interval.high < 10:
        assert share_correct(protocol, found.estimate.interval.high) == pytest.approx(
            max(share.high, guessing(protocol)), abs=1e-9
        )


@pytest.mark.parametrize("d", [0.5, 1.5, 3.0])
@pytest.mark.parametrize("protocol", [Protocol.TRIANGLE, Protocol.TETRAD, Protocol.DUO_TRIO])
def test_intervals_cover_on_simulated_panels(protocol, d):
    """24 tasters, 1000 panels; every possible count is analysed once."""
    rng = np.random.default_rng(12)
    correct = rng.binomial(24, share_correct(protocol, d), size=1000)
    holds = {int(x): d_prime(protocol, int(x), 24).estimate.interval.holds(d) for x in np.unique(correct)}
    tells = {
        int(x): telling_share(protocol, int(x), 24).interval.holds(telling_at(protocol, d))
        for x in np.unique(correct)
    }
    assert at_least(sum(holds[int(x)] for x in correct), 1000, 0.95)
    assert at_least(sum(tells[int(x)] for x in correct), 1000, 0.95)


def test_ends_are_zero_and_infinite_and_never_nan():
    nothing, everything = d_prime(Protocol.TRIANGLE, 3, 12), d_prime(Protocol.TRIANGLE, 12, 12)
    assert nothing.estimate.value == 0.0
    assert nothing.standard_error is None
    assert everything.estimate.value == math.inf
    assert everything.estimate.interval.high == math.inf
    assert 1 < everything.estimate.interval.low < 6
    assert everything.standard_error is None


@pytest.mark.parametrize("d", [0.0, 1.0, 2.0])
def test_simulated_tasters_are_right_as_often_as_the_functions_say(d):
    """Each piece gives a normal sensation; tasters decide by the nearest, the farthest, the strongest."""
    rng, trials = np.random.default_rng(11), 20_000
    weak, strong = rng.normal(size=(trials, 3)), rng.normal(d, 1, size=(trials, 3))
    a, b, odd = weak[:, 0], weak[:, 1], strong[:, 0]
    triangle = np.abs(a - b) < np.minimum(np.abs(a - odd), np.abs(b - odd))
    duo_trio = np.abs(a - b) < np.abs(a - odd)
    three = odd > np.maximum(a, b)
    paired = odd > a
    four = np.sort(np.column_stack([weak[:, :2], strong[:, :2]]), axis=1)
    top_two = np.sort(strong[:, :2], axis=1)
    bottom_two = np.sort(weak[:, :2], axis=1)
    tetrad = np.all(four[:, 2:] == top_two, axis=1) | np.all(four[:, 2:] == bottom_two, axis=1)
    seen = {
        Protocol.TRIANGLE: triangle,
        Protocol.DUO_TRIO: duo_trio,
        Protocol.THREE_CHOICE: three,
        Protocol.PAIRED_COMPARISON: paired,
        Protocol.TETRAD: tetrad,
    }
    for protocol, right in seen.items():
        assert plausible(int(right.sum()), trials, share_correct(protocol, d)), protocol


def test_same_share_who_tell_is_a_larger_difference_in_a_triangle_than_in_a_tetrad():
    assert d_prime_of_telling(Protocol.TRIANGLE, 0.4) > d_prime_of_telling(Protocol.TETRAD, 0.4)
    assert telling_at(Protocol.TETRAD, d_prime_of_telling(Protocol.TETRAD, 0.4)) == pytest.approx(0.4)


@given(st.integers(2, 40), st.integers(2, 40), st.data())
def test_fisher_equals_scipy(shown_a: int, shown_other: int, data: st.DataObject):
    hits, false_alarms = data.draw(st.integers(0, shown_a)), data.draw(st.integers(0, shown_other))
    table = [[hits, shown_a - hits], [false_alarms, shown_other - false_alarms]]
    expected = stats.fisher_exact(table, alternative="greater").pvalue
    assert fisher_upper(hits, shown_a, false_alarms, shown_other) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: share_correct(Protocol.TRIANGLE, -1), "d-prime is -1"),
        (lambda: d_prime_of(Protocol.TRIANGLE, 1.5), "share of right answers is 1.5"),
        (lambda: a_not_a(hits=20, shown_a=20, false_alarms=1, shown_other=20), "taste more pieces"),
        (lambda: p_value_of_at_most(Protocol.TRIANGLE, 3, 9, d_limit=0), "must be above 0"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()


# --- the distributions underneath ---------------------------------------------------------------------------


@given(st.floats(-40, 40), st.integers(1, 300))
def test_student_t_equals_scipy(t: float, degrees: int):
    assert distributions.student_t_upper(t, degrees) == pytest.approx(
        stats.t.sf(t, degrees), rel=1e-7, abs=1e-14
    )


@given(st.floats(0.5, 0.999), st.integers(1, 200))
def test_student_t_limit_equals_scipy(confidence: float, degrees: int):
    expected = stats.t.ppf(0.5 + confidence / 2, degrees)
    assert distributions.two_sided_t(confidence, degrees) == pytest.approx(expected, rel=1e-9)


@given(st.floats(0.001, 200), st.integers(1, 40))
def test_chi_square_equals_scipy(x: float, degrees: int):
    expected = stats.chi2.sf(x, degrees)
    assert distributions.chi_square_upper(x, degrees) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("count", [2, 3, 5, 8, 12])
def test_range_equals_scipy_studentised_range(count):
    for q in (0.5, 2.0, 3.3, 5.0):
        expected = stats.studentized_range.sf(q, count, np.inf)
        assert distributions.range_upper(q, count) == pytest.approx(expected, abs=1e-9)
    assert distributions.range_upper(distributions.range_quantile(0.05, count), count) == pytest.approx(0.05)


@pytest.mark.parametrize("degrees", [1, 2, 5, 11, 40, 200])
def test_noncentral_t_equals_scipy(degrees):
    for t, shift in ((2.0, 0.5), (2.5, 3.0), (1.0, 6.0)):
        expected = stats.nct.sf(t, degrees, shift)
        assert distributions.noncentral_t_upper(t, degrees, shift) == pytest.approx(expected, abs=1e-8)
