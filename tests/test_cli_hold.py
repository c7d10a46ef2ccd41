"""The `hold` command on the starter book: settings, window, JSON by its schema, errors."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from slowfolio.cli.hold import command

ROOT = Path(__file__).parents[1]
BOOK = ("--book", str(ROOT / "methods"))
METHOD = "foil-boat-humid-hold"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, [*arguments, *BOOK])


def record(*arguments: str) -> dict[str, float]:
    result = run(METHOD, *arguments, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, float] = json.loads(result.output)
    return found


def test_json_keeps_to_its_schema() -> None:
    schema = json.loads((ROOT / "schema" / "output" / "hold.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    for holder in ("humidity-cabinet", "oven-water-pan", "dry-oven", "insulated-box", "combi-oven"):
        Draft202012Validator(schema).validate(record("--holder", holder))


def test_150_f_air_over_vapour_at_100_f_is_at_25_5_per_cent() -> None:
    """Common practice in humidity-controlled holding, no source; steam tables give 25.53 %."""
    found = record("--holder", "humidity-cabinet", "--air-temp", "150 °F", "--vapour-temp", "100 °F")
    assert found["relative_humidity_pct"] == pytest.approx(25.53, abs=0.1)


def test_per_cent_is_dialled_where_the_holder_sets_per_cent() -> None:
    assert record("--holder", "combi-oven", "--humidity", "55 %")["set_humidity_pct"] == pytest.approx(55)


def test_more_open_water_makes_damper_air() -> None:
    """Common practice, no source."""
    small, large = (
        record("--holder", "oven-water-pan", "--pan-area", area)["relative_humidity_pct"]
        for area in ("300 cm2", "1500 cm2")
    )
    assert small < large


def test_a_dry_hygrometer_reading_corrects_the_air() -> None:
    found = record("--holder", "oven-water-pan", "--pan-area", "900 cm2", "--measured-humidity", "18 %")
    assert found["relative_humidity_pct"] == pytest.approx(18, abs=1)
    assert "air exchange" in str(found["reading"])


def test_an_open_piece_settles_below_the_air_and_further_in_drier_air() -> None:
    """A wet surface is colder than the air by its evaporation: wet-bulb theory."""
    dry = record("--holder", "combi-oven", "--humidity", "10 %", "--hours", "14 h")
    damp = record("--holder", "combi-oven", "--humidity", "80 %", "--hours", "14 h")
    assert dry["coldest_temp_c_p50"] < damp["coldest_temp_c_p50"]


def test_text_names_settings_window_loss_and_what_ends_the_hold() -> None:
    output = run(METHOD, "--holder", "humidity-cabinet").output
    for words in ("water-vapour temperature", "window", "loses", "coldest point", "hold at most"):
        assert words in output


def test_a_holder_that_cannot_says_why() -> None:
    output = run(METHOD, "--holder", "insulated-box", "--hours", "40 h").output
    assert "unheated" in output
    output = run(METHOD, "--holder", "warming-cabinet-dry", "--air-temp", "400 °F").output
    assert "air cannot be set to this temperature" in output


@pytest.mark.parametrize(
    ("arguments", "advice"),
    [
        ((METHOD, "--holder", "humidity-cabinett"), "did you mean humidity-cabinet?"),
        (("foil", "--holder", "dry-oven"), "no method"),
        ((METHOD,), "--holder"),
        ((METHOD, "--holder", "dry-oven", "--vapour-temp", "100 °F"), "no vapour temperature"),
        ((METHOD, "--holder", "combi-oven", "--humidity", "55"), "%"),
        ((METHOD, "--holder", "combi-oven", "--humidity", "5 %", "--vapour-temp", "90 °F"), "give one of"),
        ((METHOD, "--holder", "combi-oven", "--pan-temp", "90 °F"), "--pan-area"),
        ((METHOD, "--holder", "combi-oven", "--wrap", "paper-dry"), "not for paper-dry"),
        ((METHOD, "--holder", "humidity-cabinet", "--vapour-temp", "230 °F"), "boil"),
    ],
)
def test_bad_wishes_are_a_usage_error_that_says_what_to_write(
    arguments: tuple[str, ...], advice: str
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2, result.output
    assert advice in result.output
    assert "Traceback" not in result.output
