"""Every code is explained, its wrong example gives it and its right example does not."""

import re
from pathlib import Path

import pytest

from book_cases import (
    CARD_OF_KIND,
    METHOD,
    check,
    codes_of,
    copy_good_book,
    with_cook,
    with_fields,
    with_fragment,
)
from slowfolio.book.codes import Code, all_codes
from slowfolio.book.findings import Severity
from slowfolio.book.model import Cut

BOOK_PACKAGE = Path(__import__("slowfolio.book", fromlist=["book"]).__file__).parent
STAGES = ("files", "syntax", "schema", "references", "contradictions", "computed", "all")
WITH_EXAMPLE = [code for code in all_codes() if code.example != "words"]
ELSEWHERE = (
    "enrich/cooks.py",
    "enrich/gate.py",
    "enrich/house_standard.py",
    "enrich/tasting_findings.py",
    "forecast/authority.py",
)
"""Findings that need what the book's own room does not know."""
SIDE_EFFECTS = {"cut-folder-mismatch"}
"""A turkey example stays in the folder of the brisket it is laid over."""
ALONGSIDE = {"yaml-alias": {"yaml-anchor"}}
"""A repeated value cannot be shown without the mark it repeats."""


def codes_in_source() -> set[str]:
    """Every code that the package can raise: the first argument of a Fault or a refusal."""
    pattern = re.compile(
        r"""(?:Fault\(|_RefusedError\(|Finding\(|finding_at\(\s*book,\s*(?:method|tasting),)"""
        r"""\s*"([a-z0-9]+(?:-[a-z0-9]+)+)\""""
    )
    found: set[str] = set()
    for file in (*BOOK_PACKAGE.rglob("*.py"), *(BOOK_PACKAGE.parent / file for file in ELSEWHERE)):
        text = file.read_text("utf-8")
        found.update(pattern.findall(text))
        found.update(re.findall(r'^\s*code = "([a-z0-9-]+)"$', text, re.MULTILINE))
    return found


def test_every_code_raised_is_registered_and_every_registered_code_is_raised() -> None:
    assert codes_in_source() == {code.name for code in all_codes()}


@pytest.mark.parametrize("code", all_codes(), ids=lambda code: code.name)
def test_a_code_is_kebab_case_words_with_title_reason_and_both_examples(code: Code) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", code.name)
    assert code.title
    assert not code.title.endswith(".")
    assert code.why.endswith((".", ":"))
    assert code.bad.strip()
    assert code.good.strip()
    assert code.bad != code.good
    assert code.stage in STAGES
    assert code.page == f"checks.html#{code.name}"


def test_codes_come_in_the_order_of_the_stages() -> None:
    order = [STAGES.index(code.stage) for code in all_codes()]
    assert order == sorted(order)


@pytest.mark.parametrize("code", WITH_EXAMPLE, ids=lambda code: code.name)
def test_the_wrong_example_gives_the_code_and_nothing_else(code: Code, tmp_path: Path) -> None:
    found = set(codes_of(check(lay_over(code, code.bad, tmp_path))))
    assert code.name in found
    assert found - {code.name} <= SIDE_EFFECTS | ALONGSIDE.get(code.name, set())


@pytest.mark.parametrize("code", WITH_EXAMPLE, ids=lambda code: code.name)
def test_the_right_example_is_free_of_errors_and_of_the_code(code: Code, tmp_path: Path) -> None:
    result = check(lay_over(code, code.good, tmp_path))
    assert code.name not in codes_of(result)
    assert [finding for finding in result.findings if finding.severity is Severity.ERROR] == []


def lay_over(code: Code, fragment: str, folder: Path) -> Path:
    """The good book with the example laid over the card it belongs to."""
    root = copy_good_book(folder)
    if code.example == "cook":
        with_cook(root)
    path = root / (METHOD if code.example == "text" else CARD_OF_KIND[code.example])
    text = path.read_text("utf-8")
    spoilt = (
        with_fragment(text, fragment) if code.example == "text" else with_fields(text, fragment, code.without)
    )
    path.write_text(spoilt, "utf-8")
    return root


def test_the_good_book_has_no_finding_and_all_its_cards(tmp_path: Path) -> None:
    result = check(copy_good_book(tmp_path))
    assert result.findings == ()
    assert result.book is not None
    assert isinstance(result.book.cuts["packer-brisket"], Cut)
    assert set(result.book.methods) == {"boat-humid-hold"}
