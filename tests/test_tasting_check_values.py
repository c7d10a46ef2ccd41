"""Every row of the file of published check values, computed by the package.

The rows name their sources: help pages and test output of the R package sensR 1.5-3, FAO Fisheries Technical
Paper 348, Hollander & Wolfe, Conover, Agresti, the documentation of R and SciPy. Where a value was printed
rounded, the tolerance is half of its last digit; where the published search stops early, that is said.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from scipy import stats

from slowfolio.tasting import large_sample
from slowfolio.tasting.binomial import (
    lower_tail,
    power_above,
    sizes_above,
)
from slowfolio.tasting.bradley_terry import fit
from slowfolio.tasting.discrimination import (
    difference_power,
    difference_test,
    maximum_correct,
    minimum_correct,
    similarity_power,
    similarity_test,
    tasters_for_difference,
    tasters_for_similarity,
)
from slowfolio.tasting.distributions import normal_upper
from slowfolio.tasting.dprime import (
    a_not_a,
    d_prime,
    d_prime_of_telling,
    p_value_of_at_most,
    share_correct,
)
from slowfolio.tasting.paired_preference import Votes, two_choice_model
from slowfolio.tasting.protocols import Protocol, Sides, discriminators
from slowfolio.tasting.ranking import (
    friedman_test,
    page_large_sample,
    page_tail,
    rankings,
    rankings_of_scores,
)
from slowfolio.tasting.replicated import TasterCount, fit_beta_binomial
from slowfolio.tasting.scores import Score, paired_difference, score_tables
from slowfolio.tasting.strength_likelihood import Comparison, Outcome
from tasting_cases import numbers, reference

TRIANGLE, DUO_TRIO, PAIRED = Protocol.TRIANGLE, Protocol.DUO_TRIO, Protocol.PAIRED_COMPARISON
THREE, TETRAD, DOUBLE = Protocol.THREE_CHOICE, Protocol.TETRAD, Protocol.DOUBLE_DUO_TRIO
ROWS = reference("sensory_check_values")

ROUNDING_FIRST_BASE = [  # Hollander & Wolfe (1973), as in the help page of R's friedman.test (recalled)
    *[[5.40, 5.50, 5.55], [5.85, 5.70, 5.75], [5.20, 5.60, 5.50], [5.55, 5.50, 5.40], [5.90, 5.85, 5.70]],
    *[[5.45, 5.55, 5.60], [5.40, 5.40, 5.35], [5.45, 5.50, 5.35], [5.25, 5.15, 5.00], [5.85, 5.80, 5.70]],
    *[[5.25, 5.20, 5.10], [5.65, 5.55, 5.45], [5.60, 5.35, 5.45], [5.05, 5.00, 4.95], [5.50, 5.50, 5.40]],
    *[[5.45, 5.55, 5.50], [5.55, 5.55, 5.35], [5.45, 5.50, 5.55], [5.50, 5.45, 5.25], [5.65, 5.60, 5.40]],
    *[[5.70, 5.65, 5.55], [6.30, 6.30, 6.25]],
]
GRASS = [  # Conover, Practical Nonparametric Statistics: 12 homeowners rank 4 grasses (recalled)
    *[[4, 3, 2, 1], [4, 2, 3, 1], [3, 1.5, 1.5, 4], [3, 1, 2, 4], [4, 2, 1, 3], [2, 2, 2, 4]],
    *[[1, 3, 2, 4], [2, 4, 1, 3], [3.5, 1, 2, 3.5], [4, 1, 3, 2], [4, 2, 3, 1], [3.5, 1, 2, 3.5]],
]
EAST_1987 = [  # Agresti, Categorical Data Analysis: wins of row over column (recalled)
    [0, 7, 9, 7, 7, 9, 11],
    [6, 0, 7, 5, 11, 9, 9],
    [4, 6, 0, 7, 7, 8, 12],
    [6, 8, 6, 0, 6, 7, 10],
    [6, 2, 6, 7, 0, 7, 12],
    [4, 4, 5, 6, 6, 0, 6],
    [2, 4, 1, 3, 1, 7, 0],
]
SLEEP = (  # Student (1908), as in R's data set sleep (recalled)
    [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0],
    [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4],
)

CHECKED: set[tuple[str, str]] = set()
Check = Callable[[], None]


@dataclass(frozen=True, slots=True)
class Row:
    """The numbers in a row's input and in its expected values."""

    given: list[float]
    expected: list[float]


