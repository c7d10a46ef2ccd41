"""Each deliberately broken card is reported at its line and column with a useful message, nothing else is."""

import shutil
from pathlib import Path
from typing import Any

import pytest
import yaml

from book_cases import CARD_OF_KIND, check, copy_good_book
from slowfolio.book.report import FORMATS, Report

BROKEN = Path(__file__).parent / "broken"
EXPECTED: dict[str, Any] = yaml.safe_load((BROKEN / "expected.yaml").read_text("utf-8"))["cards"]


def test_every_broken_card_has_its_expectation_and_there_are_at_least_sixty() -> None:
    assert {path.stem for path in BROKEN.glob("*.yaml")} - {"expected"} == set(EXPECTED)
    assert len(EXPECTED) >= 60
    assert len({row["code"] for case in EXPECTED.values() for row in case["findings"]}) >= 60


@pytest.mark.parametrize("name", EXPECTED)
def test_a_broken_card_gives_exactly_its_findings(name: str, tmp_path: Path) -> None:
    case = EXPECTED[name]
    file = CARD_OF_KIND[case["kind"]]
    root = copy_good_book(tmp_path)
    shutil.copy(BROKEN / f"{name}.yaml", root / file)
    result = check(root)
    found = [
        {
            "code": each.code,
            "line": each.mark.line,
            "column": each.mark.column,
            "marked": each.excerpt[each.mark.column - 1 : each.mark.end_column - 1],
        }
        for each in result.findings
    ]
    assert found == [
        {key: row[key] for key in ("code", "line", "column", "marked")} for row in case["findings"]
    ]
    for finding, row in zip(result.findings, case["findings"], strict=True):
        assert finding.file == file
        assert row["says"] in finding.message
        assert finding.help or finding.code == "method-withdrawn"
    for render in FORMATS.values():
        assert render(Report("methods", result.findings, len(result.files)))
