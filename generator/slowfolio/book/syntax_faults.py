"""What to say about the bytes and the YAML of a card, apart from what the parser itself complains about.

One function a fault; `syntax` decides when. The parser's own complaints are in `syntax_errors`.
"""

from slowfolio.book.findings import Fault, quoted
from slowfolio.book.model import Mark


def base_60(text: str) -> Fault:
    """A number such as 1:30."""
    return Fault(
        "base-60-time",
        (),
        f"{quoted(text)} is a number to base 60 for some YAML readers",
        f"for a time write {_in_hours(text)}; for a text put it in quotes",
    )


def leading_zero(text: str) -> Fault:
    """A number such as 010."""
    bare = text.lstrip("+-").lstrip("0") or "0"
    return Fault(
        "leading-zero",
        (),
        f"{quoted(text)} starts with a zero, which some YAML readers take as a number to base 8",
        f"write {bare}, or put it in quotes if it is a text",
    )


def too_many_digits(count: int) -> Fault:
    """A number of more digits than any computation keeps."""
    return Fault("number-too-long", (), f"a number of {count} digits", "write a number a scale can show")


def not_utf8(blob: bytes, offset: int) -> Fault:
    """A byte at `offset` that no UTF-8 text has."""
    if blob.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Fault("not-utf-8", (), "the file is saved as UTF-16", "save it as UTF-8")
    return Fault(
        "not-utf-8",
        (),
        f"the file is not UTF-8: its {_ordinal(offset + 1)} byte, 0x{blob[offset]:02x}, is no letter",
        "save it as UTF-8; a degree sign or dash from an old editor is the usual cause",
    )


def _ordinal(number: int) -> str:
    ending = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number:,}{ending}"


def _in_hours(clock: str) -> str:
    """A clock time as a length of time: "1 h 30 min" for 1:30, seconds left out."""
    hours, minutes = (part.split(".")[0].lstrip("0") or "0" for part in clock.lstrip("+-").split(":")[:2])
    if not hours.isdigit() or len(hours) > 3:
        return "1 h 30 min"
    return f"{hours} h" if minutes == "0" else f"{hours} h {minutes} min"


def control_character(character: str) -> Fault:
    """A character that cannot be seen."""
    name = "a NUL character" if character == "\0" else f"the control character U+{ord(character):04X}"
    return Fault("control-character", (), f"the card holds {name}", "delete it: a card is plain text")


def empty(kind: str) -> Fault:
    """A file without a card."""
    first = "title" if kind == "book" else "id"
    return Fault(
        "file-empty", (), "there is no card in this file", f"start with {first}:, or delete the file"
    )


def several_documents() -> Fault:
    """A second card in the file."""
    return Fault(
        "several-documents",
        (),
        "a second document starts here; a file holds one card",
        "delete the --- line, or move the second card to a file of its own",
    )


def anchor(name: str) -> Fault:
    """A value marked for repeating."""
    return Fault(
        "yaml-anchor",
        (),
        f"&{name} marks a value for repeating, which cards do not use",
        f"delete &{name} and write the value out wherever it is needed",
    )


def alias(name: str) -> Fault:
    """A value that repeats another."""
    return Fault(
        "yaml-alias",
        (),
        f"*{name} repeats another value, which cards do not use",
        "write the value out; a text that starts with * goes in quotes",
    )


def tag(name: str) -> Fault:
    """A value with a tag."""
    shown = name.replace("tag:yaml.org,2002:", "!!")
    return Fault(
        "yaml-tag",
        (),
        f"{quoted(shown)} asks the reader to make something other than text or a number",
        "delete the tag; a text that starts with ! goes in quotes",
    )


def merge_key() -> Fault:
    """A mapping merged into another."""
    return Fault(
        "yaml-merge-key", (), "<< merges another mapping, which cards do not use", "write the keys out"
    )


def duplicate(key: str, first: Mark) -> Fault:
    """A key given before, at `first`."""
    return Fault(
        "duplicate-key",
        (),
        f"{quoted(key)} is already given on line {first.line}; only one would count",
        "delete one of the two",
    )


def too_deep(limit: int) -> Fault:
    """Values nested beyond the limit."""
    return Fault(
        "nested-too-deep", (), f"values are nested more than {limit} deep", "no card needs more than 8"
    )


def too_many_values(limit: int) -> Fault:
    """More values than a card may hold."""
    return Fault(
        "too-many-values",
        (),
        f"the card holds more than {limit:,} values",
        "split it, or move logged readings to a .csv beside the cook",
    )


def key_not_text() -> Fault:
    """A key that is a list or mapping."""
    return Fault(
        "key-not-text",
        (),
        "a list or mapping stands where a key should be",
        "put text in curly or square brackets in quotes",
    )
