"""The `hold` command on the starter book: settings, window, JSON by its schema, errors."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from slowfolio.cli.hold import command
from slowfolio.enrich.hold_words import refill_text

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


# --- pans, sprays, bottles --------------------------------------------------------------------------


def test_sprays_on_a_schedule_give_their_mean_and_swing_between_pulses() -> None:
    """60 mL every half hour are 120 g of water an hour, by hand."""
    found = record("--holder", "dry-oven", "--spray", "60 mL", "--every", "30 min")
    none = record("--holder", "dry-oven")
    assert found["sprayed_kg_h"] == pytest.approx(0.120)
    low, mean, high = (
        found[key]
        for key in ("humidity_before_spray_pct", "relative_humidity_pct", "humidity_after_spray_pct")
    )
    assert none["relative_humidity_pct"] < mean
    assert low < mean < high
    assert none["humidity_before_spray_pct"] is None


def test_the_same_water_in_smaller_pulses_swings_less_about_the_same_mean() -> None:
    """The mean of a linear balance does not depend on the pulses (tests/test_physics_cabinet_course.py)."""
    often = record("--holder", "dry-oven", "--spray", "20 mL", "--every", "10 min")
    seldom = record("--holder", "dry-oven", "--spray", "120 mL", "--every", "60 min")
    assert often["relative_humidity_pct"] == pytest.approx(seldom["relative_humidity_pct"], rel=1e-6)
    swings = [
        each["humidity_after_spray_pct"] - each["humidity_before_spray_pct"] for each in (often, seldom)
    ]
    assert swings[0] < swings[1]


def test_the_text_says_what_is_sprayed_and_how_far_it_swings() -> None:
    output = run(METHOD, "--holder", "dry-oven", "--spray", "60 mL", "--every", "30 min").output
    assert "every 30 min" in output
    assert "it swings" in output


@pytest.mark.parametrize(
    ("refill_h", "said"),
    [
        (110.9, "one filling outlasts the hold"),
        (10.0, "one filling outlasts the hold"),
        (4.6, "refill about every 4 h 30 min"),
        (0.1, "refill about every 15 min"),
    ],
)
def test_a_refill_is_said_as_a_cook_would(refill_h: float, said: str) -> None:
    assert refill_text(refill_h, hours=10.0) == said


def test_a_high_target_takes_a_second_pan() -> None:
    """An oven shelf holds one pan of a third of the floor; common practice, no source."""
    low, high = (record("--holder", "oven-water-pan", "--humidity", rh) for rh in ("12 %", "95 %"))
    assert (low["pan_count"] or 0) < high["pan_count"] == 2
    assert (low["pan_area_m2"] or 0.0) < high["pan_area_m2"]


def test_more_hot_water_keeps_a_box_above_the_floor_for_longer() -> None:
    none, some, more = (
        record("--holder", "insulated-box", "--hours", "2 h", "--bottles", litres)
        for litres in ("0 L", "4 L", "8 L")
    )
    assert none["box_above_floor_h"] < some["box_above_floor_h"] < more["box_above_floor_h"]
    hotter = record(
        "--holder", "insulated-box", "--hours", "2 h", "--bottles", "4 L", "--bottle-temp", "195 °F"
    )
    assert hotter["box_above_floor_h"] > some["box_above_floor_h"]
    assert hotter["box_water_c"] == pytest.approx(90.6, abs=0.1)


def test_without_a_window_the_command_says_what_would_open_one() -> None:
    output = run(METHOD, "--holder", "humidity-cabinet", "--air-temp", "142 °F").output
    assert "Foil boat: none; air damp enough to keep its coldest point at the floor" in output
    assert "hold it warmer" in output


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
        ((METHOD, "--holder", "dry-oven", "--spray", "60 mL"), "--spray and --every go together"),
        ((METHOD, "--holder", "dry-oven", "--spray", "60 mL", "--every", "1 s"), "spray interval"),
        ((METHOD, "--holder", "combi-oven", "--spray", "60 mL", "--every", "1 h"), "leave the spray out"),
        ((METHOD, "--holder", "dry-oven", "--bottles", "4 L"), "without heat"),
        ((METHOD, "--holder", "insulated-box", "--bottle-temp", "180 °F"), "goes with --bottles"),
        ((METHOD, "--holder", "insulated-box", "--bottles", "900 L"), "hot water"),
        ((METHOD, "--holder", "insulated-box", "--humidity", "50 %"), "no humidity: give its bottles"),
        ((METHOD, "--holder", "insulated-box", "--wrap", "foil-boat"), "steam-tight wrap only"),
        ((METHOD, "--holder", "oven-water-pan", "--pan-area", "9000 cm2"), "at most"),
        ((METHOD, "--holder", "dry-oven", "--pan-area", "0 cm2"), "no --pan-area"),
        ((METHOD, "--holder", "dry-oven", "--hours", "40 h"), "up to 16 h"),
        ((METHOD, "--holder", "dry-oven", "--altitude", "90000 ft"), "18045 ft"),
        ((METHOD, "--holder", "dry-oven", "--room", "300 °F"), "122 °F"),
        ((METHOD, "--holder", "oven-water-pan", "--pan-area", "900 cm2", "--pan-temp", "240 °F"), "212 °F"),
        ((METHOD, "--holder", "combi-oven", "--pan-area", "900 cm2"), "leave --pan-area out"),
        ((METHOD, "--holder", "humidity-cabinet", "--measured-humidity", "40 %"), "too: --vapour-temp"),
    ],
)
def test_bad_wishes_are_a_usage_error_that_says_what_to_write(
    arguments: tuple[str, ...], advice: str
) -> None:
    result = run(*arguments)
    assert result.exit_code == 2, result.output
    assert advice in result.output
    assert "Traceback" not in result.output
