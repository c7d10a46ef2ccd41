"""The small good book of the tests, and ways to spoil a card of it. Used by the tests of book and check."""

import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import yaml

from slowfolio.book.findings import Finding
from slowfolio.book.reading import ReadResult, read_book

GOOD_BOOK = Path(__file__).parent / "good_book"
GOOD_COOK = Path(__file__).parent / "good_cook"
TODAY = date(2026, 11, 25)
CARD_OF_KIND = {
    "book": "book.yaml",
    "method": "cards/brisket/boat-humid-hold.yaml",
    "cut": "cuts/packer-brisket.yaml",
    "pit": "pits/offset-stick-burner.yaml",
    "wrap": "wraps/foil-boat.yaml",
    "holder": "holders/humidity-cabinet.yaml",
    "tasting": "tastings/boat-twice-triangle.yaml",
    "cook": "cooks/saturday-one.yaml",
}
METHOD = CARD_OF_KIND["method"]
TOP_LEVEL_BLOCK = re.compile(r"^(?=[^\s#\-])", re.MULTILINE)


def copy_good_book(folder: Path) -> Path:
    """A copy of the good book that a test may spoil."""
    return Path(shutil.copytree(GOOD_BOOK, folder / "book"))


def with_cook(root: Path) -> Path:
    """The book with one recorded cook and its log."""
    shutil.copytree(GOOD_COOK, root / "cooks")
    return root


def check(root: Path) -> ReadResult:
    """Read a book on the day all tests are held."""
    return read_book(root, today=TODAY)


def spoil(root: Path, file: str, old: str, new: str) -> None:
    """Replace a text that stands once in a card."""
    path = root / file
    text = path.read_text("utf-8")
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {file}"
    path.write_text(text.replace(old, new), "utf-8")


def codes_of(result: ReadResult) -> list[str]:
    """The codes found, in order."""
    return [finding.code for finding in result.findings]


def only(result: ReadResult) -> Finding:
    """The one finding there is."""
    assert len(result.findings) == 1, [f"{each.code}: {each.message}" for each in result.findings]
    return result.findings[0]


def with_fragment(text: str, fragment: str) -> str:
    """Lay a fragment over a card as text: its top-level blocks take the place of those of the same key."""
    blocks = _blocks(fragment)
    keys = {_key(block) for block in blocks}
    kept = [block for block in _blocks(text) if _key(block) not in keys]
    return "".join(kept) + fragment.rstrip("\n") + "\n"


def with_fields(text: str, fragment: str, without: tuple[str, ...] = ()) -> str:
    """Lay the fields of a fragment over those of a card, one level deep and list item by list item."""
    base: dict[str, Any] = yaml.load(text, Loader=yaml.BaseLoader)
    over: dict[str, Any] = yaml.load(fragment, Loader=yaml.BaseLoader)
    for key in without:
        base.pop(key, None)
    for key, value in over.items():
        base[key] = _laid_over(base.get(key), value)
    return _written(base)


def _laid_over(old: Any, new: Any) -> Any:
    if isinstance(old, dict) and isinstance(new, dict):
        return {**old, **new}
    if isinstance(old, list) and isinstance(new, list) and new and isinstance(new[0], dict):
        merged = [{**before, **after} for before, after in zip(old, new, strict=False)]
        return merged + new[len(old) :] + old[len(new) :]
    return new


def _written(value: Any, indent: str = "") -> str:
    """Block style with plain scalars wherever the text allows, so that yes stays a plain yes."""
    lines = []
    for key, item in value.items():
        if isinstance(item, dict):
            lines.append(f"{indent}{key}:\n{_written(item, indent + '  ')}")
        elif isinstance(item, list) and item and isinstance(item[0], dict):
            lines.append(f"{indent}{key}:\n")
            for each in item:
                body = _written(each, indent + "    ")
                lines.append(f"{indent}  - {body.lstrip()}")
        elif isinstance(item, list):
            lines.append(f"{indent}{key}: [{', '.join(_scalar(each) for each in item)}]\n")
        else:
            lines.append(f"{indent}{key}: {_scalar(item)}\n".replace(": \n", ":\n"))
    return "".join(lines)


def _scalar(text: str) -> str:
    return text if not text or re.fullmatch(r"[\w°%.–/·()-][\w °%.–/·()-]*", text) else f'"{text}"'


def _blocks(text: str) -> list[str]:
    return [block for block in TOP_LEVEL_BLOCK.split(text) if block]


def _key(block: str) -> str:
    return block.partition(":")[0].strip()