CHECKS: list[tuple[str, Check]] = []


def of_row(test: str, starts: str = "") -> Callable[[Callable[[Row], None]], None]:
    """Register a check of the row with this test name whose input starts so."""

    def register(check: Callable[[Row], None]) -> None:
        (row,) = [row for row in ROWS if row["test"] == test and row["input"].startswith(starts)]
        CHECKED.add((row["test"], row["input"]))
        values = Row(numbers(row["input"]), numbers(row["expected"]))
        CHECKS.append((f"{test}: {row['input'][:40]}", lambda: check(values)))

    return register


@of_row("triangle", "min correct")
def _(row: Row) -> None:
    assert [minimum_correct(TRIANGLE, n) for n in (12, 24, 30, 36)] == row.expected


@of_row("triangle", "findcr")
def _(row: Row) -> None:
    assert [minimum_correct(TRIANGLE, 25)] == row.expected


@of_row("triangle similarity", "findcr")
def _(row: Row) -> None:
    assert [maximum_correct(TRIANGLE, 25, limit=0.2)] == row.expected


@of_row("triangle", "10/15")
def _(row: Row) -> None:
    assert d_prime(TRIANGLE, 10, 15).estimate.value == pytest.approx(row.expected[0], abs=5e-5)
    assert large_sample.score_p_value(TRIANGLE, 10, 15) == pytest.approx(row.expected[1], abs=5e-7)


@of_row("triangle similarity", "26/75, pd0")
def _(row: Row) -> None:
    result = similarity_test(TRIANGLE, 26, 75, limit=0.2)
    assert result.p_value == pytest.approx(row.expected[0], abs=5e-6)


@of_row("triangle similarity", "26/75, d0")
def _(row: Row) -> None:
    assert p_value_of_at_most(TRIANGLE, 26, 75, d_limit=1.0) == pytest.approx(row.expected[0], abs=5e-5)


@of_row("triangle similarity", "20/75")
def _(row: Row) -> None:
    assert similarity_test(TRIANGLE, 20, 75, limit=0.2).p_value == pytest.approx(row.expected[0], abs=5e-10)


@of_row("duo-trio", "15/20")
def _(row: Row) -> None:
    assert difference_test(DUO_TRIO, 15, 20).p_value == pytest.approx(row.expected[0], abs=5e-5)
    assert difference_test(DUO_TRIO, 14, 20).p_value == pytest.approx(row.expected[1], abs=5e-5)
    assert minimum_correct(DUO_TRIO, 20) == row.expected[2]


@of_row("duo-trio", "10/15")
def _(row: Row) -> None:
    assert d_prime(DUO_TRIO, 10, 15).estimate.value == pytest.approx(row.expected[0], abs=2e-6)


@of_row("duo-trio power")
def _(row: Row) -> None:
    assert difference_power(DUO_TRIO, 20, telling=0.5) == pytest.approx(row.expected[0], abs=5e-4)


@of_row("similarity power duo-trio")
def _(row: Row) -> None:
    assert maximum_correct(DUO_TRIO, 100, limit=1 / 3) == 58
    # The printed .042 and .064 are the normal approximation with continuity correction, not the exact tails.
    for correct, printed in ((58, 0.042), (59, 0.064)):
        score = (correct + 0.5 - 200 / 3) / math.sqrt(200 / 9)
        assert normal_upper(-score) == pytest.approx(printed, abs=5e-4)
        assert lower_tail(correct, 100, 2 / 3) == pytest.approx(
            stats.binom.cdf(correct, 100, 2 / 3), rel=1e-11
        )
    assert similarity_power(DUO_TRIO, 100, limit=1 / 3, telling=0.0) == pytest.approx(
        row.expected[0], abs=5e-4
    )
    assert similarity_power(DUO_TRIO, 100, limit=1 / 3, telling=0.2) == pytest.approx(
        row.expected[1], abs=5e-4
    )


@of_row("2-AFC")
def _(row: Row) -> None:
    share, telling, distance, error, p_value = row.given[2:7]
    found = d_prime(PAIRED, 10, 15)
    assert pytest.approx(share, abs=5e-5) == 10 / 15
    assert discriminators(PAIRED, 10 / 15) == pytest.approx(telling, abs=5e-5)
    assert found.estimate.value == pytest.approx(distance, abs=5e-6)
    assert found.standard_error == pytest.approx(error, abs=5e-6)
    assert difference_test(PAIRED, 10, 15).p_value == pytest.approx(p_value, abs=5e-6)


