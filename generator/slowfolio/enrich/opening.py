"""Opening a book for use: read and checked, or a clear reason why not.

A book whose very bytes were checked before without a finding is only parsed again. Commands and the site open
books here; `slowfolio check`, which wants every finding, reads them itself.
"""

from collections.abc import Sequence
from pathlib import Path

from slowfolio.book.findings import Finding
from slowfolio.book.model import Book
from slowfolio.book.reading import ReadResult, read_book
from slowfolio.enrich.cache import Cache, content_key
from slowfolio.enrich.house import with_house_findings

SHOWN_FINDINGS = 20


class BookNotReady(Exception):
    """The book cannot be used: it was not found, or its check has errors. The message says what to do."""


def open_book(book_path: Path, cache: Cache) -> Book:
    """The book in the folder `book_path`. Raises BookNotReady with every error's place and advice."""
    book = open_reading(book_path, cache).book
    assert book is not None
    return book


def open_reading(book_path: Path, cache: Cache) -> ReadResult:
    """The same as it was read, with the digest of its bytes; its `book` is never None."""
    try:
        read = read_book(book_path, known_good=lambda digest: cache.read(clean_key(digest), bool) is True)
        result = with_house_findings(read, book_path)
    except OSError as error:
        reason = error.strerror or error
        raise BookNotReady(
            f"cannot read a book at {book_path}: {reason}; name the folder that holds book.yaml"
        ) from error
    if result.errors or result.book is None:
        raise BookNotReady(refusal(result.errors))
    if not result.findings:
        cache.write(clean_key(result.digest), True)
    return result


def clean_key(digest: str) -> str:
    """Under which key it is kept that a book of this digest has no findings."""
    return content_key("checked without findings", digest)


def refusal(errors: Sequence[Finding]) -> str:
    """Why a book with these errors is not used."""
    lines = ["the book has errors; mend these, or run slowfolio check to see each with its line:"]
    lines += [line_of(finding) for finding in errors[:SHOWN_FINDINGS]]
    if len(errors) > SHOWN_FINDINGS:
        lines.append(f"  and {len(errors) - SHOWN_FINDINGS} more")
    return "\n".join(lines)


def line_of(finding: Finding) -> str:
    """One finding on one line."""
    advice = f" ({finding.help})" if finding.help else ""
    return f"  {finding.file}:{finding.mark.line}:{finding.mark.column}: {finding.message}{advice}"
