"""Thermometer checks in ice and boiling water, and limits raised by the instrument's error."""

import pytest
from CoolProp.CoolProp import PropsSI

from safety_cases import reference
from slowfolio.safety.history import SafetyInputError
from slowfolio.safety.thermometer import (
    Scale,
    boiling_check,
    boiling_point_at_c,
    ice_check,
    lowered_limit_c,
    raised_limit_c,
)


@pytest.mark.parametrize("row", reference("boiling_point_altitude"), ids=lambda row: row["altitude_m"])
def test_boiling_point_by_altitude_equals_the_reference(row):
    """Standard atmosphere and Antoine, which lies up to 0.07 K above the steam tables here (next test)."""
    assert boiling_point_at_c(float(row["altitude_m"])) == pytest.approx(float(row["boil_c"]), abs=0.08)


@pytest.mark.parametrize("row", reference("boiling_point_altitude"), ids=lambda row: row["altitude_m"])
def test_boiling_point_equals_coolprop_at_the_pressure_of_the_reference(row):
    pressure = float(row["pressure_kpa"]) * 1000
    expected = PropsSI("T", "P", pressure, "Q", 0, "Water") - 273.15
    assert boiling_point_at_c(float(row["altitude_m"])) == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize(("feet", "fahrenheit"), [(550, 211.0), (10000, 194.0)])
def test_boiling_point_meets_the_cross_checks_read_beside_the_table(feet, fahrenheit):
    assert boiling_point_at_c(feet * 0.3048) * 1.8 + 32 == pytest.approx(fahrenheit, abs=0.5)


@pytest.mark.parametrize(
    ("reading", "scale", "within"),
    [
        (0.0, Scale.CELSIUS, True),
        (1.0, Scale.CELSIUS, True),
        (-1.1, Scale.CELSIUS, False),
        (1.1, Scale.FAHRENHEIT_ONLY, True),
        (1.2, Scale.FAHRENHEIT_ONLY, False),
    ],
)
def test_ice_point_is_within_1_c_or_2_f(reading, scale, within):
    """US Food Code 4-203.11 (recalled)."""
    check = ice_check(reading, scale)
    assert check.within is within
    assert check.error_c == pytest.approx(reading)
    assert ("Adjust it" in check.text) is not within


def test_boiling_water_is_compared_with_the_boiling_point_of_the_place():
    assert boiling_check(95.0, 1500.0).within
    assert not boiling_check(95.0, 0.0).within
    assert not boiling_check(100.0, 1500.0).within


def test_a_miss_that_weather_can_explain_asks_for_the_ice_check():
    assert "check in ice too" in boiling_check(98.8, 0.0).text
    assert "check in ice too" not in boiling_check(98.0, 0.0).text
    assert "check in ice too" not in boiling_check(99.5, 0.0).text


def test_limits_are_raised_by_the_instruments_error():
    """FSIS Cooking Guideline 2021 p. 21: 165 °F with a ±1 °F thermometer becomes 166 °F."""
    assert raised_limit_c((165 - 32) / 1.8, 1 / 1.8) == pytest.approx((166 - 32) / 1.8)
    assert lowered_limit_c(5.0, 1.0) == 4.0


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ice_check(float("nan")), "reading is nan °C: give a value from -60 to 400 °C"),
        (lambda: boiling_check(95.0, 20000.0), "altitude is 20000 m: give a value from -500 to 11000 m"),
        (lambda: raised_limit_c(60.0, -1.0), "instrument error is -1 °C"),
    ],
)
def test_bad_input_is_refused(call, message):
    with pytest.raises(SafetyInputError, match=message):
        call()
