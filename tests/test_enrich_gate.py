"""Cards made unsafe in different ways: each refused with the rule, the figure and the place in the card."""

import re
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from slowfolio.book.findings import Finding, Severity
from slowfolio.book.model import Book
from slowfolio.book.reading import read_book
from slowfolio.enrich.gate import method_findings
from slowfolio.enrich.verdicts import verdicts_of
from slowfolio.forecast.run import run_method

pytestmark = pytest.mark.slow

STARTER = Path(__file__).parents[1] / "methods"
CARD = Path("cards/brisket/unwrapped.yaml")
KEPT = {"book.yaml", "cards", "cuts", "pits", "wraps", "holders"}
MEMBERS, STEP_S = 12, 90.0
"""Few and coarse: which rule refuses a card does not hang on minutes."""


@dataclass(frozen=True)
class Unsafe:
    """What is changed on the card (or another), and what the refusal must say and point at."""

    name: str
    changes: tuple[tuple[str, str], ...]
    rule: str
    figure: str
    line: str
    file: Path = CARD


def change(name: str, old: str, new: str, rule: str, figure: str, line: str) -> Unsafe:
    return Unsafe(name, ((old, new),), rule, figure, line)


HOLD_AIR = "  air_temperature: 160 °F"
TURKEY = (
    ("cut: packer-brisket", "cut: turkey-breast"),
    ("weight: 12–15 lb", "weight: 6–8 lb"),
    ("thickness: 80–95 mm", "thickness: 95–110 mm"),
)
UNSAFE = (
    change("hold at 110 °F", HOLD_AIR, "  air_temperature: 110 °F", "3-501.16", "110 °F", "110 °F"),
    change("hold at 125 °F", HOLD_AIR, "  air_temperature: 125 °F", "3-501.16", "125 °F", "125 °F"),
    change(
        "hold at 131 °F",
        HOLD_AIR,
        "  air_temperature: 131 °F",
        "hours by the coldest point",
        "140 °F",
        "131 °F",
    ),
    Unsafe(
        "held for ten hours at 134 °F",
        (
            (HOLD_AIR, "  air_temperature: 134 °F"),
            ("  for: 3 h", "  for: 10 h"),
            ("  at_most: 6 h", "  at_most: 12 h"),
        ),
        "hot-hold floor",
        "135 °F",
        "134 °F",
    ),
    Unsafe(
        "held for half a day at 136 °F in dry air, which cools the piece below it",
        (
            (HOLD_AIR, "  air_temperature: 136 °F"),
            ("  humidity: auto", "  humidity: 12 %"),
            ("  for: 3 h", "  for: 12 h"),
            ("  at_most: 6 h", "  at_most: 12 h"),
        ),
        "hot-hold floor",
        "135 °F",
        "136 °F",
    ),
    Unsafe(
        "hold for a day in lukewarm air",
        (
            (HOLD_AIR, "  air_temperature: 132 °F"),
            ("  for: 3 h", "  for: 20 h"),
            ("  at_most: 6 h", "  at_most: 24 h"),
        ),
        "hot-hold floor",
        "135 °F",
        "132 °F",
    ),
    change(
        "vented for six hours",
        "until: {core_temperature: 175 °F, at_most: 2 h}",
        "until: {time: 6 h}",
        "hot-hold floor",
        "135 °F",
        "160 °F",
    ),
    change(
        "vented over night",
        "until: {core_temperature: 175 °F, at_most: 2 h}",
        "until: {time: 11 h}",
        "hours by the coldest point",
        "140 °F",
        "160 °F",
    ),
    Unsafe(
        "the same card in a British kitchen at 142 °F",
        ((HOLD_AIR, "  air_temperature: 142 °F"),),
        "hot-hold floor",
        "63 °C",
        "142 °F",
    ),
    Unsafe(
        "in a European kitchen at 136 °F",
        ((HOLD_AIR, "  air_temperature: 136 °F"),),
        "hot-hold floor",
        "60 °C",
        "136 °F",
    ),
    Unsafe(
        "in a Canadian kitchen at 136 °F",
        ((HOLD_AIR, "  air_temperature: 136 °F"),),
        "hot-hold floor",
        "60 °C",
        "136 °F",
    ),
    Unsafe(
        "in an Australian kitchen at 136 °F",
        (
            (HOLD_AIR, "  air_temperature: 136 °F"),
            ("  for: 3 h", "  for: 10 h"),
            ("  at_most: 6 h", "  at_most: 12 h"),
        ),
        "hot-hold floor",
        "60 °C",
        "136 °F",
    ),
    Unsafe(
        "turkey breast taken off at 140 °F",
        (
            *TURKEY,
            (
                "{probe_tender_from: 194 °F, at_least: 1 h, at_most: 8 h}",
                "{core_temperature: 140 °F, at_most: 8 h}",
            ),
            ("{core_temperature: 172 °F, at_least: 2 h, at_most: 12 h}", "{time: 10 min}"),
            ("until: {time: 5 h}", "until: {time: 20 min}"),
        ),
        "165 °F",
        "140 °F",
        "140 °F",
    ),
    Unsafe(
        "turkey breast taken off at 150 °F",
        (
            *TURKEY,
            (
                "{probe_tender_from: 194 °F, at_least: 1 h, at_most: 8 h}",
                "{core_temperature: 150 °F, at_most: 8 h}",
            ),
            ("{core_temperature: 172 °F, at_least: 2 h, at_most: 12 h}", "{time: 10 min}"),
            ("until: {time: 5 h}", "until: {time: 20 min}"),
        ),
        "165 °F",
        "150 °F",
        "150 °F",
    ),
    Unsafe(
        "brisket taken off after two hours",
        (
            ("{probe_tender_from: 194 °F, at_least: 1 h, at_most: 8 h}", "{time: 10 min}"),
            ("{core_temperature: 172 °F, at_least: 2 h, at_most: 12 h}", "{time: 10 min}"),
            ("until: {time: 5 h}", "until: {time: 1 h 40 min}"),
            (HOLD_AIR, "  air_temperature: 135 °F"),
            ("    until: {core_temperature: 175 °F, at_most: 2 h}", "    until: {time: 30 min}"),
            ("  until: {core_temperature: 175 °F, at_most: 2 h}", "  until: {time: 30 min}"),
        ),
        "cooking temperature",
        "130 °F",
        "10 min",
    ),
    Unsafe(
        "a pit barely warmer than the room for half a day",
        (
            ("pit: vertical-water-smoker", "pit: electric-cabinet"),
            ("fuel: charcoal briquettes with wood chunks", "fuel: oak chips"),
            ("pit_temperature: 240 °F", "pit_temperature: 150 °F"),
            ("until: {time: 5 h}", "until: {time: 14 h}"),
            ("start_temperature: 38 °F", "start_temperature: 33 °F"),
        ),
        "come-up",
        "6 h",
        "150 °F",
    ),
    Unsafe(
        "a rest in a cold yard before a cool hold",
        (
            (HOLD_AIR, "  air_temperature: 140 °F"),
            ("until: {core_temperature: 175 °F, at_most: 2 h}", "until: {time: 5 h}"),
        ),
        "hot-hold floor",
        "135 °F",
        "140 °F",
    ),
    Unsafe(
        "held in an oven that starts at 145 °F, set to 120 °F",
        (("holder: warming-cabinet-pan", "holder: dry-oven"), (HOLD_AIR, "  air_temperature: 120 °F")),
        "3-501.16",
        "120 °F",
        "120 °F",
    ),
    Unsafe(
        "no reason given for the time out of temperature",
        (("  - about: hot holding\n", "  - about: come-up\n"),),
        "hot-hold floor",
        "135 °F",
        "160 °F",
    ),
    Unsafe(
        "turkey held at 150 °F off a core of 155 °F",
        (
            *TURKEY,
            (
                "{probe_tender_from: 194 °F, at_least: 1 h, at_most: 8 h}",
                "{core_temperature: 155 °F, at_most: 8 h}",
            ),
            ("{core_temperature: 172 °F, at_least: 2 h, at_most: 12 h}", "{time: 10 min}"),
            ("until: {time: 5 h}", "until: {time: 20 min}"),
            (HOLD_AIR, "  air_temperature: 150 °F"),
        ),
        "165 °F",
        "155 °F",
        "155 °F",
    ),
)
AUTHORITY = {"British": "uk", "European": "eu", "Canadian": "canada", "Australian": "australia"}


