"""What the check has to say: faults as the rules report them, findings as they are shown.

A fault names a place in a card by its keys; a finding has file, line, column and the line itself. Nothing
here reads a file or knows a rule. Rendering is in `report`.
"""

import difflib
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from slowfolio.book.model import KeyPath, Mark

EXCERPT_LIMIT = 200
BIDIRECTIONAL_CONTROLS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class Severity(StrEnum):
    """How grave a finding is. Errors keep a card out of the book; --strict makes warnings fail too."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Fault:
    """What a rule found wrong: its code, the keys that lead to the place, what is wrong, what to write.

    `on_key` points at the key rather than its value; `mark` is the place where no keys lead there.
    """

    code: str
    path: KeyPath
    message: str
    help: str = ""
    on_key: bool = False
    mark: Mark | None = None

    def at(self, mark: Mark) -> "Fault":
        """The same fault at a place of its own."""
        return replace(self, mark=mark)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the check has to say about one place in one file of the book."""

    code: str
    severity: Severity
    file: str
    mark: Mark
    message: str
    help: str = ""
    excerpt: str = ""

    @property
    def place(self) -> tuple[str, int, int, str]:
        """What findings are sorted by: file, line, column, code."""
        return (self.file, self.mark.line, self.mark.column, self.code)


def close_match(word: object, options: Iterable[str]) -> str | None:
    """Return the option a hurried cook most likely meant by `word`, if any is close."""
    if not isinstance(word, str) or len(word) > 80:
        return None
    by_lower = {option.lower(): option for option in options}
    asked = word.strip().lower().replace("_", "-")
    for lower, option in by_lower.items():
        if lower.replace("_", "-").replace(" ", "-") == asked.replace(" ", "-"):
            return option
    for lower, option in by_lower.items():
        if sorted(re.findall(r"\w+", lower)) == sorted(re.findall(r"\w+", asked)):
            return option
    begun = [option for lower, option in by_lower.items() if len(asked) >= 3 and lower.startswith(asked)]
    if len(begun) == 1:
        return begun[0]
    matches = difflib.get_close_matches(word.strip().lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[matches[0]] if matches else None


def did_you_mean(word: object, options: Iterable[str], otherwise: str = "") -> str:
    """Return "did you mean x?" for a close option, else the list of options in words."""
    known = list(options)
    if (match := close_match(word, known)) is not None:
        return f"did you mean {match}?"
    return f"{otherwise or 'write one of'}: {listed(known)}" if known else ""


def listed(words: Iterable[str], limit: int = 24) -> str:
    """Join words as a list; a very long one is cut with a count of what is left."""
    known = list(words)
    shown = ", ".join(known[:limit])
    return shown if len(known) <= limit else f"{shown} and {len(known) - limit} more"


def quoted(value: object, limit: int = 60) -> str:
    """Show a value from a card inside a message: quoted, on one line, cut when long."""
    text = visible(str(value))
    return f'"{text}"' if len(text) <= limit else f'"{text[: limit - 1]}…"'


def visible(text: str) -> str:
    """Replace characters that would move the cursor, hide or reorder text by a visible escape."""
    if text.isprintable():
        return text
    return "".join(character if _prints(character) else _escape(character) for character in text)


def _prints(character: str) -> bool:
    if character in BIDIRECTIONAL_CONTROLS:
        return False
    return unicodedata.category(character) not in {"Cc", "Cs", "Cn", "Co", "Zl", "Zp"}


def _escape(character: str) -> str:
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
