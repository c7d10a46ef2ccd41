"""An editor that reads JSON Schema finds the schema of every card, and every field explains itself.

The schemas are taken as an editor takes them: the files with their references, not the form the check uses.
"""

import json
import shutil
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from slowfolio.book.files import CARD_ENDING, KIND_OF_FOLDER, CardFile
from slowfolio.book.schemas import KINDS, schema
from slowfolio.book.syntax import read_document
from slowfolio.cli import main
from slowfolio.drafts.card_text import MODELINE
from slowfolio.drafts.editor import CATALOGUE, adapted_schemas, catalogue, whole_cards
from slowfolio.resources import schema_folder
from slowfolio.site.reference_pages import fields_page, read_schemas

ROOT = Path(__file__).parents[1]
ROWS = [(kind.name, row) for kind in fields_page(read_schemas(schema_folder())).kinds for row in kind.fields]


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book of its own, far from the checkout, with a card of each kind that is taken over."""
    folder = tmp_path_factory.mktemp("elsewhere") / "ours"
    run("init", str(folder))
    book = ("--book", str(folder / "methods"))
    run("new", "pit", "--like", "pellet-pit", *book)
    run("new", "holder", "--like", "combi-oven", *book)
    run("new", "wrap", "--like", "paper-tallow", *book)
    run("new", "cut", "--like", "chuck-roll", *book)
    log = ROOT / "methods" / "cooks" / "alder-boat-one.csv"
    run("new", "cook", str(log), "--method", "foil-boat-humid-hold", *book)
    return folder


def run(*arguments: str) -> None:
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output


def named_schema(card: Path) -> Path:
    """The schema file that the first line of a card names."""
    first = card.read_text("utf-8").splitlines()[0]
    assert first.startswith(MODELINE), card
    return (card.parent / first.removeprefix(MODELINE)).resolve()


def validator_of(file: Path) -> Draft202012Validator:
    """A schema file with those beside it, as an editor opens it."""
    beside = {path.name: json.loads(path.read_text("utf-8")) for path in file.parent.glob("*.schema.json")}
    registry = Registry().with_resources(
        (name, Resource.from_contents(each)) for name, each in beside.items()
    )
    return Draft202012Validator(beside[file.name], registry=registry)


def data_of(card: Path, kind: str) -> Any:
    """A card as an editor's reader of YAML takes it: dates stay texts."""
    return read_document(CardFile(card.name, kind, card.read_bytes())).data


def cards_of(book: Path) -> list[Path]:
    return sorted(path for path in book.rglob(f"*{CARD_ENDING}"))


def assert_every_card_passes_the_schema_it_names(book: Path) -> None:
    validators: dict[Path, Draft202012Validator] = {}
    for card in cards_of(book):
        file = named_schema(card)
        assert file.is_file(), card
        kind = "book" if card.parent == book else KIND_OF_FOLDER[card.relative_to(book).parts[0]]
        assert file.name == f"{kind}.schema.json", card
        validator = validators.setdefault(file, validator_of(file))
        assert [error.message for error in validator.iter_errors(data_of(card, kind))] == [], card


# --- the first line of a card -----------------------------------------------------------------------


def test_every_card_of_the_starter_book_names_a_schema_that_it_passes() -> None:
    assert len(cards_of(ROOT / "methods")) > 60
    assert_every_card_passes_the_schema_it_names(ROOT / "methods")


def test_cards_made_in_a_book_elsewhere_name_its_own_copy_of_the_schema(own: Path) -> None:
    assert len(cards_of(own / "methods")) == 6
    assert_every_card_passes_the_schema_it_names(own / "methods")
    assert {named_schema(card).parent for card in cards_of(own / "methods")} == {own / "schema"}


def test_a_card_in_a_folder_without_schemas_names_those_of_the_program(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "methods" / "wraps", tmp_path / "methods" / "wraps")
    shutil.copy(ROOT / "methods" / "book.yaml", tmp_path / "methods" / "book.yaml")
    run("new", "wrap", "--like", "paper-dry", "--book", str(tmp_path / "methods"))
    named = named_schema(tmp_path / "methods" / "wraps" / "our-paper-dry.yaml")
    assert named == schema_folder().resolve() / "wrap.schema.json"


