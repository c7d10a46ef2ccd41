"""Every CALIBRATED constant beside the engine's own table, read from the source where it stands.

A constant counts whose docstring or comment says CALIBRATED. The page of constants lists them, so that no
choice of ours is hidden. Reads source files; computes nothing.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import groupby

from slowfolio.resources import PACKAGE
from slowfolio.site.safety_limits import in_plain_words

MARK = "CALIBRATED"
ROOMS = {
    "physics": "Cook and holder",
    "safety": "Rules",
    "forecast": "Forecast, hold and plan",
    "tasting": "Tastings",
    "book": "Check of the cards",
    "site": "Pages",
}
LONGEST_VALUE = 60


@dataclass(frozen=True, slots=True)
class Choice:
    """One constant: its name in words, its value as written, and what is said about it."""

    name: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True)
class RoomOfChoices:
    """The choices of one part of the package."""

    title: str
    choices: tuple[Choice, ...]


@cache
def calibrated_choices() -> tuple[RoomOfChoices, ...]:
    """The choices of every room that has any, in the order of the files."""
    rooms = []
    for room, title in ROOMS.items():
        files = sorted((PACKAGE / room).rglob("*.py"))
        found = tuple(choice for file in files for choice in merged(choices_in(file.read_text("utf-8"))))
        if found:
            rooms.append(RoomOfChoices(title, found))
    return tuple(rooms)


def choices_in(source: str) -> Iterator[Choice]:
    """The calibrated constants at the top level of a module."""
    lines, body = source.splitlines(), ast.parse(source).body
    above, last_line = "", 0
    for place, node in enumerate(body):
        name = constant_name(node)
        if name is None:
            continue
        # A comment above a block of constants is about all of them.
        above = comment_above(lines, node.lineno) or (above if node.lineno == last_line + 1 else "")
        last_line = node.end_lineno or node.lineno
        said = docstring_after(body, place) or comment_beside(lines[last_line - 1]) or above
        if MARK in said:
            yield Choice(in_words(name), written(node), reason_of(said))


def constant_name(node: ast.stmt) -> str | None:
    """The name of a constant that a statement sets, or of several: capitals only."""
    if isinstance(node, ast.Assign) and len(node.targets) == 1:
        target: ast.expr = node.targets[0]
    elif isinstance(node, ast.AnnAssign):
        target = node.target
    else:
        return None
    parts = target.elts if isinstance(target, ast.Tuple) else [target]
    names = [part.id for part in parts if isinstance(part, ast.Name) and part.id.isupper()]
    return ", ".join(names) if len(names) == len(parts) else None


def docstring_after(body: list[ast.stmt], place: int) -> str:
    """The text that stands as a statement after the constant."""
    after = body[place + 1] if place + 1 < len(body) else None
    if not isinstance(after, ast.Expr) or not isinstance(after.value, ast.Constant):
        return ""
    return str(after.value.value)


def comment_beside(line: str) -> str:
    """The comment at the end of a line."""
    found = re.search(r"\s#\s(.*)$", line)
    return found.group(1) if found else ""


def comment_above(lines: list[str], number: int) -> str:
    """The comment lines right above line `number`."""
    said: list[str] = []
    for line in reversed(lines[: number - 1]):
        if not line.startswith("#"):
            break
        said.append(line.lstrip("# "))
    return " ".join(reversed(said))


def in_words(name: str) -> str:
    """NEAR_ENOUGH, FAR as "near enough, far"."""
    return name.strip("_").replace("_", " ").lower()


def written(node: ast.stmt) -> str:
    """The value as the source writes it, cut where it is long."""
    value = node.value if isinstance(node, ast.Assign | ast.AnnAssign) else None
    text = "" if value is None else ast.unparse(value)
    return text if len(text) <= LONGEST_VALUE else text[:LONGEST_VALUE].rsplit(" ", 1)[0] + " …"


def reason_of(said: str) -> str:
    """What is said, in sentences, without the mark and a programmer's quotes."""
    text = " ".join(said.split()).replace("`", "")
    text = re.sub(rf" ?\({MARK}\)", "", text)
    text = re.sub(rf"{MARK} (?=\d)", "believable range ", text)
    text = re.sub(rf"\({MARK}[:,;]? ?", "(", text)
    text = re.sub(rf"{MARK}(:|,| choices,| on| to)? ?", "", text)
    text = in_plain_words(text).strip(" .;:")
    return re.sub(r"(?:^|(?<=\. ))[a-z]", lambda first: first.group().upper(), text) + "."


def merged(choices: Iterator[Choice]) -> Iterator[Choice]:
    """The choices, neighbours of one reason put together."""
    for reason, group in groupby(choices, key=lambda choice: choice.reason):
        same = tuple(group)
        names, values = (
            ", ".join(parts) for parts in zip(*((one.name, one.value) for one in same), strict=True)
        )
        yield Choice(names, values, reason)
