"""Units at the edge: every spelling read, every refusal with its advice, every text written reads back."""

import contextlib
import math
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, FormatChecker

from slowfolio.units import (
    PARSERS,
    SINGLE_PARSERS,
    Dimension,
    Range,
    System,
    UnitError,
    format_air_changes,
    format_altitude,
    format_area,
    format_difference,
    format_duration,
    format_fraction,
    format_length,
    format_mass,
    format_power,
    format_quantity,
    format_speed,
    format_temperature,
    format_volume,
    parse_duration_s,
    parse_length_m,
    parse_mass_kg,
    parse_range,
    parse_temperature_c,
)

US, METRIC = System.US, System.METRIC
untimed = settings(deadline=None)

# --- spellings --------------------------------------------------------------------------------------

OVEN_C = (250 - 32) / 1.8
ACCEPTED = [
    ("temperature", "250 °F", OVEN_C),
    ("temperature", "250F", OVEN_C),
    ("temperature", "250 f", OVEN_C),
    ("temperature", "250 deg F", OVEN_C),
    ("temperature", "250 degrees F", OVEN_C),
    ("temperature", "250 degrees Fahrenheit", OVEN_C),
    ("temperature", "250 ℉", OVEN_C),
    ("temperature", "250 ºF", OVEN_C),
    ("temperature", "250\N{NO-BREAK SPACE}°F", OVEN_C),
    ("temperature", "250\N{THIN SPACE}°F", OVEN_C),
    ("temperature", "250\N{NARROW NO-BREAK SPACE}° F", OVEN_C),
    ("temperature", "  250   °F ", OVEN_C),
    ("temperature", "２５０ °F", OVEN_C),
    ("temperature", "121 C", 121.0),
    ("temperature", "121 ℃", 121.0),
    ("temperature", "\N{MINUS SIGN}18 °C", -18.0),
    ("temperature", "-40 F", -40.0),
    ("temperature_difference", "5 °F", 5 / 1.8),
    ("temperature_difference", "5 K", 5.0),
    ("temperature_difference", "-3 °C", -3.0),
    ("duration", "4 h 30 min", 16200.0),
    ("duration", "4h30min", 16200.0),
    ("duration", "4 hours and 30 minutes", 16200.0),
    ("duration", "4 hr, 30 mins", 16200.0),
    ("duration", "90 min", 5400.0),
    ("duration", "1.5 h", 5400.0),
    ("duration", "1 ½ h", 5400.0),
    ("duration", "2 d", 172800.0),
    ("duration", "1 min 30 s", 90.0),
    ("mass", "13 lb 8 oz", 13.5 * 0.45359237),
    ("mass", "13 lbs. 8 oz.", 13.5 * 0.45359237),
    ("mass", "13 LB 8 OZ", 13.5 * 0.45359237),
    ("mass", "6.2 kg", 6.2),
    ("mass", "850 g", 0.85),
    ("mass", "1 kg 250 g", 1.25),
    ("length", "1 1/2 in", 0.0381),
    ("length", "1½ in", 0.0381),
    ("length", "½ in", 0.0127),
    ("length", "1/2 in", 0.0127),
    ("length", "1⁄2 in", 0.0127),
    ("length", ".5 in", 0.0127),
    ("length", "2 ft 6 in", 0.762),
    ("length", "38 mm", 0.038),
    ("altitude", "5280 ft", 1609.344),
    ("altitude", "-28 m", -28.0),
    ("fraction", "55 %", 0.55),
    ("fraction", "55%", 0.55),
    ("fraction", "55 percent", 0.55),
    ("ratio", "130 %", 1.3),
    ("volume", "1.2 L", 0.0012),
    ("volume", "30 mL", 3e-5),
    ("volume", "30 ml", 3e-5),
    ("volume", "1 qt", 9.46352946e-4),
    ("volume", "2 cups", 4.73176473e-4),
    ("volume", "8 fl oz", 2.365882365e-4),
    ("volume", "1 tbsp 1 tsp", 4 * 4.92892159375e-6),
    ("volume", "0.3 m3", 0.3),
    ("area", "750 in²", 0.48387),
    ("area", "750 sq in", 0.48387),
    ("area", "500 cm^2", 0.05),
    ("area", "0.5 m2", 0.5),
    ("speed", "0.5 m/s", 0.5),
    ("speed", "10 ft/s", 3.048),
    ("power", "1.5 kW", 1500.0),
    ("power", "10000 Btu/h", 2930.7107),
    ("energy", "2 kWh", 7.2e6),
    ("pressure", "1013.25 hPa", 101325.0),
    ("pressure", "1013.25 mbar", 101325.0),
    ("air_changes", "5 /h", 5 / 3600),
    ("air_changes", "5/h", 5 / 3600),
    ("air_changes", "5 per hour", 5 / 3600),
    ("air_changes", "5 air changes per hour", 5 / 3600),
    ("permeance", "2e-9 kg/(s·m²·Pa)", 2e-9),
    ("permeance", "2e-9 kg/(s.m2.Pa)", 2e-9),
    ("permeance", "35 perm", 35 * 5.72135e-11),
    ("conductance", "20 W/(m2·K)", 20.0),
    ("conductance", "20 W/m²K", 20.0),
    ("heat_loss", "4 W/K", 4.0),
]


