"""The schemas are valid JSON Schema 2020-12, explain every field, and their own examples pass them."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from book_cases import GOOD_BOOK, check, copy_good_book
from slowfolio.book import schema_faults
from slowfolio.book.files import KIND_OF_FOLDER
from slowfolio.book.rules.promises import ALLERGEN_WORDS, ALLERGENS_OF_FAT, SAME_ALLERGEN
from slowfolio.book.schemas import KINDS, allergen_titles, parse_date, schema, schema_errors
from slowfolio.resources import schema_folder
from slowfolio.units import PARSERS

FILES = {
    path.name: json.loads(path.read_text("utf-8")) for path in sorted(schema_folder().glob("*.schema.json"))
}
REGISTRY = Registry().with_resources((name, Resource.from_contents(each)) for name, each in FILES.items())
ANNOTATIONS = {"title", "description", "examples", "default", "$ref", "$schema", "$id", "$defs"}
STRUCTURE = {"properties", "items", "oneOf", "anyOf", "not"}
RECORDS = {"cooks"}
"""What is recorded stands apart from the good book: most tests need none."""
REFERENCE = Path(__file__).parent / "reference" / "allergens_us_eu.csv"


def properties(part: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every property of a joined schema with its path, and the items of every list."""
    if isinstance(part, dict):
        for name, field in part.get("properties", {}).items():
            yield f"{path}.{name}", field
            yield from properties(field, f"{path}.{name}")
        if "items" in part:
            yield f"{path}[]", part["items"]
            yield from properties(part["items"], f"{path}[]")


ALL_FIELDS = [(kind + path, kind, field) for kind in KINDS for path, field in properties(schema(kind))]


@pytest.mark.parametrize("name", FILES)
def test_a_schema_file_is_valid_2020_12(name: str) -> None:
    assert FILES[name]["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert FILES[name]["$id"] == name
    Draft202012Validator.check_schema(FILES[name])


def test_there_is_one_schema_for_each_kind_of_card_and_one_of_shared_parts() -> None:
    assert set(FILES) == {f"{kind}.schema.json" for kind in (*KINDS, "common")}


@pytest.mark.parametrize(("path", "kind", "field"), ALL_FIELDS, ids=[path for path, _, _ in ALL_FIELDS])
def test_a_field_has_title_description_and_examples_that_pass(
    path: str, kind: str, field: dict[str, Any]
) -> None:
    assert field["title"][0].isupper()
    assert field["description"].endswith((".", ")"))
    assert field["examples"], path
    validator = Draft202012Validator(field)
    for example in field["examples"]:
        assert validator.is_valid(example), f"{path}: {example!r} of a {kind}"


@pytest.mark.parametrize(("path", "kind", "field"), ALL_FIELDS, ids=[path for path, _, _ in ALL_FIELDS])
def test_a_quantity_has_a_unit_and_examples_that_its_parser_reads(
    path: str, kind: str, field: dict[str, Any]
) -> None:
    quantity = field.get("format")
    if quantity in {None, "date"}:
        assert "x-unit" not in field or "properties" in field or "anyOf" in field, f"{path} of {kind}"
        return
    assert quantity in PARSERS
    assert field["x-unit"]
    for example in field["examples"]:
        PARSERS[quantity](example)


@pytest.mark.parametrize("kind", KINDS)
def test_the_example_card_of_a_schema_passes_it(kind: str) -> None:
    for example in schema(kind)["examples"]:
        assert list(schema_errors(kind, example)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_no_group_of_a_card_takes_keys_that_it_does_not_know(kind: str) -> None:
    groups = [schema(kind), *(field for _, field in properties(schema(kind)) if "properties" in field)]
    assert all(group["additionalProperties"] is False for group in groups)
    assert all(set(group["required"]) <= set(group["properties"]) for group in groups)


def test_the_joined_schema_and_the_files_with_references_judge_alike(tmp_path: Path) -> None:
    """The files are what editors use; the joined form is what the check uses."""
    result = check(copy_good_book(tmp_path))
    assert result.errors == ()
    for kind in KINDS:
        plain = Draft202012Validator(FILES[f"{kind}.schema.json"], registry=REGISTRY)
        joined = Draft202012Validator(schema(kind))
        for example in schema(kind)["examples"]:
            for spoilt in spoil_each_field(example):
                assert plain.is_valid(spoilt) == joined.is_valid(spoilt), spoilt


def spoil_each_field(card: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """The card itself, and copies with one field dropped or of another type."""
    yield card
    for key in card:
        yield {name: value for name, value in card.items() if name != key}
        for other in (None, "", " ", 7, True, [], [1], {}, {"x": 1}):
            yield {**card, key: other}


def test_every_keyword_of_the_schemas_has_words_for_the_cook() -> None:
    spoken = set(schema_faults._SPEAKERS)
    for kind in KINDS:
        for part in [schema(kind), *(field for _, field in properties(schema(kind)))]:
            keywords = {key for key in part if not key.startswith("x-")} - ANNOTATIONS - STRUCTURE
            assert keywords <= spoken, keywords - spoken
            assert {"oneOf", "anyOf"} & set(part) <= spoken
            if "pattern" in part or "oneOf" in part or "anyOf" in part:
                assert part["x-message"]


def test_the_allergens_are_those_of_the_us_and_eu_laws() -> None:
    """Food Code 2022 1-201.10 and Regulation (EU) 1169/2011 Annex II, as listed in the reference file."""
    rows = [
        line.split(",", 2) for line in REFERENCE.read_text("utf-8").splitlines() if not line.startswith("#")
    ]
    legal = {(law, name.strip('"').split(" ")[0].rstrip("s")) for law, _, name in rows[1:]}
    ours = {name.split(" ")[0].rstrip("s") for name in allergen_titles()}
    named_otherwise = {"crustacean": "crustacean", "nut": "tree", "sulphur": "sulphite"}
    assert {named_otherwise.get(name, name) for _, name in legal} == ours
    assert sum(law == "US" for law, _ in legal) == 9
    assert sum(law == "EU" for law, _ in legal) == 14


def test_the_rules_know_allergens_by_the_names_of_the_schema() -> None:
    used = {*ALLERGEN_WORDS.values(), *ALLERGENS_OF_FAT.values(), *SAME_ALLERGEN, *SAME_ALLERGEN.values()}
    assert used <= set(allergen_titles())
    assert set(ALLERGENS_OF_FAT) <= set(schema("wrap")["properties"]["added_fat"]["enum"])


def test_a_date_is_year_month_day_only() -> None:
    assert parse_date("2026-10-03").isoformat() == "2026-10-03"
    for text in ("20261003", "2026-W40-6", "2026-10-3", "03/10/2026", "2026-02-30", "0000-01-01", ""):
        with pytest.raises(ValueError, match=r".*"):
            parse_date(text)


def test_every_folder_of_cards_has_a_schema() -> None:
    assert set(KIND_OF_FOLDER.values()) | {"book"} == set(KINDS)
    assert all((GOOD_BOOK / folder).is_dir() for folder in KIND_OF_FOLDER if folder not in RECORDS)
