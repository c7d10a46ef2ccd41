"""The commands `log against` and `log fit`: misuse is told from a finding, nothing is changed silently."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from book_cases import copy_good_book, with_cook
from slowfolio.cli.log import command

METHOD, COOK = "boat-humid-hold", "saturday-one"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return with_cook(copy_good_book(tmp_path))


def run(book: Path, *arguments: str) -> Result:
    return CliRunner().invoke(command, [*arguments, "--book", str(book)])


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("against", METHOD, "--cook", "saturday-on"), "did you mean saturday-one?"),
        (("against", "boat", "--cook", COOK), "no method"),
        (("fit", COOK), "--pit ID or --holder ID"),
        (("fit", COOK, "--pit", "offset-stick-burner", "--holder", "dry-oven"), "--pit ID or --holder ID"),
        (("fit", COOK, COOK, "--pit", "offset-stick-burner"), "named twice"),
        (("fit", COOK, "--pit", "offset"), "no pit 'offset'"),
        (("fit", COOK, "--pit", "indoor-oven"), "was cooked in offset-stick-burner"),
        (("fit", COOK, "--holder", "combi-oven"), "was held in humidity-cabinet"),
        (("fit", COOK, "--holder", "humidity-cabinet"), "add the event hold"),
    ],
)
def test_misuse_ends_with_2_and_says_what_to_write(
    book: Path, arguments: tuple[str, ...], words: str
) -> None:
    result = run(book, *arguments)
    assert result.exit_code == 2, result.output
    assert words in " ".join(result.output.split())


def test_a_book_without_cooks_names_the_import(tmp_path: Path) -> None:
    result = run(copy_good_book(tmp_path), "against", METHOD, "--cook", COOK)
    assert result.exit_code == 2
    assert "slowfolio log import" in result.output


def test_one_cook_gives_a_proposal_with_its_interval_and_leaves_every_card_as_it_was(
    book: Path, tmp_path: Path
) -> None:
    before = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    out = tmp_path / "offset.proposed.yaml"
    result = run(book, "fit", COOK, "--pit", "offset-stick-burner", "--out", str(out))
    assert result.exit_code == 0, result.output
    assert "90 % interval" in result.output
    assert "one cook cannot be checked against others" in result.output
    assert "nothing was changed" in result.output
    assert out.read_text("utf-8").startswith(("id:", "#"))
    assert {path: path.read_bytes() for path in book.rglob("*") if path.is_file()} == before
    again = run(book, "fit", COOK, "--pit", "offset-stick-burner", "--out", str(out))
    assert again.exit_code == 2