@pytest.mark.parametrize(("dimension", "text", "si"), ACCEPTED)
def test_every_usual_spelling_is_read(dimension: str, text: str, si: float) -> None:
    assert PARSERS[dimension](text) == pytest.approx(si, rel=1e-9)


# NIST SP 811 (2008), Appendix B.8, as printed to seven figures (recalled).
NIST_FACTORS = [
    ("mass", "1 lb", 4.535924e-1),
    ("mass", "1 oz", 2.834952e-2),
    ("length", "1 in", 2.54e-2),
    ("length", "1 ft", 3.048e-1),
    ("area", "1 in²", 6.4516e-4),
    ("area", "1 ft²", 9.290304e-2),
    ("volume", "1 gal", 3.785412e-3),
    ("volume", "1 qt", 9.463529e-4),
    ("volume", "1 pt", 4.731765e-4),
    ("volume", "1 cup", 2.365882e-4),
    ("volume", "1 fl oz", 2.957353e-5),
    ("volume", "1 tbsp", 1.478676e-5),
    ("volume", "1 tsp", 4.928922e-6),
    ("volume", "1 ft³", 2.831685e-2),
    ("speed", "1 ft/min", 5.08e-3),
    ("power", "1 Btu/h", 2.930711e-1),
    ("energy", "1 Btu", 1.055056e3),
    ("energy", "1 kWh", 3.6e6),
    ("pressure", "1 inHg", 3.386389e3),
    ("permeance", "1 perm", 5.72135e-11),
    ("conductance", "1 Btu/(h·ft²·°F)", 5.678263),
]


@pytest.mark.parametrize(("dimension", "text", "factor"), NIST_FACTORS)
def test_factors_are_those_of_nist(dimension: str, text: str, factor: float) -> None:
    assert PARSERS[dimension](text) == pytest.approx(factor, rel=5e-7)


def test_heat_loss_per_degree_follows_from_the_btu() -> None:
    """1 Btu/(h·°F) is 1055.056 J over 3600 s and 5/9 K: NIST SP 811, Appendix B.8 (recalled)."""
    assert PARSERS["heat_loss"]("1 Btu/(h·°F)") == pytest.approx(1055.05585262 / 3600 * 1.8, rel=1e-9)


def test_a_difference_of_degrees_has_no_zero_to_shift() -> None:
    assert PARSERS["temperature"]("5 °F") == pytest.approx(-15.0)
    assert PARSERS["temperature_difference"]("5 °F") == pytest.approx(2.7778, abs=1e-4)


