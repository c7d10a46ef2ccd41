"""Reheating for service against each authority's figures."""

import pytest

from safety_cases import straight
from slowfolio.safety.piece import Piece, Species
from slowfolio.safety.profiles import profile
from slowfolio.safety.reheat import Slicing, assess_reheat
from slowfolio.safety.verdict import Level, Met

ROAST = Piece(Species.BEEF, 5.0)


def levels(name, *legs, slicing=Slicing.SLICED):
    return [item.level for item in assess_reheat(profile(name), ROAST, *straight(*legs), slicing=slicing)]


def test_us_retail_asks_for_74_c_for_15_s_within_two_hours():
    """Food Code 3-403.11(A) and (D): 165 °F for 15 s, not less than 15 s; 41 °F to 165 °F in 2 h."""
    minute = 1 / 60
    assert levels("us-retail", (0, 5.0), (1.9, 74.0), (minute, 74.0)) == [Level.GREEN, Level.GREEN]
    assert levels("us-retail", (0, 5.0), (1.9, 74.0), (minute / 6, 74.0)) == [Level.RED, Level.GREEN]
    assert levels("us-retail", (0, 5.0), (2.1, 74.0), (minute, 74.0)) == [Level.GREEN, Level.RED]
    assert levels("us-retail", (0, 5.0), (1.0, 73.5), (1.0, 73.5)) == [Level.RED, Level.RED]


def test_an_unsliced_roast_may_be_reheated_by_the_roast_chart():
    """Food Code 3-403.11(E)."""
    slow = ((0, 4.0), (4, 60.0), (0.3, 60.0))
    assert levels("us-retail", *slow) == [Level.RED, Level.RED]
    assert levels("us-retail", *slow, slicing=Slicing.UNSLICED) == [Level.GREEN, Level.GREEN]
    first = assess_reheat(profile("us-retail"), ROAST, *straight(*slow), slicing=Slicing.UNSLICED)[0]
    assert first.citation.section == "3-403.11(E)"
    assert levels("canada", *slow, slicing=Slicing.UNSLICED) == [Level.RED, Level.RED]


def test_poultry_may_not_use_the_roast_chart():
    bird = Piece(Species.TURKEY, 5.0)
    slow = straight((0, 4.0), (1.5, 62.0), (0.4, 62.0))
    first = assess_reheat(profile("us-retail"), bird, *slow, slicing=Slicing.UNSLICED)[0]
    assert first.level is Level.RED


@pytest.mark.parametrize(
    ("name", "enough"), [("australia", 60.0), ("new-zealand", 75.0), ("us-consumer", 74.0)]
)
def test_authorities_with_a_temperature_alone(name, enough):
    assert levels(name, (0, 4.0), (3, enough)) == [Level.GREEN]
    assert levels(name, (0, 4.0), (3, enough - 0.5)) == [Level.RED]


def test_uk_asks_for_the_equivalent_of_70_c_for_two_minutes():
    assert levels("uk", (0, 4.0), (2, 70.0), (2 / 60, 70.0)) == [Level.GREEN]
    assert levels("uk", (0, 4.0), (2, 64.0), (1 / 60, 64.0)) == [Level.RED]
    assert levels("uk", (0, 4.0), (2, 65.0), (10 / 60, 65.0)) == [Level.GREEN]


def test_eu_sets_no_figure_and_says_so():
    only = assess_reheat(profile("eu"), ROAST, *straight((0, 4.0), (1, 50.0)))
    assert [item.met for item in only] == [Met.NOT_APPLICABLE]


def test_canada_asks_for_74_c_within_two_hours_from_4_c():
    assert levels("canada", (0, 4.0), (1.9, 74.0)) == [Level.GREEN, Level.GREEN]
    assert levels("canada", (0, 4.0), (2.2, 74.0)) == [Level.GREEN, Level.RED]


def test_a_piece_that_never_gets_there_is_said_never_to():
    speed = assess_reheat(profile("us-retail"), ROAST, *straight((0, 4.0), (3, 60.0)))[1]
    assert speed.value is None
    assert "never" in speed.figure
