"""What `log against` and `log fit` share: recorded cooks by id, with their logs, or a clear usage error."""

import click

from slowfolio.book.findings import close_match
from slowfolio.book.model import Book, Cook
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.remarks import LogError
from slowfolio.cooklog.stored import stored_recording


def cook_or_usage_error(book: Book, cook_id: str) -> Cook:
    """The recorded cook called `cook_id`; another name is a usage error that lists what there is."""
    if cook_id in book.cooks:
        return book.cooks[cook_id]
    if not book.cooks:
        raise click.UsageError("this book has no recorded cooks; bring one in with slowfolio log import")
    meant = close_match(cook_id, book.cooks)
    advice = f"did you mean {meant}?" if meant else f"it has {', '.join(sorted(book.cooks))}"
    raise click.UsageError(f"no cook {cook_id!r} in this book; {advice}")


def recording_or_usage_error(cook: Cook, book: Book) -> Recording:
    """The log of a cook; one that cannot be read is a usage error."""
    try:
        return stored_recording(cook, book)
    except LogError as error:
        raise click.UsageError(str(error)) from error
