"""The log of a cook of the book, read from beside its card. Called by the commands and by `enrich`."""

from pathlib import Path

from slowfolio.book.model import Book, Cook
from slowfolio.cooklog.importing import read_again
from slowfolio.cooklog.recording import Recording
from slowfolio.cooklog.remarks import LogError


def stored_recording(cook: Cook, book: Book) -> Recording:
    """The recording of a cook of the book. Raises LogError where its raw file cannot be read."""
    path = (Path(book.root) / cook.origin.file).parent / cook.log.file
    try:
        return read_again(cook, path.read_bytes())
    except OSError as error:
        raise LogError(f"{path} cannot be read: {error.strerror or error}") from error
    except LogError as error:
        raise LogError(f"{cook.origin.file}: its log cannot be read as the card says: {error}") from error
