"""Texts that were meant to be replaced: dots, TODO and the like, in any field of any card."""

import re
from collections.abc import Iterator
from typing import Any

from slowfolio.book.findings import Fault, quoted
from slowfolio.book.model import KeyPath

_PLACEHOLDER = re.compile(r"(\.{3,}|…|\?{2,}|x{3,}|(todo|tbd|fixme)\b.*|.*\b(TODO|TBD|FIXME)\b.*)", re.DOTALL)


def text_faults(data: Any, path: KeyPath = ()) -> Iterator[Fault]:
    """Yield every text of a card that is only a placeholder."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from text_faults(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from text_faults(value, (*path, index))
    elif isinstance(data, str) and _PLACEHOLDER.fullmatch(data.strip()):
        yield Fault(
            "placeholder-left",
            path,
            f"{quoted(data)} is a placeholder",
            "write the text, or leave the field out",
        )
