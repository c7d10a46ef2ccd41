"""A kitchen's own book, ready to work in: its card, the schemas, a workflow and a few words.

The folder is made whole or not at all, and only where nothing is in the way. Called by `slowfolio init`.
"""

import json
import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowfolio import __version__
from slowfolio.book.base import SHARED
from slowfolio.book.files import ADAPTED_FOLDER, BOOK_CARD
from slowfolio.drafts.card_text import card_text
from slowfolio.drafts.editor import (
    BOOK_FOLDER,
    CATALOGUE,
    SCHEMA_FOLDER,
    adapted_schemas,
    catalogue,
    changed_cards,
    whole_cards,
)
from slowfolio.resources import schema_folder

WORKFLOW = Path(__file__).with_name("workflow.yml")
READ_ME = Path(__file__).with_name("new_book.md")


class FolderInTheWay(Exception):
    """Something is already where the new book should go."""


@dataclass(frozen=True, slots=True)
class BookChoices:
    """What a kitchen says of itself; texts as they stand on the card."""

    title: str
    kitchen: str
    authority: str
    altitude: str
    units_first: str
    owner: str
    base: str | None


def make_book(folder: Path, choices: BookChoices) -> Path:
    """Write a new book project into `folder`. Raises FolderInTheWay, or OSError."""
    target = folder.absolute()
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise FolderInTheWay(f"{folder} is there already and not empty; name a new folder")
    target.parent.mkdir(parents=True, exist_ok=True)
    fresh = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        write_project(fresh, choices)
        fresh.chmod(0o755)
        if target.exists():
            target.rmdir()
        fresh.rename(target)
    except BaseException:
        shutil.rmtree(fresh, ignore_errors=True)
        raise
    return target


def write_project(folder: Path, choices: BookChoices) -> None:
    """All files of a new book project."""
    schema_at = f"../{SCHEMA_FOLDER}/book.schema.json"
    files = {
        f"{BOOK_FOLDER}/{BOOK_CARD}": card_text("book", book_data(choices), schema_at=schema_at),
        "README.md": READ_ME.read_text("utf-8").replace("{title}", choices.title),
        ".gitignore": "/site/\n/.slowfolio-cache/\n/.venv/\n",
        f"{SCHEMA_FOLDER}/{CATALOGUE}": as_json(catalogue(*whole_cards(), *changed_cards())),
        ".github/workflows/check.yml": WORKFLOW.read_text("utf-8").replace("{version}", __version__),
        **{
            f"{SCHEMA_FOLDER}/{ADAPTED_FOLDER}/{kind}.schema.json": as_json(schema)
            for kind, schema in adapted_schemas().items()
        },
    }
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for schema in schema_folder().glob("*.schema.json"):
        shutil.copy(schema, folder / SCHEMA_FOLDER / schema.name)
    for name in ("cards", "pits", f"{ADAPTED_FOLDER}/pits"):
        (folder / BOOK_FOLDER / name).mkdir(parents=True, exist_ok=True)


def book_data(choices: BookChoices) -> dict[str, Any]:
    """The card of the book."""
    data: dict[str, Any] = {
        "title": choices.title,
        "kitchen": choices.kitchen,
        "summary": f"How we smoke, hold and serve at {choices.kitchen}.",
        "authority": choices.authority,
        "altitude": choices.altitude,
        "units_first": choices.units_first,
        "room": {"temperature": "70 °F" if choices.units_first == "US" else "21 °C", "humidity": "50 %"},
        "owner": choices.owner,
    }
    return data | ({"base": {"book": choices.base}} if choices.base is not None else {})


def base_text(folder: Path, base: str) -> str:
    """How a base is written in the book card of a project: shared, or its folder as seen from the book."""
    if base == SHARED:
        return SHARED
    return Path(os.path.relpath(Path(base).absolute(), (folder / BOOK_FOLDER).absolute())).as_posix()


def as_json(value: Any) -> str:
    """JSON as it is kept in version control."""
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"
