"""Measuring along courses of temperature: exact on straight legs, and clear about bad input."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from slowfolio.safety.history import (
    SafetyInputError,
    as_temperatures,
    as_times,
    clipped,
    first_time_at_or_above_s,
    first_time_at_or_below_s,
    longest_time_at_or_above_s,
    refined,
    time_below_s,
    time_between_s,
    times_below,
)

HUNDREDTHS = st.integers(-2000, 12000).map(lambda hundredths: hundredths / 100)
TEMPS = arrays(np.float64, (3, 12), elements=HUNDREDTHS)
TIME = np.arange(12) * 600.0


def test_straight_rise_is_measured_exactly():
    time, temp = np.array([0.0, 100.0]), np.array([[0.0, 100.0]])
    assert time_below_s(time, temp, 30.0)[0] == pytest.approx(30.0)
    assert time_between_s(time, temp, low_c=30.0, high_c=55.0)[0] == pytest.approx(25.0)
    assert first_time_at_or_above_s(time, temp, 54.4)[0] == pytest.approx(54.4)
    assert first_time_at_or_below_s(time, temp, -1.0)[0] == np.inf
    assert longest_time_at_or_above_s(time, temp, 80.0)[0] == pytest.approx(20.0)


def test_the_longest_stay_is_unbroken():
    time = np.array([0.0, 10.0, 20.0, 30.0, 60.0])
    temp = np.array([[70.0, 70.0, 50.0, 70.0, 70.0]])
    assert longest_time_at_or_above_s(time, temp, 60.0)[0] == pytest.approx(35.0)
    assert times_below(temp, 60.0)[0] == 1


def test_a_course_at_its_limit_is_not_below_it():
    time, temp = np.array([0.0, 3600.0]), np.array([[57.0, 57.0]])
    assert time_below_s(time, temp, 57.0)[0] == 0.0
    assert longest_time_at_or_above_s(time, temp, 57.0)[0] == 3600.0


def test_each_member_is_clipped_to_its_own_interval():
    time, temp = np.array([0.0, 100.0]), np.array([[0.0, 100.0], [0.0, 100.0]])
    times, temps = clipped(time, temp, [20.0, 50.0], [60.0, 100.0])
    assert temps[0].tolist() == [20.0, 60.0]
    assert temps[1].tolist() == [50.0, 100.0]
    assert time_below_s(times, temps, 55.0).tolist() == pytest.approx([35.0, 5.0])


@given(TEMPS, HUNDREDTHS, st.floats(0.0, 60.0))
def test_time_in_bands_adds_up_to_the_whole(temp, low, width):
    below = time_below_s(TIME, temp, low)
    between = time_between_s(TIME, temp, low_c=low, high_c=low + width)
    above = TIME[-1] - time_below_s(TIME, temp, low + width)
    assert below + between + above == pytest.approx(TIME[-1], abs=1e-6)
    assert (between >= -1e-6).all()


@given(TEMPS, HUNDREDTHS)
def test_refining_moves_nothing(temp, limit):
    fine_time, fine_temp = refined(TIME, temp)
    assert np.abs(np.diff(fine_temp, axis=1)).max() <= 0.2 + 1e-9
    assert time_below_s(fine_time, fine_temp, limit) == pytest.approx(
        time_below_s(TIME, temp, limit), abs=1e-3
    )
    assert fine_time[-1] == TIME[-1]


@given(TEMPS, HUNDREDTHS)
def test_the_longest_stay_is_no_longer_than_all_stays_together(temp, limit):
    longest = longest_time_at_or_above_s(TIME, temp, limit)
    total = TIME[-1] - time_below_s(TIME, temp, limit)
    assert (longest <= total + 1e-6).all()
    assert ((longest > 0) == (total > 0)).all()


@pytest.mark.parametrize(
    ("time", "message"),
    [
        ([0.0], "at least two times"),
        ([0.0, 60.0, 60.0], "do not rise"),
        ([0.0, 120.0, 60.0], "do not rise"),
        ([0.0, float("nan")], "missing or infinite"),
        ([0.0, float("inf")], "missing or infinite"),
        (5.0, "at least two times"),
    ],
)
def test_bad_times_are_refused(time, message):
    with pytest.raises(SafetyInputError, match=message):
        as_times(time)


@pytest.mark.parametrize(
    ("temp", "message"),
    [
        ([1.0, 2.0, 3.0], "for 2 times: give one row of 2 values"),
        ([1.0, float("nan")], "core: a value is missing"),
        ([277.0, 560.0], "convert it to °C"),
        ([-100.0, 20.0], "convert it to °C"),
        ([], "for 2 times"),
    ],
)
def test_bad_temperatures_are_refused(temp, message):
    with pytest.raises(SafetyInputError, match=message):
        as_temperatures(temp, 2, name="core")


@pytest.mark.parametrize(("start", "end"), [(50.0, 20.0), (-5.0, 20.0), (0.0, 101.0), (float("nan"), 20.0)])
def test_intervals_outside_the_course_are_refused(start, end):
    with pytest.raises(SafetyInputError, match="interval"):
        clipped(np.array([0.0, 100.0]), np.array([[0.0, 100.0]]), start, end)
