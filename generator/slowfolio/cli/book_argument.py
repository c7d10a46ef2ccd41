"""Reading the book a command works on: the good cards, or a clear end of the command."""

from pathlib import Path

import click

from slowfolio.book.findings import close_match
from slowfolio.book.model import Book, Method
from slowfolio.enrich.cache import Cache, default_folder
from slowfolio.enrich.opening import BookNotReady, open_book


def read_book_or_exit(book_path: Path) -> Book:
    """The checked book; a book with errors ends the command with exit code 1 and says where they are."""
    try:
        return open_book(book_path, Cache(default_folder()))
    except BookNotReady as error:
        raise click.ClickException(str(error)) from error


def method_or_usage_error(book: Book, method_id: str) -> Method:
    """The method called `method_id`; another name is a usage error that lists what there is."""
    if method_id in book.methods:
        return book.methods[method_id]
    meant = close_match(method_id, book.methods)
    advice = f"did you mean {meant}?" if meant else f"it has {', '.join(sorted(book.methods))}"
    raise click.UsageError(f"no method {method_id!r} in this book; {advice}")
