"""The command `log import`: card and raw log written whole or not at all, read again as they were."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from book_cases import check, copy_good_book
from log_cases import curve, rows, text, write
from slowfolio.cli import log_import
from slowfolio.cli.log import command
from slowfolio.cooklog.card import write_cook
from slowfolio.cooklog.importing import Wish, import_log, read_again
from slowfolio.cooklog.remarks import LogError

ROOT = Path(__file__).parents[1]
TRUTH = curve()
METHOD = "boat-humid-hold"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return copy_good_book(tmp_path)


def run(log: Path, book: Path, *options: str) -> Result:
    return CliRunner().invoke(command, ["import", str(log), "--book", str(book), *options])


def test_a_log_becomes_a_card_that_passes_the_check_with_the_raw_file_unchanged_beside_it(
    book: Path, tmp_path: Path
) -> None:
    blob = text(rows(TRUTH, sep=";", decimal=",", unit="C"), "Zeit;Garraum;Kern;Flat")
    log = write(tmp_path, "samstag.txt", blob)
    result = run(
        log, book, "--method", METHOD, "--weight-before", "13 lb 2 oz", "--weight-after", "8 lb 5 oz"
    )
    assert result.exit_code == 0, result.output
    read = check(book)
    assert read.findings == ()
    assert read.book is not None
    cook = read.book.cooks[f"{METHOD}-2026-09-05"]
    assert (book / "cooks" / cook.log.file).read_bytes() == blob
    assert cook.piece.weight_before_kg == pytest.approx(5.953, abs=0.002)
    assert cook.holder == "humidity-cabinet"
    assert "measured yield 63.3 %" in result.output


def test_a_card_reads_its_log_again_as_the_import_read_it(book: Path, tmp_path: Path) -> None:
    made = [
        (text(rows(TRUTH, stamp="%d/%m/%Y,%H:%M:%S"), "Date,Time,Pit,Meat,Flat"), ()),
        (text(rows(TRUTH), ""), ("--map", "time=1,pit=2,thick=3,thin=4")),
        (text(rows(TRUTH)).decode().encode("utf-16"), ()),
        (
            text(
                [f"{i},{line.split(',', 1)[1]}" for i, line in enumerate(rows(TRUTH))],
                "Minutes,Pit,Meat,Flat",
            ),
            ("--start", "2026-09-05 05:10"),
        ),
        (text(rows(TRUTH, stamp="%H:%M:%S")), ("--start", "2026-09-05")),
    ]
    for number, (blob, options) in enumerate(made):
        log = write(tmp_path, f"{number}.csv", blob)
        result = run(log, book, "--method", METHOD, "--out-id", f"cook-{number}", *options)
        assert result.exit_code == 0, result.output
    read = check(book)
    assert read.errors == ()
    assert read.book is not None
    for number, (blob, _) in enumerate(made):
        again = read_again(read.book.cooks[f"cook-{number}"], blob)
        assert float(np.nanmax(np.abs(again.thick_c - TRUTH.thick_c))) < 0.06
        assert {"meat on", "door", "finish", "hold", "end"} <= {event.what for event in again.events}


def test_nothing_is_overwritten_and_nothing_half_written_is_left(book: Path, tmp_path: Path) -> None:
    log = write(tmp_path, "one.csv", text(rows(TRUTH)))
    assert run(log, book, "--method", METHOD, "--out-id", "one").exit_code == 0
    before = {path.name: path.read_bytes() for path in (book / "cooks").iterdir()}
    result = run(log, book, "--method", METHOD, "--out-id", "one")
    assert result.exit_code == 2
    assert "--out-id" in result.output
    assert {path.name: path.read_bytes() for path in (book / "cooks").iterdir()} == before
    taken = tmp_path / "taken"
    taken.mkdir()
    (taken / "two.yaml").write_text("a card of its own", "utf-8")
    with pytest.raises(LogError, match=r"two\.yaml is there already"):
        write_cook(taken, "two", "text", ("two.csv", b"1,2"))
    assert [path.name for path in taken.iterdir()] == ["two.yaml"]


def test_a_second_cook_of_the_day_gets_an_id_of_its_own(book: Path, tmp_path: Path) -> None:
    log = write(tmp_path, "one.csv", text(rows(TRUTH)))
    for _ in range(2):
        assert run(log, book, "--method", METHOD).exit_code == 0
    cards = sorted(path.name for path in (book / "cooks").glob("*.yaml"))
    assert cards == [f"{METHOD}-2026-09-05-b.yaml", f"{METHOD}-2026-09-05.yaml"]


def test_a_dry_run_writes_nothing_and_json_keeps_to_its_schema(book: Path, tmp_path: Path) -> None:
    log = write(tmp_path, "one.csv", text(rows(TRUTH)))
    result = run(log, book, "--method", METHOD, "--dry-run", "--json")
    assert result.exit_code == 0, result.output
    schema = json.loads((ROOT / "schema" / "output" / "log-import.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    found = json.loads(result.output)
    Draft202012Validator(schema).validate(found)
    assert found["unit"] == "°F"
    assert not (book / "cooks").exists()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "--method"),
        (("--method", "boat-humid-holt"), "did you mean boat-humid-hold?"),
        (("--method", METHOD, "--map", "meat=2"), "write role=column"),
        (("--method", METHOD, "--map", "time=When,thick=2"), 'no column "When"'),
        (("--method", METHOD, "--unit", "degrees"), "write F, C or K"),
        (("--method", METHOD, "--start", "Saturday"), '"2026-09-05 05:10"'),
        (("--method", METHOD, "--pit", "offset"), "no pit"),
    ],
)
def test_a_wrong_option_is_a_usage_error_that_says_what_to_write(
    book: Path, tmp_path: Path, options: tuple[str, ...], words: str
) -> None:
    result = run(write(tmp_path, "one.csv", text(rows(TRUTH))), book, *options)
    assert result.exit_code == 2
    assert words in result.output
    assert not (book / "cooks").exists()


def test_a_log_without_a_date_asks_for_the_start(book: Path, tmp_path: Path) -> None:
    log = write(tmp_path, "one.csv", text(rows(TRUTH, stamp="%H:%M:%S")))
    result = run(log, book, "--method", METHOD)
    assert result.exit_code == 2
    assert "--start" in result.output


def test_the_export_of_the_pit_page_is_read_with_its_own_method_weight_and_times(
    book: Path, tmp_path: Path
) -> None:
    def at(hour: float) -> str:
        return f"2026-09-05T{5 + int(hour):02}:{int(hour % 1 * 60):02}:00-05:00"

    stages = [
        {"name": "Smoke", "kind": "cook", "started_at": at(0), "ended_at": at(5), "ended": "as asked"},
        {"name": "Boat", "kind": "cook", "started_at": at(5), "ended_at": at(8), "ended": "late"},
        {"name": "Vent", "kind": "vent", "started_at": at(8), "ended_at": at(8.6), "ended": "as asked"},
        {"name": "Hold", "kind": "hold", "started_at": at(8.6), "ended_at": None, "ended": None},
    ]
    read_off = [(0.5, "pit", 121), (2, "thick", 38), (4, "thick", 68), (4, "thin", 70), (7, "thick", 88)]
    readings = [{"at": at(hour), "place": place, "temp_c": value} for hour, place, value in read_off]
    export = {
        "format": "slowfolio cook log", "version": 1, "id": "abc", "provenance": "measured", "method": METHOD,
        "label": "Brisket 1", "pit": "offset-stick-burner", "weight_kg": 6.0, "started_at": at(0),
        "finished_at": at(10), "exported_at": at(10), "stages": stages, "readings": readings, "events": [],
        "notes": [{"at": at(1), "text": "rain"}], "forecasts": [],
    }  # fmt: skip
    schema = json.loads((ROOT / "schema" / "output" / "cook-log.schema.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(export)
    log = write(tmp_path, "export.json", json.dumps(export).encode())
    result = run(log, book)
    assert result.exit_code == 0, result.output
    read = check(book)
    assert read.findings == ()
    assert read.book is not None
    cook = next(iter(read.book.cooks.values()))
    assert cook.piece.weight_before_kg == pytest.approx(6.0, abs=0.02)
    assert {event.what: event.at_s / 3600 for event in cook.events} == pytest.approx(
        {"meat on": 0.0, "finish": 8.0, "vent": 8.0, "hold": 8.6, "end": 10.0}, abs=0.02
    )
    assert cook.notes == ("rain",)
    again = read_again(cook, log.read_bytes())
    assert np.nanmax(again.thick_c) == 88.0


class Terminal:
    """A terminal to ask on."""

    @staticmethod
    def isatty() -> bool:
        return True


def test_on_a_terminal_what_is_assumed_is_asked_and_the_answer_counts(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    blob = text(rows(TRUTH, unit="C"))
    asked: list[str] = []

    def no(question: str, **_: object) -> bool:
        asked.append(question)
        return False

    monkeypatch.setattr(log_import.sys, "stdin", Terminal())
    monkeypatch.setattr(log_import.click, "confirm", no)
    monkeypatch.setattr(log_import.click, "prompt", lambda *_, **__: "F")
    found = log_import.confirmed(import_log(blob), blob, Wish())
    assert len(asked) == 1
    assert asked[0].startswith("the unit of the temperatures: °C (")
    assert found.recipe.unit == "°F"
    assert found.assumptions == ()


def test_elsewhere_nothing_is_asked_and_the_assumption_is_printed(book: Path, tmp_path: Path) -> None:
    log = write(tmp_path, "one.csv", text(rows(TRUTH, unit="C")))
    result = run(log, book, "--method", METHOD, "--dry-run")
    assert "assumed  the unit of the temperatures: °C" in result.output
    assert "--unit F" in result.output