def refused(case: Unsafe, folder: Path) -> list[Finding]:
    """Every error of the check and of the gate on the changed card."""
    root = folder / "book"
    shutil.copytree(STARTER, root, ignore=other_methods)
    text = (root / case.file).read_text(encoding="utf-8")
    for old, new in case.changes:
        text = text.replace(old, new)
    (root / case.file).write_text(text, encoding="utf-8")
    for word, authority in AUTHORITY.items():
        if word in case.name:
            card = root / "book.yaml"
            card.write_text(card.read_text("utf-8").replace("us-retail", authority), encoding="utf-8")
    result = read_book(root)
    errors = list(result.errors)
    if not errors:
        assert result.book is not None
        errors = computed(result.book)
    return errors


def computed(book: Book) -> list[Finding]:
    method = book.methods["unwrapped"]
    cook = run_method(method, book, members=MEMBERS, seed=1, step_s=STEP_S)
    found = method_findings(book, method, verdicts_of(cook, method, book))
    return [finding for finding in found if finding.severity is Severity.ERROR]


def other_methods(path: str, names: list[str]) -> list[str]:
    """All that is not the card or what it refers to: other methods, and cooks and tastings of them."""
    here = Path(path)
    if here == STARTER:
        return [name for name in names if name not in KEPT]
    if here.name == "cards":
        return [name for name in names if name != CARD.parent.name]
    return [name for name in names if name != CARD.name] if here.name == CARD.parent.name else []


