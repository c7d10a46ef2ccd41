"""`slowfolio tasting design` and `analyse`: text, JSON by its schemas, published values, cards, errors."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from slowfolio.book.single import read_tasting
from slowfolio.cli.check import command as check_command
from slowfolio.cli.tasting import command

ROOT = Path(__file__).parents[1]
OUTPUT = ROOT / "schema" / "output"
BOOK = ("--book", str(ROOT / "methods"))
PAIR = ("--product", "boat", "--product", "paper")
METHODS = ("--product", "boat=foil-boat-humid-hold", "--product", "paper=butcher-paper")
SEED = ("--seed", "7")


def run(*arguments: str) -> Result:
    return CliRunner().invoke(command, list(arguments))


def design(*arguments: str) -> dict[str, Any]:
    result = run("design", *SEED, *arguments, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)
    return found


def schema(name: str) -> Draft202012Validator:
    document = json.loads((OUTPUT / f"{name}.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(document)
    return Draft202012Validator(document)


# --- published values ---------------------------------------------------------------------------------


def test_a_triangle_of_24_finds_40_per_cent_tellers_79_times_in_100() -> None:
    """Exact binomial table of powers at alpha 0.05: n 24, pd 40 %, 0.79."""
    found = design("--question", "differ", "--test", "triangle", *PAIR, "--tasters", "24")
    assert found["power"] == pytest.approx(0.79, abs=0.005)


def test_a_triangle_for_half_who_can_tell_needs_16_tasters() -> None:
    """Triangle, pd 0.5, alpha 0.05, beta 0.2: 16 stable (discrimination_sample_size.csv)."""
    found = design("--question", "differ", "--test", "triangle", *PAIR, "--telling", "50 %")
    assert (found["tasters_needed"], found["tasters_first_enough"], found["tasters_advised"]) == (16, 16, 18)


def test_a_duo_trio_of_20_finds_half_who_can_tell_with_power_0_617() -> None:
    """sensR methodology vignette: n 20, pd 0.5, alpha 0.05 (READ)."""
    found = design(
        "--question", "differ", "--test", "duo-trio", *PAIR, "--tasters", "20", "--telling", "50 %"
    )
    assert found["power"] == pytest.approx(0.617, abs=5e-4)


def test_scores_need_34_tasters_for_a_point_that_spreads_by_two() -> None:
    """Paired t, effect 0.5, alpha 0.05 two-sided, power 0.8: n = 34 (Cohen 1988, MEMORY; scipy nct)."""
    found = design("--question", "how-much", *PAIR, "--attribute", "bark")
    assert found["tasters_needed"] == 34


# --- design -------------------------------------------------------------------------------------------

DESIGNS = [
    ("--question", "differ", *PAIR),
    ("--question", "differ", *PAIR, "--smoke-lingers"),
    ("--question", "swap", *PAIR),
    ("--question", "more", *PAIR, "--attribute", "smoke", "--expected-more", "boat"),
    ("--question", "preferred", *PAIR),
    ("--question", "preferred", *PAIR, "--product", "foil"),
    ("--question", "preferred", *PAIR, "--product", "foil", "--test", "preferences-in-pairs"),
    ("--question", "order", *PAIR, "--product", "foil"),
    ("--question", "how-much", *PAIR, "--tasters", "12", "--length", "300 mm"),
    ("--question", "how-much", *PAIR, "--product", "foil", "--product", "bare", "--pieces", "3"),
]


@pytest.mark.parametrize("arguments", DESIGNS, ids=" ".join)
def test_a_design_keeps_to_its_schema_and_its_codes_to_one_piece_each(arguments: tuple[str, ...]) -> None:
    found = design(*arguments)
    schema("tasting-design").validate(found)
    codes = [serving["code"] for serving in found["servings"]]
    assert len(codes) == len(set(codes)) == found["tasters"] * found["pieces_each"]
    assert len(found["sheets"]) == found["tasters"]
    assert found["power"] >= 0.8 or found["notes"]


def test_a_seed_draws_the_same_design_again_and_another_seed_another() -> None:
    asked = ("--question", "differ", *PAIR, "--tasters", "12")
    assert design(*asked) == design(*asked)
    other = json.loads(run("design", *asked, "--seed", "8", "--json").output)
    assert other["servings"] != design(*asked)["servings"]


def test_the_product_expected_to_have_more_is_last() -> None:
    found = design("--question", "more", *PAIR, "--attribute", "smoke", "--expected-more", "boat")
    assert (found["products"], found["sides"]) == (["paper", "boat"], "one-sided")


def test_the_key_is_on_the_carver_s_sheet_alone() -> None:
    asked = ("design", *SEED, "--question", "differ", *PAIR, "--tasters", "6", "--print")
    tasters, carver = run(*asked, "tasters").output, run(*asked, "carver").output
    assert "boat" not in tasters
    assert "paper" not in tasters
    assert "Keep it from tasters" in carver
    assert carver.count("boat") == carver.count("paper") == 12


def test_slices_of_one_plate_come_from_one_place_of_both_parts() -> None:
    found = design("--question", "how-much", *PAIR, "--tasters", "12", "--length", "300 mm")
    places: dict[int, set[float]] = {}
    for piece in found["carving"]["pieces"]:
        places.setdefault(piece["taster"], set()).add(piece["distance_m"])
    assert all(len(distances) == 1 for distances in places.values())


@pytest.mark.parametrize("arguments", DESIGNS[:1] + DESIGNS[3:5] + DESIGNS[7:9], ids=" ".join)
def test_a_design_becomes_a_card_without_an_error(arguments: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "planned.yaml"
    with_methods = [
        f"{word}={word}-method" if word in ("boat", "paper", "foil") else word for word in arguments
    ]
    if "--expected-more" in with_methods:
        with_methods[with_methods.index("--expected-more") + 1] = "boat"
    made = run("design", *SEED, *with_methods, "--cooked", "2", "--card", str(path), "--print", "plan")
    assert made.exit_code == 0, made.output
    card = read_tasting(path)
    assert card.sheets == ()
    assert card.names == tuple(design(*arguments)["products"])
    assert {plate.cook for plate in card.plates} == {1, 2}
    again = run("design", *SEED, *with_methods, "--card", str(path))
    assert again.exit_code == 2
    assert "is there already" in again.output


def test_an_order_named_beforehand_is_kept_on_the_card(tmp_path: Path) -> None:
    path = tmp_path / "ranked.yaml"
    asked = ("--question", "order", *METHODS, "--order-expected", "--card", str(path), "--print", "plan")
    assert run("design", *SEED, *asked).exit_code == 0
    assert read_tasting(path).expected_order == ("boat", "paper")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--question", "taste", *PAIR), "write one of: differ, swap"),
        (("--question", "more", *PAIR), "name one attribute"),
        (("--question", "differ", *PAIR, "--attribute", "bark"), "without an attribute"),
        (("--question", "differ", *PAIR, "--product", "foil"), "is asked of two products"),
        (("--question", "differ", "--product", "boat"), "give a whole number from 2 to 12"),
        (("--question", "differ", "--product", "boat", "--product", "boat"), "name each product once"),
        (("--question", "differ", "--test", "ranking", *PAIR), "does not answer"),
        (("--question", "differ", *PAIR, "--telling", "40"), "unit"),
        (("--question", "differ", *PAIR, "--telling", "0 %"), "give a larger difference"),
        (("--question", "preferred", *PAIR, "--preferring", "40 %"), "between 0.5 and 1"),
        (("--question", "how-much", *PAIR, "--points", "0"), "the difference to find"),
        (("--question", "how-much", *PAIR, "--spread", "nan"), "finite"),
        (("--question", "differ", *PAIR, "--tasters", "0"), "1<=x<=500"),
        (("--question", "more", *PAIR, "--attribute", "smoke", "--expected-more", "foil"), "none of the"),
        (("--question", "differ", *PAIR, "--order-expected"), "goes with the question order"),
        (("--question", "differ", *PAIR, "--card", "x.yaml"), "needs the method"),
        (("--question", "differ", *METHODS, "--card", "x.txt"), "ends in .yaml"),
        (("--question", "differ", *METHODS, "--card", "/nowhere/x.yaml"), "cannot write"),
        (("--question", "how-much", *PAIR, "--length", "70 mm", "--tasters", "40"), "carve thinner slices"),
        (("--question", "differ", *PAIR, "--telling", "0.1 %"), "give a larger one"),
    ],
)
def test_what_cannot_be_meant_is_a_usage_error_that_says_what_to_write(
    arguments: tuple[str, ...], says: str
) -> None:
    result = run("design", *SEED, *arguments)
    assert result.exit_code == 2, result.output
    assert says in " ".join(result.output.split())
    assert "Traceback" not in result.output


# --- analyse ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", sorted(path.stem for path in (ROOT / "methods" / "tastings").glob("*.yaml")))
def test_an_analysis_keeps_to_its_schema_by_id_and_by_file(name: str) -> None:
    by_id = run("analyse", name, *BOOK, "--json")
    by_file = run("analyse", str(ROOT / "methods" / "tastings" / f"{name}.yaml"), "--json")
    assert by_id.exit_code == 0, by_id.output
    assert by_id.output == by_file.output
    schema("tasting-analysis").validate(json.loads(by_id.output))


def test_an_analysis_in_words_says_what_would_settle_it_and_no_more() -> None:
    output = run("analyse", "boat-or-paper-triangle", *BOOK).output
    for words in (
        "The data of this tasting are invented.",
        "12 tasters cannot settle",
        "30 would, at least 80 times in 100.",
        "A difference not found is not the same as no difference.",
        "Evidence: one cook.",
    ):
        assert words in output


def test_a_tasting_that_is_not_there_or_not_held_is_a_usage_error(tmp_path: Path) -> None:
    near = run("analyse", "boat-or-paper-triangel", *BOOK)
    assert (near.exit_code, "did you mean boat-or-paper-triangle?" in near.output) == (2, True)
    assert run("analyse", str(tmp_path / "none.yaml")).exit_code == 2
    planned = tmp_path / "planned.yaml"
    run("design", *SEED, "--question", "differ", *METHODS, "--card", str(planned))
    held = run("analyse", str(planned))
    assert (held.exit_code, "no results yet" in held.output) == (2, True)
    for text in ("", "just: [broken", "\x00", "id: x\n"):
        planned.write_text(text, "utf-8")
        broken = run("analyse", str(planned))
        assert (broken.exit_code, "planned.yaml:" in broken.output) == (1, True), broken.output


def test_check_reports_what_tastings_say_of_the_claims(tmp_path: Path) -> None:
    book = Path(shutil.copytree(ROOT / "methods", tmp_path / "book"))
    for name, claimed, wrong in (
        ("foil-tight", "smoke: {level: light", "smoke: {level: medium"),
        ("foil-boat-humid-hold", "smoke: {level: strong", "smoke: {level: light"),
    ):
        card = book / "cards" / "brisket" / f"{name}.yaml"
        card.write_text(card.read_text("utf-8").replace(claimed, wrong), "utf-8")
    result = CliRunner().invoke(check_command, [str(book)])
    assert result.exit_code == 0
    assert result.output.count("claim-contradicted") == 2
    assert "foil-tight.yaml" in result.output
    assert CliRunner().invoke(check_command, [str(book), "--strict"]).exit_code == 1
