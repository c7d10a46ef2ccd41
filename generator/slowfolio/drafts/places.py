"""Where a new card goes in its book, and writing it there without ever writing over anything."""

import os
from pathlib import Path

from slowfolio.book.files import CARD_ENDING, find_root, is_book
from slowfolio.book.model import Book, Cut
from slowfolio.book.rules.references import FOLDER_OF
from slowfolio.resources import schema_folder


class CardExists(Exception):
    """There is a file, or a card of that name, where the new one should go."""


def method_file(book: Book, cut: Cut, card_id: str) -> str:
    """The file of a new method: beside the others of its cut, else in a folder named after the cut."""
    folders = [m.origin.file.rpartition("/")[0] for m in book.methods.values() if m.cut == cut.id]
    folder = folders[0] if folders else f"cards/{cut.id}"
    return f"{folder}/{card_id}{CARD_ENDING}"


def card_file(kind: str, card_id: str) -> str:
    """The file of a new card of another kind."""
    return f"{FOLDER_OF[kind]}/{card_id}{CARD_ENDING}"


def refuse_taken(book_root: Path, kind: str, file: str) -> None:
    """Raise CardExists where the file, or one of the same name in another folder of its kind, is there."""
    stem = Path(file).name
    for path in (book_root / FOLDER_OF[kind]).rglob(stem):
        raise CardExists(f"{path} is there already; choose another --id")


def write_new(book_root: Path, file: str, text: str) -> Path:
    """Write a card that is not there yet. Raises CardExists, and OSError where it cannot be written."""
    path = book_root / file
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("x", encoding="utf-8") as stream:
            stream.write(text)
    except FileExistsError as error:
        raise CardExists(f"{path} is there already; choose another --id") from error
    return path


def schema_beside(book_root: Path, file: str, kind: str) -> str:
    """The schema of a kind as seen from a card: the project's own where it has one, else this copy's."""
    project = book_root.absolute().parent / "schema"
    folder = project if (project / f"{kind}.schema.json").is_file() else schema_folder()
    target = folder / f"{kind}.schema.json"
    return Path(os.path.relpath(target, (book_root / file).absolute().parent)).as_posix()


def book_root(path: Path) -> Path | None:
    """The book a path is, or lies in."""
    return path if is_book(path) else find_root(path)
