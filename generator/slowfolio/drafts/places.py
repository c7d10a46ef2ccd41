"""Where a new card goes in its book, and writing it there without ever writing over anything."""

import os
from collections.abc import Container
from pathlib import Path

from slowfolio.book.files import ADAPTED_FOLDER, CARD_ENDING
from slowfolio.book.model import Book, Cut
from slowfolio.book.rules.references import FOLDER_OF
from slowfolio.drafts.editor import SCHEMA_FOLDER
from slowfolio.resources import schema_folder


class CardExists(Exception):
    """There is a file, or a card of that name, where the new one should go."""


def method_file(book: Book, cut: Cut, card_id: str) -> str:
    """The file of a new method: beside the others of its cut, else in a folder named after the cut."""
    folders = [Path(each.origin.file).parent.name for each in book.methods.values() if each.cut == cut.id]
    return f"cards/{folders[0] if folders else cut.id}/{card_id}{CARD_ENDING}"


def card_file(kind: str, card_id: str) -> str:
    """The file of a new card of another kind."""
    return f"{FOLDER_OF[kind]}/{card_id}{CARD_ENDING}"


def refuse_taken(book_root: Path, kind: str, file: str, taken: Container[str]) -> None:
    """Raise CardExists where a card of the name is in the book, in its base, or on the disk and broken."""
    name = Path(file).stem
    for path in (book_root / FOLDER_OF[kind]).rglob(f"{name}{CARD_ENDING}"):
        raise CardExists(f"{path} is there already; choose another --id")
    if name in taken:
        raise CardExists(
            f"the base has a {kind} {name} already; choose another --id, or change single fields of it in "
            f"{ADAPTED_FOLDER}/{FOLDER_OF[kind]}/{name}{CARD_ENDING}"
        )


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


def schema_beside(card: Path, kind: str) -> str:
    """The schema of a kind as seen from a card: that of the project it is in, else this copy's."""
    name = f"{kind}.schema.json"
    projects = (folder / SCHEMA_FOLDER / name for folder in card.absolute().parents)
    target = next((each for each in projects if each.is_file()), schema_folder() / name)
    return Path(os.path.relpath(target, card.absolute().parent)).as_posix()
