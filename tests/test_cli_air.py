"""The `air` command against steam tables, and its errors."""

import json

import pytest
from click.testing import CliRunner, Result

from slowfolio.cli.air import command


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments))


def test_air_at_150_f_over_water_at_100_f_is_at_25_5_per_cent() -> None:
    """Common practice in humidity-controlled holding, no source; the ratio of two IAPWS-97 saturation
    pressures, 6.554 kPa at 37.78 °C and 25.675 kPa at 65.56 °C, gives 25.53 %."""
    result = run("--dry-bulb", "150 °F", "--dew-point", "100 °F", "--json")
    record = json.loads(result.output)
    assert result.exit_code == 0
    assert record["relative_humidity_pct"] == pytest.approx(25.53, abs=0.05)
    assert record["vapour_pressure_pa"] == pytest.approx(6553.8, rel=5e-4)
    assert set(record) >= {"wet_bulb_c", "humidity_ratio_kg_kg", "boiling_point_c"}


def test_water_boils_lower_at_altitude() -> None:
    """94.62 °C at 1609.3 m: IAPWS-97 at the ISA pressure."""
    result = run("--dry-bulb", "150 °F", "--dew-point", "100 °F", "--altitude", "5280 ft", "--json")
    assert json.loads(result.output)["boiling_point_c"] == pytest.approx(94.62, abs=0.05)


@pytest.mark.parametrize(
    "given", [("--wet-bulb", "52.06 °C"), ("--humidity", "50 %"), ("--water", "50.79 °C")]
)
def test_any_second_reading_gives_the_same_air(given: tuple[str, str]) -> None:
    """65.56 °C at 50 %: dew point 50.79 °C, wet bulb 52.06 °C by CoolProp HAPropsSI."""
    record = json.loads(run("--dry-bulb", "65.56 °C", *given, "--json").output)
    assert record["relative_humidity_pct"] == pytest.approx(50.0, abs=0.3)
    assert record["wet_bulb_c"] == pytest.approx(52.06, abs=0.1)


def test_the_text_names_both_unit_systems() -> None:
    output = run("--dry-bulb", "150 °F", "--water", "100 °F").output
    assert "25.5 %" in output
    assert "150 °F (66 °C)" in output


@pytest.mark.parametrize(
    ("arguments", "advice"),
    [
        (("--dry-bulb", "150"), "°F"),
        (("--dry-bulb", "150 °F"), "exactly one of"),
        (("--dry-bulb", "150 °F", "--dew-point", "100 °F", "--humidity", "50 %"), "exactly one of"),
        (("--dry-bulb", "100 °F", "--dew-point", "150 °F"), "dew point"),
        (("--dry-bulb", "150 °F", "--humidity", "140 %"), "humidity"),
        (
            ("--dry-bulb", "150 °F", "--dew-point", "160 °F"),
            "dew point, 160 °F (71 °C), cannot be above the air",
        ),
        (
            ("--dry-bulb", "150 °F", "--wet-bulb", "160 °F"),
            "wet bulb, 160 °F (71 °C), cannot be above the air",
        ),
        (("--dry-bulb", "150 °F", "--humidity", "0 %"), "that dry"),
        (("--dry-bulb", "250 °F", "--humidity", "50 %"), "pure steam stays below 49.2 % at 250 °F (121 °C)"),
        (("--dry-bulb", "-300 °F", "--humidity", "50 %"), "--dry-bulb: give −40 °F (−40 °C)"),
        (
            ("--dry-bulb", "150 °F", "--humidity", "50 %", "--altitude", "90000 ft"),
            "18045 ft",
        ),
        (("--dry-bulb", "250 °F", "--dew-point", "215 °F"), "boiling point"),
        (("--dry-bulb", "150 °F", "--dew-point", "100 °F", "--altitude", "40000 m"), "altitude"),
    ],
)
def test_bad_readings_are_a_usage_error_that_says_what_to_write(
    arguments: tuple[str, ...], advice: str
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert advice in result.output
    assert "Traceback" not in result.output