# --- ranges -----------------------------------------------------------------------------------------

RANGES = [
    ("temperature", "79–82 °C", 79.0, 82.0),
    ("temperature", "79-82 °C", 79.0, 82.0),
    ("temperature", "79\N{MINUS SIGN}82 °C", 79.0, 82.0),
    ("temperature", "79 to 82C", 79.0, 82.0),
    ("temperature", "79 °C — 82 °C", 79.0, 82.0),
    ("temperature", "79C-82C", 79.0, 82.0),
    ("temperature", "-5 – 5 °C", -5.0, 5.0),
    ("temperature", "\N{MINUS SIGN}5 to \N{MINUS SIGN}2 °C", -5.0, -2.0),
    ("temperature", "82 °C", 82.0, 82.0),
    ("mass", "12 lb – 14 lb", 12 * 0.45359237, 14 * 0.45359237),
    ("mass", "13 lb 8 oz – 14 lb", 13.5 * 0.45359237, 14 * 0.45359237),
    ("duration", "4 h to 5 h", 14400.0, 18000.0),
    ("duration", "4h-5h", 14400.0, 18000.0),
    ("duration", "30 min – 4 h", 1800.0, 14400.0),
    ("length", "½–1 in", 0.0127, 0.0254),
    ("length", "1 1/2–2 in", 0.0381, 0.0508),
    ("permeance", "2e-9-3e-9 kg/(s·m²·Pa)", 2e-9, 3e-9),
]


@pytest.mark.parametrize(("dimension", "text", "low", "high"), RANGES)
def test_ranges_are_read_with_any_dash(dimension: str, text: str, low: float, high: float) -> None:
    read = PARSERS[f"{dimension}_range"](text)
    assert isinstance(read, Range)
    assert (read.low, read.high) == pytest.approx((low, high))


def test_a_range_knows_its_middle_and_what_lies_in_it() -> None:
    window = parse_range("79–82 °C", parse_temperature_c)
    assert window.middle == 80.5
    assert 79.0 in window
    assert 82.1 not in window
    with pytest.raises(ValueError, match="low to high"):
        Range(2.0, 1.0)
    with pytest.raises(ValueError, match="low to high"):
        Range(math.nan, 1.0)


# --- refusals ---------------------------------------------------------------------------------------

