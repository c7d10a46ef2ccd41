"""`slowfolio check` and the formats of its report: what people see, what programs read, how it ends."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from book_cases import METHOD, TODAY, check, copy_good_book, spoil
from slowfolio.book import reading
from slowfolio.book.codes import all_codes
from slowfolio.book.findings import Finding, Severity, visible
from slowfolio.book.model import Mark
from slowfolio.book.report import Report, as_github, as_json, as_sarif, as_text
from slowfolio.cli import COMMANDS, main
from slowfolio.resources import schema_folder

HEAVY = ("numpy", "mkdocs", "jsonschema", "yaml", "scipy")
ODD_NAMES = [
    "plain",
    "with space",
    "comma,colon:semi;",
    "per%cent",
    "quote'\"",
    "new\nline",
    "bell\x07",
    "ünïcode",
    "%0A::error::",
]


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the good book, seen from the folder it lies in, on the day of the tests."""

    class Today(reading.date):
        @classmethod
        def today(cls) -> reading.date:
            return TODAY

    monkeypatch.setattr(reading, "date", Today)
    monkeypatch.chdir(tmp_path)
    return copy_good_book(tmp_path)


def run(*arguments: str) -> Result:
    return CliRunner().invoke(main, ["check", *arguments])


# --- ends -------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("root")
def test_a_good_book_ends_with_0_and_one_line() -> None:
    result = run("book")
    assert (result.exit_code, result.output) == (0, "16 cards checked, nothing found\n")


def test_errors_end_with_1_warnings_only_when_strict(root: Path) -> None:
    spoil(root, METHOD, "fuel: seasoned oak splits", "fuel: natural gas")
    assert run("book").exit_code == 0
    assert run("book", "--strict").exit_code == 1
    spoil(root, METHOD, "revision: 3", "revision: 0")
    assert run("book").exit_code == 1


def test_notes_never_fail(root: Path) -> None:
    spoil(root, METHOD, "status: house standard", "status: withdrawn")
    assert run("book", "--strict").exit_code == 0


@pytest.mark.parametrize(
    "arguments", [("nowhere",), ("book", "--format", "xml"), ("book", "extra"), ("--loud",)]
)
@pytest.mark.usefixtures("root")
def test_misuse_ends_with_2_and_says_what_to_do(arguments: tuple[str, ...]) -> None:
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Error:" in result.output
    assert "Traceback" not in result.output


