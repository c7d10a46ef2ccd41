"""Two hundred faults, each in one field of one good card: the check tells it at its place, or the diff tells
it, or nothing that is computed can have changed, for every key of a result is the same.

The faults are drawn by a seed: a field, and what hurried hands do to it.
"""

import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from book_cases import GOOD_BOOK
from slowfolio.book.files import CardFile, read_files
from slowfolio.book.findings import Finding, Severity
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.changes.cards import card_changes
from slowfolio.changes.sides import Side, dependence
from slowfolio.enrich.pipeline import MEMBERS

TODAY = date(2026, 11, 25)
COUNT, SEED = 200, 20261125
FIELD = re.compile(r"^(?P<head>[ -]*(?P<key>[a-z_]+): )(?P<value>[^\s{\[>|#][^#\n]*)$", re.MULTILINE)
KINDS = {"method", "pit", "wrap", "holder", "cut", "book"}


@dataclass(frozen=True)
class Fault:
    """One spoilt card: its file, the line, what was done, and the whole text."""

    file: str
    line: int
    key: str
    what: str
    text: str


def digits_swapped(value: str, chance: random.Random) -> str:
    numbers = list(re.finditer(r"[1-9][0-9]*", value))
    found = chance.choice(numbers) if numbers else None
    if found is None:
        return value + "x"
    return value[: found.start()] + str(int(found[0]) + chance.choice((1, 7, 40))) + value[found.end() :]


def letter_lost(value: str, chance: random.Random) -> str:
    place = chance.randrange(len(value))
    return value[:place] + value[place + 1 :]


HANDS: dict[str, Callable[[str, random.Random], str]] = {
    "another number": digits_swapped,
    "no unit": lambda value, _: re.sub(r"\s*(°[FC]|mm|cm|in|lb|kg|h|min|%|L)$", "", value) or "x",
    "wrong unit": lambda value, _: re.sub(r"(°[FC]|mm|cm|lb|kg|\bh|min|%)$", "furlong", value),
    "letter lost": letter_lost,
    "emptied": lambda _value, _chance: "",
    "a list": lambda value, _: f"[{value.replace(',', '')}]",
    "yes": lambda _value, _chance: "yes",
    "minus": lambda value, _: f"-{value}",
}


def good_cards() -> list[CardFile]:
    return [card for card in read_files(GOOD_BOOK) if isinstance(card, CardFile) and card.kind in KINDS]


def faults() -> list[Fault]:
    """The same two hundred every time."""
    chance, cards, found = random.Random(SEED), good_cards(), []
    while len(found) < COUNT:
        card = chance.choice(cards)
        text = card.blob.decode()
        field = chance.choice(list(FIELD.finditer(text)))
        what = chance.choice(list(HANDS))
        spoilt = HANDS[what](field["value"].strip(), chance)
        if spoilt != field["value"].strip():
            line = text[: field.start()].count("\n") + 1
            new = text[: field.start("value")] + spoilt + text[field.end("value") :]
            found.append(Fault(card.file, line, field["key"], what, new))
    return found


def read_with(fault: Fault) -> ReadResult:
    """The good book with one card spoilt; nothing is written."""
    from slowfolio.book import reading

    def files(_root: Path) -> list[object]:
        return [
            CardFile(each.file, each.kind, fault.text.encode())
            if isinstance(each, CardFile) and each.file == fault.file
            else each
            for each in read_files(GOOD_BOOK)
        ]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reading, "read_files", files)
        return read_book(GOOD_BOOK, today=TODAY)


@pytest.fixture(scope="module")
def good() -> ReadResult:
    return read_book(GOOD_BOOK, today=TODAY)


@pytest.fixture(scope="module")
def told(good: ReadResult) -> dict[str, list[Fault]]:
    """How each fault is told."""
    ways: dict[str, list[Fault]] = {"check": [], "elsewhere": [], "diff": [], "harmless": [], "nobody": []}
    for fault in faults():
        ways[way(fault, good)].append(fault)
    return ways


def way(fault: Fault, good: ReadResult) -> str:
    """Who tells a fault: the check at its place or elsewhere, the diff, or nobody, being harmless or not."""
    result = read_with(fault)
    new = [each for each in result.findings if each.severity is not Severity.NOTE]
    if new:
        return "check" if any(speaks_of(each, fault) for each in new) else "elsewhere"
    before, after = Side("before", GOOD_BOOK, good), Side("after", GOOD_BOOK, result)
    same = all(
        dependence(before.methods[name], before.book, MEMBERS)
        == dependence(after.methods[name], after.book, MEMBERS)
        for name in before.methods
    )
    if same:
        return "harmless"
    kind = next(card.kind for card in good_cards() if card.file == fault.file)
    key = (kind, Path(fault.file).stem)
    return "diff" if list(card_changes("card", before.texts[key], after.texts[key])) else "nobody"


def speaks_of(finding: Finding, fault: Fault) -> bool:
    """Whether a finding leads to the spoilt line: it stands there, names the field, its value or its card."""
    if finding.file == fault.file and (abs(finding.mark.line - fault.line) <= 1 or encloses(finding, fault)):
        return True
    said = f"{finding.message} {finding.help}".replace("_", " ")
    value = fault.text.splitlines()[fault.line - 1].partition(": ")[2].strip()
    card = Path(fault.file).stem
    return fault.key.replace("_", " ") in said or (len(value) > 2 and value in said) or card in said


def encloses(finding: Finding, fault: Fault) -> bool:
    """Whether a finding stands at the group or list that the spoilt line is in."""
    lines = fault.text.splitlines()[finding.mark.line - 1 : fault.line]
    depths = [len(line) - len(line.lstrip(" -")) for line in lines]
    return len(depths) > 1 and min(depths[1:]) > depths[0]


def test_no_fault_goes_untold_or_is_told_of_another_card(told: dict[str, list[Fault]]) -> None:
    assert told["nobody"] == []
    assert told["elsewhere"] == [], [
        (each.file, each.line, each.key, each.what) for each in told["elsewhere"]
    ]
    assert sum(len(each) for each in told.values()) == COUNT


def test_most_faults_are_told_by_the_check_and_some_only_by_the_diff(told: dict[str, list[Fault]]) -> None:
    assert len(told["check"]) > COUNT / 2, {name: len(each) for name, each in told.items()}
    assert told["diff"]


def test_the_good_book_itself_has_nothing_to_tell(good: ReadResult) -> None:
    assert good.findings == ()
