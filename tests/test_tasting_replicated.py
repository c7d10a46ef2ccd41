"""Tasters who answered several sets: the beta-binomial, its interval and its false alarms."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, special, stats

from slowfolio.tasting.binomial import clopper_pearson
from slowfolio.tasting.errors import TastingInputError
from slowfolio.tasting.protocols import Protocol
from slowfolio.tasting.replicated import TasterCount, fit_beta_binomial, replicated_test
from tasting_cases import at_least, at_most


def counts(right, sets):
    return [
        TasterCount(f"taster {i}", int(x), int(n)) for i, (x, n) in enumerate(zip(right, sets, strict=True))
    ]


def panel(rng, tasters, sets, mean, spread):
    """Tasters whose own chance of being right is drawn from a beta distribution."""
    size = 1 / spread - 1
    chances = rng.beta(mean * size, (1 - mean) * size, size=tasters)
    return counts(rng.binomial(sets, chances), [sets] * tasters)


def test_fit_equals_scipy_beta_binomial():
    """SciPy's betabinom, maximised by its own optimiser."""
    right, sets = [1, 4, 6, 0, 5, 3, 2, 6], [6, 6, 7, 5, 6, 6, 6, 6]

    def loss(point):
        return -float(np.sum(stats.betabinom.logpmf(right, sets, np.exp(point[0]), np.exp(point[1]))))

    best = optimize.minimize(loss, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12})
    a, b = np.exp(best.x)
    found = fit_beta_binomial(counts(right, sets))
    assert found.log_likelihood == pytest.approx(-best.fun, abs=1e-8)
    assert found.mean == pytest.approx(a / (a + b), abs=1e-5)
    assert found.spread == pytest.approx(1 / (a + b + 1), abs=1e-5)


def test_interval_ends_where_the_likelihood_has_dropped_by_half_of_t_squared():
    """SciPy's betabinom, maximised over the spread at either end; t with tasters less one."""
    right, sets = [1, 4, 6, 0, 5, 3, 2, 6], [6, 6, 7, 5, 6, 6, 6, 6]

    def profile(mean):
        def loss(logit):
            size = 1 / special.expit(logit) - 1
            return -float(np.sum(stats.betabinom.logpmf(right, sets, mean * size, (1 - mean) * size)))

        return -optimize.minimize_scalar(loss, bounds=(-8, 8), method="bounded", options={"xatol": 1e-9}).fun

    found = replicated_test(Protocol.TRIANGLE, counts(right, sets)).share_right
    for end in (found.interval.low, found.interval.high):
        assert 2 * (profile(found.value) - profile(end)) == pytest.approx(
            stats.t.ppf(0.975, 7) ** 2, abs=1e-3
        )


def test_likelihood_without_spread_is_the_binomial():
    found = fit_beta_binomial(counts([3, 3, 3, 3], [6, 6, 6, 6]))
    assert found.spread == 0.0
    assert found.mean == pytest.approx(0.5)
    assert found.log_likelihood == pytest.approx(4 * np.log(special.comb(6, 3) / 2**6))
    assert found.p_value == 1.0


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=2, max_size=8))
@settings(deadline=None, max_examples=40)
def test_interval_holds_the_share_and_is_never_nan(pairs):
    found = replicated_test(
        Protocol.TRIANGLE, counts([a for a, _ in pairs], [max(a + b, 1) + 1 for a, b in pairs])
    )
    limits = found.share_right.interval
    assert 0.0 <= limits.low <= found.share_right.value + 1e-6
    assert found.share_right.value - 1e-6 <= limits.high <= 1.0
    assert 0.0 <= found.p_value <= 1.0


def test_a_panel_that_was_never_right_leaves_the_upper_end_open_but_bounded():
    found = replicated_test(Protocol.TRIANGLE, counts([0] * 8, [4] * 8))
    assert found.share_right.value == 0.0
    assert found.share_right.interval.low == 0.0
    assert 0.1 < found.share_right.interval.high < 0.6


def test_answers_of_few_tasters_say_less_than_their_number():
    """Half the panel always right, half guessing: the pooled interval is far too narrow."""
    found = replicated_test(Protocol.TRIANGLE, counts([12] * 5 + [4] * 5, [12] * 10))
    pooled = clopper_pearson(found.right, found.answers)
    limits = found.share_right.interval
    assert limits.high - limits.low > 1.8 * (pooled.high - pooled.low)
    assert found.fit.p_value < 0.001
    assert found.found


def test_intervals_cover_the_mean_of_people_who_differ():
    """At least 95 % on panels of 12 tasters with 5 sets each, for little and for large spread."""
    rng = np.random.default_rng(31)
    for mean, spread in ((0.5, 0.3), (0.45, 0.05)):
        panels = 60
        covered = sum(
            replicated_test(Protocol.TRIANGLE, panel(rng, 12, 5, mean, spread)).share_right.interval.holds(
                mean
            )
            for _ in range(panels)
        )
        assert at_least(covered, panels, 0.94)


def test_the_pooled_interval_would_not_cover():
    """Why the beta-binomial is there: pooling repeats of tasters who differ covers far too seldom."""
    rng = np.random.default_rng(32)
    covered = 0
    for _ in range(400):
        given_counts = panel(rng, 12, 5, 0.5, 0.3)
        covered += clopper_pearson(sum(c.right for c in given_counts), 60).holds(0.5)
    assert covered < 0.88 * 400


def test_false_alarms_stay_at_alpha_when_nobody_can_tell():
    rng = np.random.default_rng(33)
    hits = sum(
        stats.binom.sf(int(rng.binomial(4, 1 / 3, size=9).sum()) - 1, 36, 1 / 3) <= 0.05 for _ in range(2000)
    )
    assert at_most(hits, 2000, 0.05)
    found = [
        replicated_test(Protocol.TRIANGLE, counts(rng.binomial(4, 1 / 3, size=9), [4] * 9)) for _ in range(60)
    ]
    assert at_most(sum(result.found for result in found), 60, 0.05)
    assert at_most(sum(result.fit.p_value <= 0.05 for result in found), 60, 0.05)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: replicated_test(Protocol.TRIANGLE, counts([3], [4])), "at least two tasters"),
        (lambda: replicated_test(Protocol.TRIANGLE, counts([1, 0], [1, 1])), "use the plain test"),
        (lambda: replicated_test(Protocol.TRIANGLE, counts([5, 0], [4, 4])), "5 but sets is 4"),
        (lambda: replicated_test(Protocol.TRIANGLE, [TasterCount("Ida", 1, 2)] * 2), "listed twice"),
    ],
)
def test_wrong_input_says_what_to_write(wrong, message):
    with pytest.raises(TastingInputError, match=message):
        wrong()
