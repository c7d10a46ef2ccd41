"""The guides: ten, of readable length, on both scales, and without a verdict that is not ours to give."""

import re
from pathlib import Path

import pytest

PAGES = Path(__file__).parents[1] / "site_src" / "pages"
SCALES = re.compile(r"\d ?°[FC]")


def guides() -> list[Path]:
    return sorted(path for path in (PAGES / "guides").glob("*.md") if path.stem != "index")


def test_there_are_ten_guides_of_readable_length_and_the_first_page_leads_to_each() -> None:
    first = (PAGES / "guides" / "index.md").read_text("utf-8")
    assert len(guides()) == 10
    for guide in guides():
        assert 450 <= len(guide.read_text("utf-8").split()) <= 1000, guide.name
        assert f"({guide.name})" in first


def test_a_guide_gives_temperatures_on_both_scales() -> None:
    """A paragraph with a temperature outside a command has both scales, or a table does in its cells."""
    for guide in guides():
        text = re.sub(r"```.*?```|`[^`]*`", "", guide.read_text("utf-8"), flags=re.DOTALL)
        for line in text.splitlines():
            scales = {found[-1] for found in SCALES.findall(line)}
            assert scales in (set(), {"F", "C"}), f"{guide.name}: {line}"


@pytest.mark.parametrize("page", [*guides(), PAGES / "glossary.md"], ids=lambda path: path.stem)
def test_nothing_is_called_safe(page: Path) -> None:
    """What is printed is which rule is met, with its figure; never the verdict."""
    assert not re.search(r"\b(is|are|be|it's|perfectly) safe\b", page.read_text("utf-8").lower())
