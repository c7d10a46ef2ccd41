"""A kitchen's own book on top of a shared one: what is inherited, changed and ours; a newer base's effect."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from book_cases import GOOD_BOOK, codes_of, spoil
from git_cases import edit
from slowfolio.book.base import merge_patch
from slowfolio.book.findings import Severity
from slowfolio.book.model import Book, Layer
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.cli import main
from slowfolio.site.whose import card_words, editable_file

ROOT = Path(__file__).parents[1]
TODAY = date(2026, 11, 25)
METHOD = "boat-humid-hold"
PIT = "offset-stick-burner"


@pytest.fixture
def base(tmp_path: Path) -> Path:
    """The shared book."""
    return Path(shutil.copytree(GOOD_BOOK, tmp_path / "shared" / "methods"))


@pytest.fixture
def own(tmp_path: Path, base: Path) -> Path:
    """Our book on top of it, with one changed pit."""
    made = run("init", str(tmp_path / "ours"), "--base", str(base), "--kitchen", "Harbour Street Kitchen")
    assert made.exit_code == 0, made.output
    adapt(
        tmp_path / "ours" / "methods",
        f"pits/{PIT}",
        'load: {value: 9 kg, provenance: measured, source: "scales"}',
    )
    return tmp_path / "ours" / "methods"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, list(arguments))


def adapt(root: Path, card: str, text: str) -> Path:
    path = root / "adapted" / f"{card}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text + "\n", "utf-8")
    return path


def reading(root: Path) -> ReadResult:
    return read_book(root, today=TODAY)


def book(root: Path) -> Book:
    found = reading(root)
    assert found.errors == (), [finding.message for finding in found.errors]
    assert found.book is not None
    return found.book


# --- laying over ------------------------------------------------------------------------------------


def test_a_patch_is_laid_over_as_rfc_7396_says() -> None:
    """The test cases of RFC 7396 (2014), Appendix A, that have an object or list as target (recalled)."""
    cases = [
        ({"a": "b"}, {"a": "c"}, {"a": "c"}),
        ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
        ({"a": "b"}, {"a": None}, {}),
        ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
        ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
        ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
        ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
        ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
        (["a", "b"], ["c", "d"], ["c", "d"]),
        ({"a": "b"}, ["c"], ["c"]),
        ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
        ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
    ]
    for target, patch, result in cases:
        assert merge_patch(target, patch) == result


def test_what_is_not_changed_is_the_bases(own: Path, base: Path) -> None:
    ours, theirs = book(own), book(base)
    assert set(ours.methods) == set(theirs.methods)
    assert ours.pits[PIT].load_kg.value == 9.0
    assert ours.pits[PIT].volume_m3 == theirs.pits[PIT].volume_m3
    assert ours.pits[PIT].origin.layer is Layer.ADAPTED
    assert ours.wraps["foil-boat"].origin.layer is Layer.INHERITED
    assert ours.card.kitchen == "Harbour Street Kitchen"
    assert ours.card.origin.layer is Layer.OWN


def test_a_whole_card_of_ours_takes_the_place_of_the_bases(own: Path, base: Path) -> None:
    text = (base / "wraps" / "foil-boat.yaml").read_text("utf-8")
    (own / "wraps").mkdir()
    (own / "wraps" / "foil-boat.yaml").write_text(text.replace("title: ", "title: Our "), "utf-8")
    ours = book(own)
    assert ours.wraps["foil-boat"].title.startswith("Our ")
    assert ours.wraps["foil-boat"].origin.layer is Layer.OWN


def test_null_takes_a_field_away(own: Path, base: Path) -> None:
    assert book(base).methods[METHOD].hold is not None
    adapt(own, f"cards/brisket/{METHOD}", "hold: null\nvent: null")
    assert book(own).methods[METHOD].hold is None


def test_what_is_left_out_is_gone_and_so_is_a_method_that_needs_it(own: Path) -> None:
    edit(
        own / "book.yaml", "base:", "base: {leave_out: [boat-twice-triangle], book: ../../shared/methods}\n#"
    )
    assert book(own).tastings == {}


def test_tastings_of_a_method_that_is_left_out_go_with_it(own: Path) -> None:
    edit(own / "book.yaml", "base:", f"base: {{leave_out: [{METHOD}], book: ../../shared/methods}}\n#")
    assert codes_of(reading(own)) == []
    assert book(own).tastings == {}
    assert book(own).methods == {}


def test_a_word_that_is_no_card_of_the_base_is_named(own: Path) -> None:
    edit(own / "book.yaml", "base:", "base: {leave_out: [foil-baot], book: ../../shared/methods}\n#")
    found = reading(own)
    assert codes_of(found) == ["left-out-not-in-base"]
    assert found.findings[0].help == "did you mean foil-boat?"


# --- what the check says ----------------------------------------------------------------------------


def test_the_check_counts_whose_cards_are_whose(own: Path) -> None:
    result = run("check", str(own), "--format", "json")
    counts = json.loads(result.output)["cards_by_layer"]
    assert (counts["own"], counts["adapted"]) == (1, 1)
    assert counts["inherited"] == len(reading(own).files) - 2
    assert "1 our own, 1 changed by us" in run("check", str(own)).output


def test_a_wrong_change_is_shown_where_we_wrote_it(own: Path) -> None:
    path = adapt(own, f"pits/{PIT}", "load: {value: 9 kq, provenance: measured, source: scales}")
    (finding,) = reading(own).findings
    assert finding.code == "bad-quantity"
    assert (finding.file, finding.mark.line) == (f"adapted/pits/{PIT}.yaml", 1)
    assert "9 kq" in path.read_text("utf-8")


def test_a_change_to_nothing_is_an_error(own: Path) -> None:
    adapt(own, "pits/ofset", "load: {value: 9 kg, provenance: measured, source: scales}")
    assert codes_of(reading(own)) == ["adapted-without-base"]


def test_a_contradiction_our_change_makes_on_a_card_of_the_base_says_what_we_can_do(own: Path) -> None:
    adapt(own, f"pits/{PIT}", "pit_temperature: 180–200 °F")
    found = [each for each in reading(own).findings if each.code == "pit-temperature-out-of-range"]
    assert found
    assert found[0].file == f"../../shared/methods/cards/brisket/{METHOD}.yaml"
    assert found[0].help.endswith(f"change it by one in adapted/, or leave {METHOD} out in book.yaml")
    assert (own / found[0].file).is_file()


def test_warnings_on_cards_of_the_base_are_left_to_its_keepers(own: Path, base: Path) -> None:
    spoil(base, f"cards/brisket/{METHOD}.yaml", "review_by: 2027-04-03", "review_by: 2026-10-04")
    assert codes_of(reading(base)) == ["review-overdue"]
    assert reading(own).findings == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("../../nowhere", "there is no book at"),
        (".", "names itself as its base"),
        ("../../chained/methods", "stands on another book itself"),
    ],
)
def test_a_base_that_cannot_be_one_is_refused(own: Path, tmp_path: Path, name: str, said: str) -> None:
    run("init", str(tmp_path / "chained"), "--base", str(tmp_path / "shared" / "methods"))
    edit(own / "book.yaml", "book: ../../shared/methods", f"book: {name}")
    found = [each for each in reading(own).findings if each.code == "base-not-found"]
    assert [each.severity for each in found] == [Severity.ERROR]
    assert said in found[0].message
    assert found[0].file == "book.yaml"
    assert reading(own).book is None


def test_a_base_that_changes_changes_the_digest_of_our_book(own: Path, base: Path) -> None:
    before = reading(own).digest
    edit(base / "cards" / "brisket" / f"{METHOD}.yaml", "title: ", "title: Their ")
    assert reading(own).digest != before


# --- pages ------------------------------------------------------------------------------------------


def test_pages_say_whose_a_card_is(own: Path) -> None:
    ours = book(own)
    assert card_words(ours.pits[PIT].origin) == (
        f"adapted/pits/{PIT}.yaml, changed by us: load; the rest is the base's"
    )
    inherited = ours.methods[METHOD].origin
    assert card_words(inherited) == f"cards/brisket/{METHOD}.yaml, from the base"
    assert editable_file(inherited) == ""


# --- init -------------------------------------------------------------------------------------------


def test_a_new_book_stands_on_the_shared_one_and_passes_its_check(tmp_path: Path) -> None:
    made = run(
        "init", str(tmp_path / "ours"), "--authority", "uk", "--units", "metric", "--altitude", "1600 m"
    )
    assert made.exit_code == 0, made.output
    root = tmp_path / "ours" / "methods"
    ours = book(root)
    assert ours.card.base is not None
    assert ours.card.base.book == "shared"
    assert (ours.card.authority, ours.card.altitude_m) == ("uk", 1600.0)
    starter = book(ROOT / "methods")
    assert set(ours.pits) == set(starter.pits)


def test_init_leaves_alone_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "diary.txt").write_text("mine", "utf-8")
    result = run("init", str(tmp_path / "full"))
    assert result.exit_code == 1
    assert "not empty; name a new folder" in result.output
    assert sorted(path.name for path in tmp_path.iterdir()) == ["full"]


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        ("--altitude", "high", "does not start with a number"),
        ("--base", "nowhere", "there is no book"),
        ("--authority", "mars", "is not one of"),
    ],
)
def test_init_says_what_to_write_instead(tmp_path: Path, option: str, value: str, said: str) -> None:
    result = run("init", str(tmp_path / "ours"), option, value)
    assert result.exit_code == 2
    assert said in " ".join(result.output.split())
    assert not (tmp_path / "ours").exists()


def test_a_new_pit_in_our_book_may_be_like_one_of_the_base_but_not_take_its_name(own: Path) -> None:
    assert run("new", "pit", "--like", PIT, "--book", str(own)).exit_code == 0
    assert (own / "pits" / f"our-{PIT}.yaml").is_file()
    taken = run("new", "pit", "--like", PIT, "--id", PIT, "--book", str(own))
    assert taken.exit_code == 1
    assert f"adapted/pits/{PIT}.yaml" in taken.output