T_HELP = 'write "250 °F" or "121 °C"'
D_HELP = 'write "4 h 30 min" or "90 min"'
M_HELP = 'write "13 lb 8 oz" or "6.2 kg"'
L_HELP = 'write "1 1/2 in" or "38 mm"'
REFUSED = [
    ("temperature", "250", f"no unit: {T_HELP}"),
    ("temperature", "", f"nothing written where a temperature is wanted: {T_HELP}"),
    ("temperature", " \N{THIN SPACE} ", f"nothing written where a temperature is wanted: {T_HELP}"),
    ("temperature", "4 h", f'"4 h" is a duration (h) where a temperature is wanted: {T_HELP}'),
    ("temperature", "250 °", f'"250 °" does not say which degrees: {T_HELP}'),
    ("temperature", "250 deg", f'"250 deg" does not say which degrees: {T_HELP}'),
    ("temperature", "5 c", '"5 c" may be degrees or cups: write "5 °C" or "5 cups"'),
    ("temperature", "-300 °C", f'"-300 °C" is below absolute zero: {T_HELP}'),
    ("temperature", "-500 °F", f'"-500 °F" is below absolute zero: {T_HELP}'),
    ("temperature", "5 K", f'"5 K" is a temperature difference (K) where a temperature is wanted: {T_HELP}'),
    ("temperature", "nan °C", f'"nan °C" does not start with a number: {T_HELP}'),
    ("temperature", "inf °C", f'"inf °C" does not start with a number: {T_HELP}'),
    ("temperature", "1e999 °C", f'"1e999 °C" is too large to be meant: {T_HELP}'),
    ("temperature", "about 250 °F", f'"about 250 °F" does not start with a number: {T_HELP}'),
    ("temperature", "79–82 °C", f'"79–82 °C" is a range where one value is wanted: {T_HELP}'),
    ("temperature", "1.2.3 °C", f'the number in "1.2.3 °C" cannot be read: {T_HELP}'),
    ("temperature", "12 13 °C", f'the number in "12 13 °C" cannot be read: {T_HELP}'),
    ("temperature", "٢٥٠ °F", f'"٢٥٠ °F" does not start with a number: {T_HELP}'),
    ("temperature_difference", "5", 'no unit: write "5 °F", "3 °C" or "3 K"'),
    ("duration", "4:30", '"4:30" reads like a clock: write "4 h 30 min"'),
    ("duration", "12:05", '"12:05" reads like a clock: write "12 h 5 min"'),
    ("duration", "4 m", f'"4 m" is a length (m) where a duration is wanted: {D_HELP}'),
    ("duration", "-4 h", f'"-4 h" is negative: {D_HELP}'),
    ("duration", "4 hurs", 'unknown unit "hurs" (did you mean "h"?): write "4 h"'),
    ("duration", "4 h 30", f'the last number of "4 h 30" has no unit: {D_HELP}'),
    ("duration", "4 h 75 min", '75 min is a whole h or more: write "5 h 15 min"'),
    ("duration", "30 min 4 h", f'the units of "30 min 4 h" do not follow one another: {D_HELP}'),
    ("duration", "4 h 4 h", f'the units of "4 h 4 h" do not follow one another: {D_HELP}'),
    ("duration", "4.5 h 10 min", f'only the last number of "4.5 h 10 min" may have a fraction: {D_HELP}'),
    ("duration", "1/0 h", f'"1/0 h" divides by zero: {D_HELP}'),
    ("mass", "6,2 kg", '"6,2 kg" has a comma in a number: write "6.2 kg"'),
    ("mass", "1,200 g", '"1,200 g" has a comma in a number: write "1200 g" or "1.200 g"'),
    ("mass", "6.2", f"no unit: {M_HELP}"),
    ("mass", "-1 kg", f'"-1 kg" is negative: {M_HELP}'),
    ("mass", "13 lb 8 ozz", 'unknown unit "ozz" (did you mean "oz"?): write "13 lb 8 oz"'),
    ("mass", "12 #", 'unknown unit "#" (did you mean "lb"?): write "12 lb"'),
    ("mass", "3 stone", f'unknown unit "stone": {M_HELP}'),
    ("mass", "6.2 L", f'"6.2 L" is a volume (L) where a mass is wanted: {M_HELP}'),
    ("mass", "1234567890.1234567 kg", f'"1234567890.1234567 kg" has more digits than can be meant: {M_HELP}'),
    ("length", '1 1/2"', 'unknown unit """ (did you mean "in"?): write "1 1/2 in"'),
    ("length", "1-1/2 in", '"1-1/2 in" has a hyphen in a number: write "1 1/2 in"'),
    ("length", "-1 in", f'"-1 in" is negative: {L_HELP}'),
    ("altitude", "-900 m", '"-900 m" is lower than any kitchen stands: write "5280 ft" or "1609 m"'),
    ("fraction", "0.55", 'no unit: write "55 %"'),
    ("fraction", "120 %", '"120 %" is more than 100 %: write "55 %"'),
    ("fraction", "-5 %", '"-5 %" is negative: write "55 %"'),
    ("volume", "2 cupps", 'unknown unit "cupps" (did you mean "cup"?): write "2 cup"'),
    ("temperature_range", "82–79 °C", '"82–79 °C" runs from high to low: write "79 °C – 82 °C"'),
    ("temperature_range", "79 °C – 82", 'the upper end of "79 °C – 82" has no unit: write "79 °C – 82 °C"'),
    ("temperature_range", "79–82", f"no unit: {T_HELP}"),
    (
        "temperature_range",
        "79–",
        '"79–" does not have two ends: write a range such as "79–82 °C" or "4 h to 5 h"',
    ),
    (
        "temperature_range",
        "1–2–3 °C",
        '"1–2–3 °C" does not have two ends: write a range such as "79–82 °C" or "4 h to 5 h"',
    ),
    (
        "mass_range",
        "13–13 lb 8 oz",
        'one end of the range has no unit of its own beside "13 lb 8 oz":'
        ' write units at both ends: "12 lb – 13 lb 8 oz"',
    ),
    ("length_range", "1-1/2 in", '"1-1/2 in" has a hyphen in a number: write "1 1/2 in"'),
    ("mass_range", "12 h – 14 h", f'"12 h" is a duration (h) where a mass is wanted: {M_HELP}'),
]


