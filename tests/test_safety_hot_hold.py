"""The hot hold: bands by the coldest point, authorities' floors, and the time below that is tolerated."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_cases import HOUR
from slowfolio.safety.history import time_below_s
from slowfolio.safety.hot_hold import band_levels, band_verdict, floor_verdict, hold_bands, hold_end
from slowfolio.safety.profiles import PROFILES, profile
from slowfolio.safety.verdict import Level, Met


def steady(temp, hours):
    return np.array([0.0, hours * HOUR]), np.array([[temp, temp]])


def floor(name, time, temp, *, by_chart=False, room_c=21.0):
    marks = np.full(temp.shape[0], by_chart)
    return floor_verdict(profile(name), time, temp, by_chart=marks, room_c=room_c)


@pytest.mark.parametrize(
    ("temp", "hours", "level"),
    [
        (60.0, 48, Level.GREEN),
        (59.9, 8, Level.GREEN),
        (59.9, 8.1, Level.AMBER),
        (57.0, 8, Level.GREEN),
        (56.9, 4, Level.GREEN),
        (56.9, 4.1, Level.AMBER),
        (54.4, 4, Level.GREEN),
        (54.3, 0.1, Level.RED),
        (45.0, 2, Level.RED),
    ],
)
def test_three_bands_limit_the_hours(temp, hours, level):
    """NACMCF 2002: 140 °F without limit, 135 °F for 8 h, 130 °F for 4 h; BfR 037/2020: 60 °C."""
    assert band_levels(hold_bands(*steady(temp, hours))) == (level,)
    assert band_verdict(*steady(temp, hours)).level is level


def test_hours_in_both_bands_use_up_the_same_allowance():
    time = np.array([0.0, 5.0, 5.001, 8.0]) * HOUR
    temp = np.array([[58.0, 58.0, 55.0, 55.0]])
    bands = hold_bands(time, temp)
    assert bands.allowance_used[0] == pytest.approx(5 / 8 + 3 / 4, rel=1e-3)
    assert band_levels(bands) == (Level.AMBER,)


def test_130_f_itself_is_in_the_lowest_band_and_not_below_it():
    bands = hold_bands(*steady((130.0 - 32.0) / 1.8, 3))
    assert bands.from_54_to_57_s[0] == pytest.approx(3 * HOUR)
    assert bands.below_54_s[0] == 0.0


@given(st.lists(st.floats(40.0, 75.0), min_size=2, max_size=10))
def test_bands_add_up_to_the_hold(temps):
    time = np.arange(len(temps)) * HOUR
    bands = hold_bands(time, np.array([temps]))
    total = bands.at_or_above_60_s + bands.from_57_to_60_s + bands.from_54_to_57_s + bands.below_54_s
    assert total[0] == pytest.approx(time[-1], abs=1e-3)


@given(st.floats(40.0, 75.0), st.floats(0.5, 20.0), st.floats(0.0, 5.0))
def test_a_warmer_hold_is_never_judged_worse(temp, hours, warmer):
    order = list(Level)
    cool, warm = (band_levels(hold_bands(*steady(value, hours)))[0] for value in (temp, temp + warmer))
    assert order.index(warm) <= order.index(cool)


@pytest.mark.parametrize("item", PROFILES.values(), ids=lambda item: item.id)
def test_each_authority_meets_its_own_floor_and_refuses_a_degree_less(item):
    met = floor(item.id, *steady(item.hot_hold_min_c, 16))
    broken = floor(item.id, *steady(item.hot_hold_min_c - 1.0, 16))
    assert (met.met, met.level) == (Met.MET, Level.GREEN)
    assert (broken.met, broken.level) == (Met.NOT_MET, Level.RED)
    assert f"{item.hot_hold_min_c:g} °C" in broken.limit_text
    assert broken.value == pytest.approx(item.hot_hold_min_c - 1.0)


def test_uk_food_may_be_below_63_once_for_two_hours():
    time = np.array([0.0, 1.0, 1.3, 2.7, 3.0, 5.0]) * HOUR
    once = np.array([[64.0, 64.0, 61.0, 61.0, 64.0, 64.0]])
    verdict = floor("uk", time, once)
    assert (verdict.met, verdict.level) == (Met.NOT_MET, Level.AMBER)
    assert "once, for 2 h at most" in verdict.explanation
    longer = floor("uk", time, np.array([[64.0, 64.0, 61.0, 61.0, 61.0, 61.0]]))
    assert longer.level is Level.RED
    assert longer.explanation.startswith("Time below: 3 h 54 min")


def test_uk_food_may_not_be_below_63_twice():
    time = np.arange(6) * 0.5 * HOUR
    twice = np.array([[64.0, 61.0, 64.0, 64.0, 61.0, 64.0]])
    assert time_below_s(time, twice, 63.0)[0] < 2 * HOUR
    assert floor("uk", time, twice).level is Level.RED


def test_us_consumer_time_is_halved_in_warm_air():
    course = steady(58.0, 1.5)
    assert floor("us-consumer", *course, room_c=25.0).level is Level.AMBER
    assert floor("us-consumer", *course, room_c=33.0).level is Level.RED


def test_roasts_cooked_by_the_chart_may_be_held_at_54_in_us_retail_only():
    """Food Code 3-501.16(A)(1)."""
    course = steady(55.0, 16)
    lower = floor("us-retail", *course, by_chart=True)
    assert (lower.met, lower.limit, lower.limit_text) == (Met.MET, 54.0, "54 °C (130 °F)")
    assert floor("us-retail", *course).level is Level.RED
    assert floor("uk", *course, by_chart=True).level is Level.RED


def test_eu_grants_no_time_below_the_floor_because_it_gives_no_figure():
    verdict = floor("eu", *steady(59.0, 0.5))
    assert verdict.level is Level.RED
    assert "No time below the floor" in verdict.explanation


@pytest.mark.parametrize(
    ("kept", "level"), [(20, Level.GREEN), (19, Level.GREEN), (17, Level.AMBER), (15, Level.RED)]
)
def test_the_share_of_members_that_meet_the_floor_decides(kept, level):
    time = np.array([0.0, 10 * HOUR])
    temp = np.where(np.arange(20)[:, None] < kept, 61.0, 50.0) * np.ones(2)
    verdict = floor("eu", time, temp)
    assert verdict.probability == pytest.approx(kept / 20)
    assert verdict.level is level
    assert verdict.members == 20


def test_a_box_that_cools_ends_the_hold_when_the_coldest_point_reaches_the_floor():
    """Straight fall of 1 K an hour from 66 °C: 63 °C after 3 h, 57 °C after 9 h."""
    time, temp = np.array([0.0, 20 * HOUR]), np.array([[66.0, 46.0]])
    assert hold_end(63.0, time, temp).floor_s[0] == pytest.approx(3 * HOUR, abs=1)
    assert hold_end(57.0, time, temp).floor_s[0] == pytest.approx(9 * HOUR, abs=1)
    # 3 h from 60 to 57 °C use 3/8; the 2.6 h to 54.4 °C use 2.6/4: the allowance lasts until 57 - 2.5 K.
    assert hold_end(57.0, time, temp).bands_s[0] == pytest.approx((9 + 4 * 5 / 8) * HOUR, rel=1e-3)
    assert hold_end(57.0, time, temp).longest_s[0] == pytest.approx(9 * HOUR, abs=1)


def test_a_steady_hot_hold_has_no_end_and_a_warm_one_lasts_eight_hours():
    for temp, expected in ((60.0, np.inf), (58.0, 8 * HOUR), (56.0, 4 * HOUR), (54.0, 0.0)):
        end = hold_end(50.0, *steady(temp, 20))
        assert end.bands_s[0] == pytest.approx(expected, rel=1e-6)
        assert end.floor_s[0] == np.inf
