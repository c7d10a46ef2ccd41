"""Come-up clocks of the FSIS Cooking Guideline 2021: 50 to 130 °F, six hours, reset only by a lethal cook."""

import numpy as np
import pytest

from safety_cases import HOUR, straight
from slowfolio.safety.come_up import HIGH_C, LIMIT_S, LOW_C, come_up
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.lethality import roast_table


def clock(*legs):
    return come_up(*straight(*legs), kill=roast_table(), target_log=6.5)


def test_the_range_is_50_to_130_f_and_the_limit_six_hours():
    assert pytest.approx((10.0, 54.4444), abs=1e-4) == (LOW_C, HIGH_C)
    assert LIMIT_S == 6 * HOUR


def test_only_time_in_the_range_counts():
    result = clock((0, 4.0), (1, 10.0), (4, 10.0 + 44.4444444), (4, 95.0))
    assert result.first_s[0] == pytest.approx(4 * HOUR, abs=1)
    assert np.isfinite(result.reset_s[0])


def test_stretches_add_up_while_nothing_lethal_has_been_reached():
    """Warmed for three hours, chilled, then cooked in four: one clock of seven hours."""
    result = clock(
        (0, 10.0), (0.001, 30.0), (3, 30.0), (0.001, 4.0), (5, 4.0), (0.001, 30.0), (4, 30.0), (0.001, 95.0)
    )
    assert result.first_s[0] == pytest.approx(7 * HOUR, rel=0.01)


def test_a_lethal_cook_starts_a_new_clock():
    """Brisket recook example, p. 25: after a lethal time and temperature the clock starts anew."""
    result = clock((0, 10.0), (4, 54.4445), (2, 95.0), (1, 95.0), (2, 30.0), (3, 30.0))
    assert result.first_s[0] == pytest.approx(4 * HOUR, rel=0.01)
    assert result.after_reset_s[0] == pytest.approx(3 * HOUR + 2 * HOUR * 24.44 / 65, rel=0.02)


def test_reaching_130_f_alone_does_not_reset_the_clock():
    result = clock((0, 10.0), (4, 55.0), (0.2, 55.0), (0.1, 40.0), (3, 40.0))
    assert result.reset_s[0] == np.inf
    assert result.first_s[0] > 6.9 * HOUR


def test_a_piece_that_starts_warm_counts_from_its_start():
    assert clock((0, 20.0), (5, 20.0)).first_s[0] == pytest.approx(5 * HOUR)


def test_broken_courses_are_refused():
    with pytest.raises(SafetyInputError, match="do not rise"):
        come_up([0, 0], [1, 2], kill=roast_table(), target_log=6.5)