@pytest.mark.parametrize(("dimension", "text", "message"), REFUSED)
def test_every_refusal_says_what_to_write(dimension: str, text: str, message: str) -> None:
    with pytest.raises(UnitError) as refused:
        PARSERS[dimension](text)
    assert str(refused.value) == message
    assert message == f"{refused.value.problem}: write {refused.value.advice}"


@pytest.mark.parametrize("value", [250, 2.5, None, True, ["250 °F"], {"a": 1}, b"250 F"])
@pytest.mark.parametrize("dimension", ["temperature", "mass_range"])
def test_what_is_not_a_text_is_refused(dimension: str, value: object) -> None:
    with pytest.raises(UnitError, match="is not a text with a unit"):
        PARSERS[dimension](value)  # type: ignore[arg-type]


@pytest.mark.parametrize("dimension", sorted(PARSERS))
def test_a_huge_text_is_refused_in_few_words(dimension: str) -> None:
    for text in ("9" * 1_000_000, "4 h " * 1_000_000, "1" + " " * 5000 + "x", "–" * 100_000):
        with pytest.raises(UnitError) as refused:
            PARSERS[dimension](text)
        assert len(str(refused.value)) < 250


def test_messages_carry_no_control_characters() -> None:
    with pytest.raises(UnitError) as refused:
        parse_temperature_c("250 \x1b[31m\x07")
    assert str(refused.value).isprintable()


ALMOST_QUANTITIES = st.text("0123456789.,/-–− toehminlbkgozF°C%½", max_size=25)


@untimed
@given(st.text(max_size=100) | ALMOST_QUANTITIES, st.sampled_from(sorted(PARSERS)))
@example("1e-999 kg", "mass")
@example("0/0 in", "length")
@example("--5 °C", "temperature_range")
def test_any_text_is_read_or_refused_but_never_worse(text: str, dimension: str) -> None:
    with contextlib.suppress(UnitError):
        value = PARSERS[dimension](text)
        low, high = (value.low, value.high) if isinstance(value, Range) else (value, value)
        assert math.isfinite(low)
        assert math.isfinite(high)


# --- writing ----------------------------------------------------------------------------------------