def test_an_editor_sees_a_wrong_field(own: Path) -> None:
    card = own / "methods" / "pits" / "our-pellet-pit.yaml"
    data = {**data_of(card, "pit"), "volum": "3 L"}
    assert "'volum' was unexpected" in next(validator_of(named_schema(card)).iter_errors(data)).message


# --- the catalogue ----------------------------------------------------------------------------------


def test_the_catalogue_of_the_project_is_the_one_that_is_made() -> None:
    assert json.loads((ROOT / "schema" / CATALOGUE).read_text("utf-8")) == catalogue(*whole_cards())


@pytest.mark.parametrize("place", ["the checkout", "a book elsewhere"])
def test_the_catalogue_leads_every_card_to_one_schema_that_is_there(own: Path, place: str) -> None:
    project = ROOT if place == "the checkout" else own
    entries = json.loads((project / "schema" / CATALOGUE).read_text("utf-8"))["schemas"]
    for entry in entries:
        assert (project / "schema" / entry["url"]).is_file(), entry
    for card in cards_of(project / "methods"):
        name = card.relative_to(project).as_posix()
        fits = [e for e in entries if any(fnmatch(name, each.replace("**/", "*")) for each in e["fileMatch"])]
        assert [(project / "schema" / e["url"]).resolve() for e in fits] == [named_schema(card)], card


def test_a_schema_of_changes_takes_a_part_of_a_card_and_refuses_what_is_no_field(own: Path) -> None:
    for kind, partial in adapted_schemas().items():
        Draft202012Validator.check_schema(partial)
        validator = Draft202012Validator(partial)
        assert list(validator.iter_errors({"title": "Ours", "also_called": None})) == [], kind
        assert list(validator.iter_errors({"titel": "Ours"}))
        written = json.loads((own / "schema" / "adapted" / f"{kind}.schema.json").read_text("utf-8"))
        assert written == partial
    part = {"piece": {"trim": "None at all."}, "hold": {"for": "2 h", "humidity": None}}
    assert list(Draft202012Validator(adapted_schemas()["method"]).iter_errors(part)) == []


# --- the field reference ----------------------------------------------------------------------------


def fields_of(part: Any, path: str = "") -> list[str]:
    """Paths of all fields of a joined schema as the page writes them; a sourced value is one field."""
    found: list[str] = []
    for name, field in part.get("properties", {}).items():
        listed = field.get("type") == "array" and isinstance(field.get("items"), dict)
        here = f"{path}{name}" + ("[ ]" if listed else "")
        inner = field["items"] if listed else field
        sourced = set(inner.get("properties", ())) == {"value", "provenance", "source"}
        found += [here, *([] if sourced else fields_of(inner, f"{here}."))]
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_the_field_reference_has_every_field_of_the_schema(kind: str) -> None:
    assert [row.path for name, row in ROWS if name == kind] == fields_of(schema(kind))


def test_the_example_of_every_field_is_a_line_of_a_card_that_its_schema_takes() -> None:
    for kind, row in ROWS:
        field: Any = schema(kind)
        for part in row.path.split("."):
            held = field["properties"][part.removesuffix("[ ]")]
            field = held["items"] if part.endswith("[ ]") else held
        name = row.path.rpartition(".")[2].removesuffix("[ ]")
        assert "\n" not in row.example
        data = yaml.load(row.example, Loader=_TextDates)
        assert list(data) == [name], row.path
        assert list(Draft202012Validator(held).iter_errors(data[name])) == [], row.path
        assert row.title, row.path
        assert row.description, row.path


class _TextDates(yaml.SafeLoader):
    """YAML 1.2 has no dates: they are texts."""


_TextDates.yaml_implicit_resolvers = {
    letter: [(tag, pattern) for tag, pattern in rows if tag != "tag:yaml.org,2002:timestamp"]
    for letter, rows in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