def test_a_folder_that_is_no_book_and_a_file_that_is_no_card_are_misuse(root: Path, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (root / "README.md").write_text("hello", "utf-8")
    assert "no book.yaml" in run("empty").output
    assert "is no card" in run("book/README.md").output
    assert run("empty").exit_code == run("book/README.md").exit_code == 2


def test_a_folder_of_cards_without_book_card_is_a_finding(root: Path) -> None:
    (root / "book.yaml").unlink()
    result = run("book")
    assert result.exit_code == 1
    assert "book-card-missing" in result.output


def test_the_path_defaults_to_methods(root: Path) -> None:
    root.rename(root.parent / "methods")
    assert run().output == "16 cards checked, nothing found\n"


# --- parts of a book --------------------------------------------------------------------------------


def test_one_card_or_folder_shows_its_own_findings_checked_against_the_whole_book(root: Path) -> None:
    spoil(root, METHOD, "pit: offset-stick-burner", "pit: offset-burner")
    spoil(root, "wraps/none.yaml", "kind: none", "kind: nune")
    assert "dangling-reference" not in run("book/wraps").output
    assert run("book/wraps").output.endswith("5 cards checked: 1 error, 0 warnings in 1 file\n")
    card = run(f"book/{METHOD}")
    assert "unknown-word" not in card.output
    assert "dangling-reference" in card.output
    assert run("book/holders").exit_code == 0
    assert run("book").output.endswith("16 cards checked: 2 errors, 0 warnings in 2 files\n")


def test_a_card_can_be_named_from_inside_the_book_or_in_full(
    root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spoil(root, "wraps/none.yaml", "kind: none", "kind: nune")
    monkeypatch.chdir(root / "wraps")
    shown = run("none.yaml").output
    assert shown.startswith(f"{root}/wraps/none.yaml:3:7: error: unknown-word")
    assert run(str(root / "wraps" / "none.yaml")).output == shown


# --- text -------------------------------------------------------------------------------------------


def test_the_text_shows_line_caret_and_what_to_write(root: Path) -> None:
    spoil(root, METHOD, "  air_temperature: 150 °F", "  air_temprature: 150 °F")
    spoil(root, METHOD, "    pit_temperature: 285 °F", "    pit_temperature: 285")
    spoil(root, "wraps/none.yaml", "\nkind:", "\n\tkind:")
    assert run("book").output == (
        "book/cards/brisket/boat-humid-hold.yaml:37:22: error: bad-quantity: pit_temperature: no unit\n"
        "   37 |     pit_temperature: 285\n"
        "      |                      ^^^\n"
        '        write: "250 °F" or "121 °C"\n'
        "\n"
        "book/cards/brisket/boat-humid-hold.yaml:50:3: error: unknown-key:"
        ' "air_temprature" is no field of hold\n'
        "   50 |   air_temprature: 150 °F\n"
        "      |   ^^^^^^^^^^^^^^\n"
        "        help: did you mean air_temperature?\n"
        "\n"
        "book/wraps/none.yaml:3:1: error: yaml-tab: the line is indented with a tab\n"
        "    3 |  kind: none\n"
        "      | ^\n"
        "        help: indent with spaces, two a level\n"
        "\n"
        "16 cards checked: 3 errors, 0 warnings in 2 files\n"
    )


def test_the_text_of_a_contradiction_and_a_missing_field(root: Path) -> None:
    spoil(root, METHOD, "  air_temperature: 150 °F", "  air_temperature: 200 °F")
    spoil(
        root,
        "pits/indoor-oven.yaml",
        "load: {value: 10 kg, provenance: practice, source: common practice}\n",
        "",
    )
    assert run("book").output == (
        "book/cards/brisket/boat-humid-hold.yaml:50:20: error: hold-hotter-than-finish:"
        " a hold at 200 °F (93 °C) goes on cooking a piece that is done at 198 °F (92 °C)\n"
        "   50 |   air_temperature: 200 °F\n"
        "      |                    ^^^^^^\n"
        "        help: hold below the finish; 145 to 165 °F is common practice\n"
        "\n"
        "book/pits/indoor-oven.yaml:1:1: error: missing-key:"
        " a pit card lacks load: Raw meat it cooks well at one time.\n"
        "    1 | id: indoor-oven\n"
        "      | ^\n"
        '        help: add load: {value: 40 kg, provenance: practice, source: "common practice, no source"}\n'
        "\n"
        "16 cards checked: 2 errors, 0 warnings in 2 files\n"
    )


def test_a_file_that_was_not_read_has_no_excerpt(root: Path) -> None:
    with (root / "wraps" / "none.yaml").open("wb") as file:
        file.truncate(3_000_000)
    assert run("book/wraps/none.yaml").output == (
        "book/wraps/none.yaml:1:1: error: file-too-large:"
        " the file has 3.0 MB, which is more than a card's 1 MB, and was not read\n"
        "        help: keep pictures and logs out of the card\n"
        "\n"
        "0 cards checked: 1 error, 0 warnings in 1 file\n"
    )


@pytest.mark.parametrize(
    ("line", "column", "end", "caret"),
    [
        ("豚肉: x", 5, 6, "      ^"),
        ("e\u0301: x", 5, 6, "    ^".removeprefix(" ")),
        ("a: \x1b[31m", 4, 9, "   ^^^^^^^^"),
        ("\tx", 2, 3, " ^"),
    ],
)
def test_the_caret_stands_under_what_is_meant(line: str, column: int, end: int, caret: str) -> None:
    finding = Finding("yaml-tab", Severity.ERROR, "x.yaml", Mark(1, column, end), "m", "", line)
    shown = as_text(Report("", (finding,), 1)).splitlines()[2]
    assert shown.removeprefix("      | ") == caret


def test_nothing_that_moves_the_cursor_reaches_the_terminal(root: Path) -> None:
    spoil(root, METHOD, "status: house standard", 'status: "\\e[2J\\u202Egone"')
    output = run("book").output
    assert "\x1b" not in output
    assert "\u202e" not in output
    assert "\\x1b[2J" in output


# --- formats ----------------------------------------------------------------------------------------


def odd_report() -> Report:
    """Findings in files of odd names, with odd words in their messages."""
    findings = tuple(
        Finding(
            "unknown-key",
            Severity.WARNING,
            visible(name),
            Mark(2, 3, 5),
            f"100 % {name!r}",
            "say ::no::\r",
            "x: y",
        )
        for name in ODD_NAMES
    )
    return Report("book", findings, 3)


def test_json_keeps_its_documented_form(root: Path) -> None:
    schema = json.loads((schema_folder() / "output" / "check.schema.json").read_text("utf-8"))
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    spoil(root, METHOD, "revision: 3", "revision: 0")
    spoil(root, "wraps/none.yaml", "kind: none", "kind: nune")
    record = json.loads(run("book", "--format", "json").stdout)
    validator.validate(record)
    assert (record["cards"], record["errors"], record["warnings"], record["notes"]) == (16, 2, 0, 0)
    assert record["findings"][0] == {
        "code": "number-out-of-range",
        "severity": "error",
        "stage": "schema",
        "file": f"book/{METHOD}",
        "line": 7,
        "column": 11,
        "end_column": 12,
        "message": "revision is 0; it is at least 1",
        "help": "for example: 3",
        "excerpt": "revision: 0",
        "page": "checks.html#number-out-of-range",
    }
    validator.validate(json.loads(as_json(odd_report())))
    validator.validate(json.loads(as_json(Report("", (), 0))))
    documented = schema["properties"]["findings"]["items"]
    assert set(documented["required"]) == set(documented["properties"]) == set(record["findings"][0])


def test_github_annotations_are_one_line_each_and_escaped() -> None:
    """GitHub's workflow commands: % CR LF in data, also : and , in properties."""
    *annotations, summary = as_github(odd_report()).split("\n")
    assert len(annotations) == len(ODD_NAMES)
    for line in annotations:
        command, properties, message = line[2:].split("::", 2)[0], line.split("::")[1], line.split("::", 2)[2]
        assert command.startswith("warning file=")
        assert [part.split("=")[0] for part in properties.removeprefix("warning ").split(",")] == [
            "file",
            "line",
            "col",
            "endColumn",
            "title",
        ]
        assert message.startswith("100 %25 ")
        assert "\r" not in line
    assert "file=book/comma%2Ccolon%3Asemi;" in annotations[2]
    assert summary == "3 cards checked: 0 errors, 9 warnings in 9 files"


def test_github_text_of_one_finding(root: Path) -> None:
    spoil(root, METHOD, "revision: 3", "revision: 0")
    assert run("book", "--format", "github").output.splitlines()[0] == (
        f"::error file=book/{METHOD},line=7,col=11,endColumn=12,title=number-out-of-range"
        "::revision is 0; it is at least 1 (for example: 3)"
    )


def test_sarif_has_a_rule_for_each_code_and_regions_that_fit(root: Path) -> None:
    """SARIF 2.1.0 (OASIS), sections 3.13, 3.14, 3.19, 3.27, 3.30, 3.49."""
    spoil(root, METHOD, "revision: 3", "revision: 0")
    spoil(root, "wraps/none.yaml", "kind: none", "kind: nune")
    log = json.loads(run("book", "--format", "sarif").stdout)
    assert log["version"] == "2.1.0"
    (sarif_run,) = log["runs"]
    rules = sarif_run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == ["unknown-word", "number-out-of-range"]
    for rule in rules:
        assert rule["shortDescription"]["text"]
        assert rule["help"]["text"]
        assert rule["defaultConfiguration"]["level"] in {"none", "note", "warning", "error"}
        assert rule["properties"]["page"] == f"checks.html#{rule['id']}"
    for result in sarif_run["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
        region = result["locations"][0]["physicalLocation"]["region"]
        assert region["startLine"] >= 1
        assert region["endColumn"] > region["startColumn"] >= 1
    assert sarif_run["columnKind"] == "unicodeCodePoints"


def test_sarif_paths_are_uris() -> None:
    uris = [
        result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
        for result in json.loads(as_sarif(odd_report()))["runs"][0]["results"]
    ]
    assert [unquote(uri) for uri in uris] == [f"book/{visible(name)}" for name in ODD_NAMES]
    assert all(uri.isascii() and " " not in uri and ":" not in uri for uri in uris)


@pytest.mark.usefixtures("root")
def test_no_findings_are_a_whole_report_in_every_format() -> None:
    assert json.loads(run("book", "--format", "json").stdout)["findings"] == []
    assert json.loads(run("book", "--format", "sarif").stdout)["runs"][0]["results"] == []
    assert run("book", "--format", "github").output == "16 cards checked, nothing found\n"


def test_a_file_name_that_is_no_text_passes_every_format(root: Path) -> None:
    with open(os.fsencode(root / "wraps") + b"/\xff,:\n%.yaml", "wb") as file:
        file.write(b"id: x\n")
    for form in ("text", "json", "github", "sarif"):
        result = run("book", "--format", form)
        assert (result.exit_code, result.exception.__class__) == (1, SystemExit)


# --- the command as a program -----------------------------------------------------------------------


def program(*arguments: str, **environment: str) -> "subprocess.CompletedProcess[bytes]":
    return subprocess.run(
        [sys.executable, *arguments],
        capture_output=True,
        env={**os.environ, **environment},
        check=False,
        timeout=60,
    )


def test_a_terminal_without_degree_signs_still_gets_its_findings(root: Path) -> None:
    spoil(root, METHOD, "pit_temperature: 285 °F", "pit_temperature: 285")
    done = program("-m", "slowfolio", "check", "book", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 1
    assert b'write: "250 \\xb0F"' in done.stdout
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("arguments", [("--help",), ("--version",)])
def test_help_and_version_import_nothing_heavy(arguments: tuple[str, ...]) -> None:
    done = program("-X", "importtime", "-m", "slowfolio", *arguments)
    assert done.returncode == 0
    imported = {line.split(b"|")[-1].strip().decode().split(".")[0] for line in done.stderr.splitlines()}
    assert "click" in imported
    assert imported.isdisjoint(HEAVY)


def test_a_check_imports_no_numerics_and_no_site() -> None:
    heavy = "('numpy', 'mkdocs', 'jsonschema')"
    code = f"import sys, slowfolio.cli.check; print([name for name in {heavy} if name in sys.modules])"
    assert program("-c", code).stdout.strip() == b"[]"


def test_every_command_listed_can_be_loaded_and_has_the_name_it_is_listed_under() -> None:
    context = main.make_context("slowfolio", [], resilient_parsing=True)
    listed = main.list_commands(context)
    assert {"check", "air"} <= set(listed) <= set(COMMANDS)
    for name in listed:
        command = main.get_command(context, name)
        assert command is not None
        assert command.name == name
    assert main.get_command(context, "quantity") is None


def test_a_misspelt_command_is_named() -> None:
    result = CliRunner().invoke(main, ["chekc"])
    assert result.exit_code == 2
    assert "did you mean check?" in result.output


# --- many cards -------------------------------------------------------------------------------------


def test_a_thousand_cards_are_checked_and_each_mistake_is_found(root: Path) -> None:
    text = (root / METHOD).read_text("utf-8")
    wrong = {
        7: ("revision: 3", "revision: 0"),
        500: ("for: 10 h", "for: 20 h"),
        980: ("wrap: none", "wrap: nune"),
    }
    for number in range(1000 - 16):
        card = text.replace("id: boat-humid-hold", f"id: method-{number}")
        if number in wrong:
            card = card.replace(*wrong[number], 1)
        (root / "cards" / "brisket" / f"method-{number}.yaml").write_text(card, "utf-8")
    result = check(root)
    assert len(result.files) == 1000
    assert [(each.file.rsplit("-", 1)[1], each.code) for each in result.findings] == [
        ("500.yaml", "hold-limit-shorter-than-plan"),
        ("7.yaml", "number-out-of-range"),
        ("980.yaml", "dangling-reference"),
    ]
    assert result.book is not None
    assert len(result.book.methods) == 985 - 3


def test_codes_named_in_the_output_are_registered(root: Path) -> None:
    spoil(root, METHOD, "revision: 3", "revision: 0")
    record: dict[str, Any] = json.loads(run("book", "--format", "json").stdout)
    assert {each["code"] for each in record["findings"]} <= {code.name for code in all_codes()}