def test_quantities_are_said_as_a_cook_would() -> None:
    assert format_temperature(OVEN_C, US) == "250 °F"
    assert format_temperature(OVEN_C, METRIC) == "121 °C"
    assert format_temperature(-18.0, METRIC) == "−18 °C"
    assert format_temperature(-0.2, METRIC) == "0 °C"
    assert format_difference(5 / 1.8, US) == "5 °F"
    assert format_difference(2.78, METRIC) == "2.8 °C"
    assert format_duration(16200.0) == "4 h 30 min"
    assert format_duration(43200.0) == "12 h"
    assert format_duration(3599.9) == "1 h"
    assert format_duration(45.0) == "45 s"
    assert format_duration(5400.0) == "1 h 30 min"
    assert format_duration(100_000.0) == "27 h 47 min"
    assert format_mass(13.5 * 0.45359237, US) == "13 lb 8 oz"
    assert format_mass(6.2, METRIC) == "6.2 kg"
    assert format_mass(0.9996, METRIC) == "1 kg"
    assert format_mass(15.9 * 0.028349523125, US) == "1 lb"
    assert format_mass(0.85, METRIC) == "850 g"
    assert format_length(0.0381, US) == "1 1/2 in"
    assert format_length(0.0381, METRIC) == "38 mm"
    assert format_length(0.35, METRIC) == "35 cm"
    assert format_length(0.002, METRIC) == "2 mm"
    assert format_length(1.9, US) == "6 ft 3 in"
    assert format_altitude(1609.344, US) == "5280 ft"
    assert format_altitude(1609.344, METRIC) == "1609 m"
    assert format_fraction(0.55) == "55 %"
    assert format_fraction(0.024) == "2.4 %"
    assert format_volume(0.0012, METRIC) == "1.2 L"
    assert format_volume(0.0012, US) == "1 1/4 qt"
    assert format_volume(4.73176473e-4, US) == "2 cups"
    assert format_volume(3e-5, METRIC) == "30 mL"
    assert format_area(0.48387, US) == "750 in²"
    assert format_area(0.48387, METRIC) == "0.48 m²"
    assert format_speed(0.5, METRIC) == "0.5 m/s"
    assert format_speed(0.5, US) == "1.6 ft/s"
    assert format_power(1500.0) == "1.5 kW"
    assert format_air_changes(5 / 3600) == "5 /h"
    assert format_quantity(2e-9, "permeance", METRIC) == "2e-9 kg/(s·m²·Pa)"
    assert format_quantity(2e-9, "permeance", US) == "35 perm"
    assert format_quantity(101325.0, "pressure", METRIC) == "1013 hPa"
    assert format_quantity(7.2e6, "energy", METRIC) == "7.2 MJ"


def test_ranges_are_said_with_one_unit_where_they_can() -> None:
    assert format_temperature(Range(79, 82), METRIC) == "79–82 °C"
    assert format_temperature(Range(-5, 5), METRIC) == "−5 to 5 °C"
    assert format_temperature(Range(79.1, 79.3), METRIC) == "79 °C"
    assert format_duration(Range(14400, 18000)) == "4–5 h"
    assert format_duration(Range(14400, 16200)) == "4 h – 4 h 30 min"
    assert format_mass(Range(12 * 0.45359237, 14 * 0.45359237), US) == "12–14 lb"
    assert format_mass(Range(0.85, 1.2), METRIC) == "850 g – 1.2 kg"
    assert format_length(Range(0.0381, 0.0508), US) == "1 1/2–2 in"


def test_what_cannot_be_said_is_refused() -> None:
    for value in (math.nan, math.inf):
        with pytest.raises(ValueError, match="cannot write"):
            format_mass(value, US)
    with pytest.raises(ValueError, match="depth"):
        format_quantity(1.0, "depth", US)


# Greatest error of saying a value, as a share of it and at least, in SI: half the steps of the tables.
ROUNDING: dict[str, tuple[float, float]] = {
    "temperature": (0, 0.51),
    "temperature_difference": (0.06, 0.051),
    "duration": (0.06, 0.051),
    "mass": (0.063, 5e-5),
    "length": (0.06, 8.1e-4),
    "altitude": (0, 0.51),
    "fraction": (0.06, 5e-5),
    "ratio": (0.06, 5e-5),
    "volume": (0.13, 6.3e-7),
    "area": (0.06, 5e-5),
    "speed": (0.06, 0),
    "power": (0.06, 0),
    "energy": (0.06, 0),
    "pressure": (0.06, 0),
    "air_changes": (0.06, 0),
    "permeance": (0.06, 0),
    "conductance": (0.06, 0),
    "heat_loss": (0.06, 0),
}
REACH = {
    "temperature": (-40, 400),
    "temperature_difference": (-100, 100),
    "duration": (0, 2e5),
    "altitude": (-400, 5000),
    "fraction": (0, 1),
    "length": (0, 20),
    "volume": (0, 5),
    "permeance": (0, 1e-6),
    "air_changes": (0, 1),
    "pressure": (0, 2e5),
    "energy": (0, 1e8),
    "power": (0, 5e4),
}
SAID = st.sampled_from(sorted(ROUNDING)).flatmap(
    lambda name: st.tuples(st.just(name), st.floats(*REACH.get(name, (0, 100)), allow_subnormal=False))
)