@of_row("2-AFC power")
def _(row: Row) -> None:
    share = share_correct(PAIRED, 1.0)
    assert power_above(30, p_null=0.5, p_true=share, alpha=0.05) == pytest.approx(row.expected[0], abs=1e-12)


@of_row("2-AFC power normal / cont.corr")
def _(row: Row) -> None:
    share = share_correct(PAIRED, 1.0)
    normal = large_sample.normal_power(30, p_null=0.5, p_true=share, alpha=0.05)
    corrected = large_sample.corrected_normal_power(30, p_null=0.5, p_true=share, alpha=0.05)
    assert (normal, corrected) == pytest.approx(row.expected, abs=1e-12)


@of_row("3-AFC")
def _(row: Row) -> None:
    # The published d-prime comes from a search that stops at about 1e-5.
    assert d_prime(THREE, 10, 15).estimate.value == pytest.approx(row.expected[0], abs=1e-5)
    assert large_sample.likelihood_p_value(THREE, 10, 15) == pytest.approx(row.expected[1], abs=5e-8)


@of_row("tetrad")
def _(row: Row) -> None:
    found = d_prime(TETRAD, 10, 15)
    assert found.estimate.value == pytest.approx(row.expected[0], abs=5e-6)
    assert found.standard_error == pytest.approx(row.expected[1], abs=5e-6)


@of_row("tetrad power")
def _(row: Row) -> None:
    share = share_correct(TETRAD, 1.0)
    assert power_above(50, p_null=1 / 3, p_true=share, alpha=0.05) == pytest.approx(row.expected[0], abs=5e-7)
    assert sizes_above(p_null=1 / 3, p_true=share, alpha=0.05, power=0.9).first == row.expected[1]


@of_row("tetrad rescale")
def _(row: Row) -> None:
    assert d_prime_of_telling(TETRAD, row.given[0]) == pytest.approx(row.given[1], abs=5e-6)
    # Printed with a search that stops at about 1e-5.
    assert d_prime_of_telling(TETRAD, row.given[2]) == pytest.approx(row.given[3], abs=1.5e-5)


@of_row("sample size p0=1/2")
def _(row: Row) -> None:
    half = tasters_for_difference(DUO_TRIO, telling=0.5)
    two = sizes_above(p_null=0.5, p_true=share_correct(PAIRED, 1.0), alpha=0.05, power=0.9)
    alike = tasters_for_similarity(DUO_TRIO, limit=0.2, telling=0.1)
    assert [half.first, half.stable, two.first, alike.first] == row.expected


@of_row("triangle power zig-zag")
def _(row: Row) -> None:
    share = share_correct(TRIANGLE, row.given[0])
    for n, power in zip(row.given[1::2], row.given[2::2], strict=True):
        found = power_above(int(n), p_null=1 / 3, p_true=share, alpha=0.05)
        assert found == pytest.approx(power, abs=5e-4)


@of_row("A-not-A")
def _(row: Row) -> None:
    found = a_not_a(hits=10, shown_a=20, false_alarms=3, shown_other=20)
    assert found.d_prime == pytest.approx(row.expected[0], abs=5e-8)
    # The published error comes from a fitted generalised linear model that stops at about 1e-6.
    assert found.standard_error == pytest.approx(row.expected[1], abs=1e-6)
    assert found.p_value == pytest.approx(row.expected[2], abs=5e-8)


@of_row("2-AC", "(5,0,15)")
def _(row: Row) -> None:
    found = two_choice_model(Votes(5, 0, 15))
    assert found.d_prime.value == pytest.approx(row.expected[0], abs=5e-5)
    # Closed form: G2 = 2 (5 ln(5/10) + 15 ln(15/10)); the published search stops 2e-5 short of its p-value.
    assert found.g_squared == pytest.approx(2 * (5 * math.log(0.5) + 15 * math.log(1.5)), abs=1e-12)
    assert found.p_value == pytest.approx(row.expected[1], abs=2e-5)


@of_row("2-AC", "(3,5,12)")
def _(row: Row) -> None:
    found = two_choice_model(Votes(3, 5, 12))
    assert (found.tau, found.d_prime.value) == pytest.approx(row.expected, abs=5e-6)