def test_twenty_ways_are_tried_and_no_two_alike() -> None:
    assert len({(*case.changes, case.name) for case in UNSAFE}) == len(UNSAFE) >= 20


@pytest.mark.parametrize("case", UNSAFE, ids=lambda case: case.name)
def test_an_unsafe_card_is_refused_with_rule_figure_and_place(case: Unsafe, tmp_path: Path) -> None:
    errors = refused(case, tmp_path)
    assert errors, "the card was not refused"
    named = [
        error
        for error in errors
        if case.rule in f"{error.message} {error.help}" and case.figure in f"{error.message} {error.help}"
    ]
    assert named, [error.message for error in errors]
    assert any(case.line in error.excerpt for error in named), [error.excerpt for error in named]
    lines = (tmp_path / "book" / case.file).read_text("utf-8").splitlines()
    for error in errors:
        assert error.file == case.file.as_posix()
        assert error.mark.line > 1
        assert error.excerpt == lines[error.mark.line - 1]
        assert re.search(r"\d", error.message), error.message


def test_the_starter_card_itself_is_not_refused_and_no_verdict_says_safe() -> None:
    """Never print "safe": print the rule and the figure."""
    book = read_book(STARTER).book
    assert book is not None
    method = book.methods["unwrapped"]
    verdicts = verdicts_of(run_method(method, book, members=MEMBERS, seed=1, step_s=STEP_S), method, book)
    found = method_findings(book, method, verdicts)
    assert [finding for finding in found if finding.severity is Severity.ERROR] == []
    for verdict in verdicts:
        words = f"{verdict.rule} {verdict.figure} {verdict.explanation} {verdict.what_to_do}".lower().split()
        assert "safe" not in words