@untimed
@given(SAID, st.sampled_from(System))
def test_every_text_written_reads_back_to_its_rounding(said: tuple[str, float], system: System) -> None:
    name, value = said
    back = SINGLE_PARSERS[name](format_quantity(value, name, system))
    share, least = ROUNDING[name]
    assert back == pytest.approx(value, rel=share, abs=least)


@untimed
@given(SAID, st.sampled_from(System))
def test_saying_a_said_value_changes_nothing(said: tuple[str, float], system: System) -> None:
    name, value = said
    text = format_quantity(value, name, system)
    assert format_quantity(SINGLE_PARSERS[name](text), name, system) == text


@untimed
@given(SAID, st.floats(0, 1), st.sampled_from(System))
def test_every_range_written_reads_back(said: tuple[str, float], more: float, system: System) -> None:
    name, low = said
    high = low + more * (REACH.get(name, (0, 100))[1] - low)
    text = format_quantity(Range(low, max(low, high)), name, system)
    back = PARSERS[f"{name}_range"](text)
    assert isinstance(back, Range)
    assert format_quantity(back, name, system) == text


@untimed
@given(st.integers(0, 200), st.integers(0, 59))
def test_whole_minutes_survive_the_round_trip(hours: int, minutes: int) -> None:
    duration_s = 3600.0 * hours + 60 * minutes
    assert parse_duration_s(format_duration(duration_s)) == duration_s


@untimed
@given(st.integers(1, 99), st.integers(0, 15))
def test_whole_ounces_survive_the_round_trip(pounds: int, ounces: int) -> None:
    mass_kg = (pounds + ounces / 16) * 0.45359237
    assert parse_mass_kg(format_mass(mass_kg, US)) == pytest.approx(mass_kg, rel=1e-12)


@untimed
@given(st.integers(1, 95))
def test_eighths_of_an_inch_survive_the_round_trip(eighths: int) -> None:
    length_m = float(Fraction(eighths, 8)) * 0.0254
    assert parse_length_m(format_length(length_m, US)) == pytest.approx(length_m, rel=1e-12)


# --- the registry -----------------------------------------------------------------------------------


def test_every_dimension_has_a_parser_and_a_range_parser() -> None:
    assert set(SINGLE_PARSERS) == {str(dimension) for dimension in Dimension}
    assert set(PARSERS) == set(SINGLE_PARSERS) | {f"{name}_range" for name in SINGLE_PARSERS}


def test_parsers_serve_json_schema_as_formats() -> None:
    checker = FormatChecker(formats=())
    for name, parser in PARSERS.items():
        checker.checks(name, raises=UnitError)(lambda text, parser=parser: parser(text) is not None)
    schema = {
        "properties": {
            "pit": {"type": "string", "format": "temperature"},
            "weight": {"type": "string", "format": "mass_range"},
        }
    }
    validator = Draft202012Validator(schema, format_checker=checker)
    assert validator.is_valid({"pit": "250 °F", "weight": "12–14 lb"})
    (fault,) = validator.iter_errors({"pit": "250", "weight": "12–14 lb"})
    assert str(fault.cause) == f"no unit: {T_HELP}"
