"""The `simulate` command on the starter book: text, JSON by its schema, conditions, errors."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from slowfolio.cli.air import command as air
from slowfolio.cli.simulate import command

ROOT = Path(__file__).parents[1]
OUTPUTS = ROOT / "schema" / "output"
FEW = ("--members", "24", "--book", str(ROOT / "methods"))


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, [*arguments, *FEW])


def validate(name: str, record: object) -> None:
    schema = json.loads((OUTPUTS / f"{name}.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    Draft202012Validator(schema).validate(record)


def test_json_keeps_to_its_schema() -> None:
    record = json.loads(run("foil-tight", "--json").output)
    validate("simulate", record)
    assert record["finish_h_p10"] <= record["finish_h_p50"] <= record["finish_h_p90"]
    assert record["members"] == 24


def test_json_of_air_keeps_to_its_schema() -> None:
    arguments = ["--dry-bulb", "150 °F", "--water", "100 °F", "--json"]
    validate("air", json.loads(CliRunner().invoke(air, arguments).output))


def test_one_member_has_no_spread() -> None:
    arguments = ["foil-tight", "--json", "--members", "1", "--book", str(ROOT / "methods")]
    record = json.loads(CliRunner().invoke(command, arguments).output)
    validate("simulate", record)
    assert record["finish_h_p50"] > 0
    assert record["finish_h_p10"] is None
    assert record["ranking"] == []


def test_the_same_seed_gives_the_same_numbers() -> None:
    assert run("foil-tight", "--json").output == run("foil-tight", "--json").output
    assert run("foil-tight", "--json").output != run("foil-tight", "--json", "--seed", "7").output


def test_the_text_tells_stages_yield_scores_and_what_moves_the_finish() -> None:
    output = run("foil-tight").output
    for words in ("Foil", "core", "probe tender", "yield", "bark", "what moves the finish most"):
        assert words in output


def test_a_heavier_piece_takes_longer_and_so_does_a_cooler_pit() -> None:
    """Common practice, no source."""
    finish = json.loads(run("foil-tight", "--json").output)["finish_h_p50"]
    heavier = json.loads(run("foil-tight", "--json", "--weight", "20 lb").output)
    assert heavier["finish_h_p50"] > finish
    assert heavier["weight_kg"] == pytest.approx(9.07, abs=0.01)


def test_under_foil_the_core_stays_below_boiling_at_altitude() -> None:
    """Water boils at 91.65 °C at 2,500 m (IAPWS-97 at the ISA pressure)."""
    record = json.loads(run("foil-tight", "--json", "--altitude", "2500 m").output)
    foil = next(stage for stage in record["stages"] if stage["name"] == "Foil")
    assert foil["core_temp_c_p90"] < 92.0


@pytest.mark.parametrize(
    ("arguments", "advice"),
    [
        (("foil-tigt",), "did you mean foil-tight?"),
        (("foil-tight", "--weight", "13"), "lb"),
        (("foil-tight", "--weight", "-2 kg"), "weight"),
        (("foil-tight", "--weight", "300 lb"), "0.2 to 25 kg"),
        (("foil-tight", "--thickness", "3 m"), "thickness"),
        (("foil-tight", "--pit", "sauna"), "offset-stick-burner"),
        (("foil-tight", "--start-temp", "300 °F"), "start temperature"),
    ],
)
def test_bad_conditions_are_a_usage_error_that_says_what_to_write(
    arguments: tuple[str, ...], advice: str
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert advice in result.output
    assert "Traceback" not in result.output


def test_a_folder_without_a_book_is_named(tmp_path: Path) -> None:
    result = CliRunner().invoke(command, ["foil-tight", "--book", str(tmp_path / "nowhere")])
    assert result.exit_code == 1
    assert "name the folder that holds book.yaml" in result.output
