"""The card of a recorded cook: read into SI, its references and its raw log checked."""

from datetime import date
from pathlib import Path

import pytest

from book_cases import check, codes_of, copy_good_book, only, spoil, with_cook
from slowfolio.book.model import CookEvent

CARD, LOG = "cooks/saturday-one.yaml", "cooks/saturday-one.csv"


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return with_cook(copy_good_book(tmp_path))


def test_a_good_cook_has_no_finding_and_is_in_the_book_in_si(root: Path) -> None:
    result = check(root)
    assert result.findings == ()
    assert result.book is not None
    cook = result.book.cooks["saturday-one"]
    assert (cook.method, cook.pit, cook.holder) == (
        "boat-humid-hold",
        "offset-stick-burner",
        "humidity-cabinet",
    )
    assert cook.date == date(2026, 9, 5)
    assert cook.invented
    assert cook.piece.weight_before_kg == pytest.approx(13.125 * 0.45359237)  # avoirdupois pound, NIST SP 811
    assert cook.piece.start_temp_c == pytest.approx(10 / 3)  # 38 °F
    assert cook.weather.temp_c == pytest.approx(160 / 9)  # 64 °F
    assert cook.log.columns == {"time": "Time", "pit": "Grate", "thick": "Probe 1"}
    assert cook.events == (CookEvent("meat on", 0.0, "log"), CookEvent("finish", 32400.0, "noted"))


def test_a_cook_without_its_log_is_an_error_that_names_the_logs_there_are(root: Path) -> None:
    (root / LOG).rename(root / "cooks" / "saturday-two.csv")
    finding = only(check(root))
    assert (finding.code, finding.file) == ("cook-log-missing", CARD)
    assert finding.help == "did you mean saturday-two.csv?"


def test_a_reading_typed_over_in_the_raw_log_is_noticed(root: Path) -> None:
    path = root / LOG
    path.write_text(path.read_text("utf-8").replace(",250,", ",251,", 1), "utf-8")
    assert only(check(root)).code == "cook-log-changed"


def test_the_digest_of_the_book_changes_with_a_raw_log(root: Path) -> None:
    before = check(root).digest
    (root / "cooks" / "another.csv").write_text("1,2\n", "utf-8")
    assert check(root).digest != before


@pytest.mark.parametrize("key", ["method", "pit", "holder"])
def test_a_reference_to_no_card_is_found_at_its_line(root: Path, key: str) -> None:
    text = (root / CARD).read_text("utf-8")
    line = next(line for line in text.splitlines() if line.startswith(f"{key}:"))
    spoil(root, CARD, line, f"{key}: no-such-thing")
    finding = only(check(root))
    assert finding.code == "dangling-reference"
    assert finding.mark.line == text.splitlines().index(line) + 1


def test_a_cook_of_a_method_with_an_error_stays_out_of_the_book(root: Path) -> None:
    spoil(root, "cards/brisket/boat-humid-hold.yaml", "status: ", "status: un")
    result = check(root)
    assert "unknown-word" in codes_of(result)
    assert result.book is not None
    assert result.book.cooks == {}


def test_a_link_out_of_the_book_is_not_followed_for_a_log(root: Path, tmp_path: Path) -> None:
    outside = tmp_path / "outside.csv"
    outside.write_text("1,2\n", "utf-8")
    (root / LOG).unlink()
    (root / LOG).symlink_to(outside)
    assert codes_of(check(root)) == ["file-outside-book", "cook-log-missing"]
