"""From the bytes of a log to its text: byte-order marks, UTF-8, UTF-16, Latin-1; what is no text is refused.

Knows nothing of columns. Called by `importing` only.
"""

import codecs
from dataclasses import dataclass

from slowfolio.cooklog.remarks import LogError

LARGEST_BYTES = 64_000_000
SAMPLE = 65_536
CONTROL = frozenset(range(32)) - {9, 10, 12, 13, 26}
CONTROL_SHARE = 0.001
"""CALIBRATED: a stray control character is mended, more of them make a file binary."""

KNOWN_STARTS = (
    (b"PK\x03\x04", "a spreadsheet or zip file", "open it in the program it comes from and save it as CSV"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet file", "open it and save it as CSV"),
    (b"%PDF", "a PDF", "export the readings as CSV instead of printing them"),
    (b"\x89PNG", "a picture", "export the readings, not the chart"),
    (b"\xff\xd8\xff", "a picture", "export the readings, not the chart"),
    (b"\x1f\x8b", "a gzip file", "unpack it first"),
    (b"SQLite format 3", "a database", "export the readings as CSV"),
)
"""Marks in the first bytes of common files: from the formats' own specifications (MEMORY)."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """The text of a log and the encoding it was stored in, in the words of the card."""

    text: str
    encoding: str


def decode_text(blob: bytes, encoding: str | None = None) -> Decoded:
    """Return the text of a log; with `encoding` (a word of the card) nothing is guessed.

    Raises LogError for an empty file, one that is too large, and one that holds no text.
    """
    if len(blob) > LARGEST_BYTES:
        raise LogError(
            f"the log has {len(blob) / 1e6:.0f} MB; more than {LARGEST_BYTES // 1_000_000} MB are not read: "
            "export one cook at a time, or fewer readings a minute"
        )
    if not blob.strip(b"\x00\r\n\t \xef\xbb\xbf"):
        raise LogError("the log is empty: export it again, and check that the recorder had stopped")
    for start, what, advice in KNOWN_STARTS:
        if blob.startswith(start):
            raise LogError(f"this is {what}, not a table of readings: {advice}")
    found = encoding or guessed_encoding(blob)
    try:
        text = decoded(blob, found)
    except UnicodeDecodeError as error:
        raise LogError(
            f"byte {error.start} is no {found}: export the log as UTF-8, or import it anew"
        ) from error
    return Decoded(without_controls(text), found)


def guessed_encoding(blob: bytes) -> str:
    """The encoding: by its mark, by the zeros of UTF-16, as UTF-8 where that fits, else Latin-1."""
    sample = blob[:SAMPLE]
    if blob.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    zeros = sample.count(0)
    if zeros:
        even, odd = sample[::2].count(0), sample[1::2].count(0)
        if max(even, odd) > 0.35 * (len(sample) // 2) and min(even, odd) < 0.1 * max(even, odd):
            return "utf-16"
        raise not_text(zeros)
    try:
        blob.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8"


def decoded(blob: bytes, encoding: str) -> str:
    """The text in one of the encodings of the card."""
    if encoding == "utf-16" and not blob.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        sample = blob[:SAMPLE]
        little = sample[1::2].count(0) >= sample[::2].count(0)
        return blob[: len(blob) // 2 * 2].decode("utf-16-le" if little else "utf-16-be")
    if encoding == "latin-1":
        return blob.decode("cp1252", errors="replace")
    return blob.decode("utf-8-sig" if encoding == "utf-8" else "utf-16")


def without_controls(text: str) -> str:
    """The text without stray control characters; a text full of them is refused."""
    sample = text[:SAMPLE]
    bad = sum(ord(letter) in CONTROL or letter == "\ufffd" for letter in sample)
    if bad > max(2, CONTROL_SHARE * len(sample)):
        raise not_text(bad)
    if bad or "\x00" in text:
        text = text.translate(dict.fromkeys(CONTROL))
    return text.removeprefix("\ufeff").replace("\x1a", "")


def not_text(bad: int) -> LogError:
    """The refusal of a file of other bytes than text."""
    return LogError(
        f"this is no text: {bad} of its first bytes are no letters or digits; "
        "export the readings as CSV or TSV from the recorder"
    )