@of_row("double duo-trio")
def _(row: Row) -> None:
    distance, normal, exact = row.given[2], row.given[3], row.given[4]
    # The published search for d-prime stops at about 3e-5.
    assert d_prime(DOUBLE, 35, 100).estimate.value == pytest.approx(distance, abs=3e-5)
    assert large_sample.normal_power(100, p_null=0.25, p_true=0.35, alpha=0.05) == pytest.approx(
        normal, abs=1e-4
    )
    assert power_above(100, p_null=0.25, p_true=0.35, alpha=0.05) == pytest.approx(exact, abs=5e-5)
    assert minimum_correct(DOUBLE, 100) == 33


@of_row("beta-binomial tetrad")
def _(row: Row) -> None:
    right, sets = row.given[:18], row.given[18:]
    found = fit_beta_binomial(
        [TasterCount(str(i), int(x), int(n)) for i, (x, n) in enumerate(zip(right, sets, strict=True))]
    )
    mean, spread, log_likelihood, _, g_squared = row.expected  # "G2" brings a digit of its own
    assert found.mean == pytest.approx(mean, abs=5e-6)
    assert found.spread == pytest.approx(spread, abs=5e-6)
    assert found.log_likelihood == pytest.approx(log_likelihood, abs=5e-5)
    assert found.g_squared == pytest.approx(g_squared, abs=5e-5)


@of_row("Friedman")
def _(row: Row) -> None:
    found = friedman_test(rankings_of_scores(("round", "narrow", "wide"), ROUNDING_FIRST_BASE))
    assert found.statistic == pytest.approx(row.expected[1], abs=5e-5)
    assert found.degrees == row.expected[2]
    assert found.p_large == pytest.approx(row.expected[3], abs=5e-7)


@of_row("Friedman with ties")
def _(row: Row) -> None:
    found = friedman_test(rankings(("a", "b", "c", "d"), GRASS))
    assert list(found.rank_sums) == row.given[2:]
    assert found.statistic == pytest.approx(row.expected[0], abs=5e-5)
    assert found.p_large == pytest.approx(row.expected[1], abs=5e-6)


@of_row("Page")
def _(row: Row) -> None:
    rows = np.array(row.given[2:]).reshape(10, 3)
    found = rankings_of_scores(("c", "b", "a"), rows[:, ::-1].tolist())
    ranks = np.array(found.rank_sums)  # rank 1 to the highest: the reversed rows put the trend upside down
    statistic = float(np.sum(np.array([3, 2, 1]) * (40 - ranks)))
    assert statistic == row.expected[0]
    # SciPy takes 133.5 as 133 in its table without ties.
    assert page_tail(133, 10, 3) == pytest.approx(row.expected[1], abs=5e-14)
    assert page_large_sample(133.5, 10, 3) == pytest.approx(row.expected[2], abs=5e-8)


@of_row("Bradley-Terry")
def _(row: Row) -> None:
    votes = [
        Comparison(f"game {i} {j} {game}", str(i), str(j), Outcome.FIRST)
        for i in range(7)
        for j in range(7)
        for game in range(EAST_1987[i][j])
    ]
    found = fit(votes)
    last = found.log_strengths[found.products.index("6")]
    strengths = [found.log_strengths[found.products.index(str(i))] - last for i in range(7)]
    assert strengths == pytest.approx(row.expected[:7], abs=5e-3)
    assert found.g_squared == pytest.approx(row.expected[8], abs=5e-3)
    assert found.degrees == row.expected[9]


@of_row("paired t")
def _(row: Row) -> None:
    scores = [
        Score(f"patient {i}", drug, "sleep", value)
        for drug, values in zip("ab", SLEEP, strict=True)
        for i, value in enumerate(values)
    ]
    found = paired_difference(score_tables(scores)[0], "a", "b")
    gaps = np.subtract(*SLEEP)
    statistic = gaps.mean() / (gaps.std(ddof=1) / math.sqrt(10))
    assert statistic == pytest.approx(row.expected[0], abs=5e-5)
    assert found.difference.value == pytest.approx(gaps.mean())
    assert found.p_student == pytest.approx(row.expected[2], abs=5e-7)


@of_row("paired comparison")
def _(row: Row) -> None:
    assert [minimum_correct(PAIRED, 30, sides=sides) for sides in (Sides.ONE, Sides.TWO)] == row.expected


@pytest.mark.parametrize("check", [check for _, check in CHECKS], ids=[name for name, _ in CHECKS])
def test_published_value_is_reproduced(check: Check) -> None:
    check()


def test_every_row_of_the_file_has_its_check() -> None:
    assert {(row["test"], row["input"]) for row in ROWS} == CHECKED
